"""Groups of steps that several sentences of the practice speak of."""

from __future__ import annotations

SURFACE = [
    "clean-lead",
    "scuff-lead",
    "wipe-lead",
    "preheat-lead",
    "clean-polyethylene",
    "scuff-polyethylene",
    "flame-treat",
    "clean-inner-sheath",
    "scuff-inner-sheath",
    "solvent-dry",
    "flame-treat-inner-sheath",
]
CORE = ["repair-conductors", "clear-with-test-desk", "place-desiccant"]
LAYERS = [
    "wrap-muslin",
    "wrap-polyethylene-tape",
    "wrap-rubber-tape",
    "tape-clamps",
    "place-pads",
    "wrap-vinyl-tape",
    "tie-bar",
    "ramp-transition",
    "wrap-aluminum-tape",
]
BONDS = [
    "fit-bond-clamps",
    "place-temporary-bond",
    "remove-temporary-bond",
    "place-permanent-bond",
    "tighten-clamps",
    "cut-studs",
    "file-studs",
    "bend-ears",
]
SHEATH = [
    "remove-jacket",
    "open-sheath",
    "ring-cut",
    "remove-outer-sheath",
    "remove-shield",
    "smooth-shield-edges",
]
SLEEVE = [
    "measure-diameters",
    "trim-sleeve",
    "mark-sheath",
    "assemble-sleeve",
    "turn-channel",
    "shrink-sleeve",
    "form-channel",
    "inspect-sleeve",
]
OLD = [
    "strip-old-tape",
    "remove-hose-clamps",
    "clean-residue",
    "slit-old-sleeve",
    "peel-old-sleeve",
    "remove-adhesive",
]

# Bare hands on the cable. Gauges, valves and meters are worked at other points too, so they are not here.
HANDS_ON = {*SURFACE, *CORE, *LAYERS, *BONDS, *SHEATH, *SLEEVE, *OLD, "move-cable"} - {
    "solvent-dry",
    "trim-sleeve",
}
# Of these the ones done without gloves and without a tool or a torch between hand and cable.
BARE = HANDS_ON - {
    "move-cable", "preheat-lead", "flame-treat", "flame-treat-inner-sheath", "shrink-sleeve", "turn-channel",
    "form-channel", "inspect-sleeve", "clear-with-test-desk",
}  # fmt: skip
# Done at the cable, so inside the manhole, although not with bare hands.
AT_CABLE = {"identify-cable", "check-foreign-voltage", "confirm-zero", "soap-test", "rinse-soap"}
# What lets air out when it is cut.
OPENS = {
    "open-sheath",
    "ring-cut",
    "remove-outer-sheath",
    "slit-old-sleeve",
    "strip-old-tape",
    "remove-hose-clamps",
}
CUTS = {*OPENS, "remove-jacket", "remove-shield", "peel-old-sleeve", "bleed-pressure"}
FLAMES = {"preheat-lead", "flame-treat", "flame-treat-inner-sheath", "shrink-sleeve", "peel-old-sleeve"}
SOLVENTS = {"clean-polyethylene", "clean-inner-sheath", "clean-residue"}
# Lead may be cleaned with solvent or without; what is not said may be wet.
WETS = {*SOLVENTS, "clean-lead"}
LOADS = {"move-cable", "wet-surface", "soap-test", "rinse-soap", "restore-pressure", "backfill", "relash"}

# Usual minutes of a step, house values: the rulebook's own, since the practice gives none.
USUAL: dict[str, int] = {
    "assemble-sleeve": 10, "backfill": 30, "bag-scrap": 5, "bend-ears": 3, "bleed-pressure": 30,
    "bond-strand": 5, "check-foreign-voltage": 3, "clamp-lashing": 5, "clean-inner-sheath": 5,
    "clean-lead": 10, "clean-polyethylene": 5, "clean-residue": 10, "clear-with-test-desk": 10,
    "close-manhole": 5, "close-vent": 1, "confirm-zero": 3, "cool-closure": 30, "cut-lashing": 2,
    "cut-studs": 5, "desk-reading": 3, "dig": 60, "enter-manhole": 2, "file-studs": 5, "fit-bond-clamps": 3,
    "flame-treat": 2, "flame-treat-inner-sheath": 2, "form-channel": 3, "guard-work-area": 5,
    "hold-test": 30, "identify-cable": 10, "inspect-pole": 5, "inspect-sleeve": 5, "isolate-section": 10,
    "leave-manhole": 2, "light-torch": 1, "locate-utilities": 15, "mark-sheath": 3, "measure-diameters": 5,
    "measure-insulation": 10, "move-cable": 5, "notify-pressure-desk": 5, "open-manhole": 5,
    "open-sheath": 30, "open-vent": 1, "peel-old-sleeve": 15, "place-desiccant": 5, "place-ladder": 2,
    "place-pads": 10, "place-permanent-bond": 15, "place-temporary-bond": 3, "post-attendant": 1,
    "preheat-lead": 5, "protect-sleeve": 10, "pump-water": 15, "ramp-transition": 10, "read-pressure": 3,
    "relash": 15, "remove-adhesive": 15, "remove-guards": 5, "remove-hose-clamps": 5, "remove-jacket": 20,
    "remove-outer-sheath": 10, "remove-shield": 10, "remove-temporary-bond": 3, "repair-conductors": 60,
    "report-restored": 5, "restore-pressure": 30, "ring-cut": 10, "rinse-soap": 5, "scuff-inner-sheath": 5,
    "scuff-lead": 10, "scuff-polyethylene": 5, "select-sleeve": 3, "shore": 30, "shrink-sleeve": 30,
    "shut-torch": 1, "slit-old-sleeve": 5, "smooth-shield-edges": 3, "soap-test": 10, "solvent-dry": 5,
    "stop-ventilation": 2, "strip-old-tape": 20, "support-cable": 5, "tape-clamps": 5,
    "temporary-closure": 20, "test-atmosphere": 3, "tie-bar": 3, "tighten-clamps": 5, "trim-channel": 3,
    "trim-sleeve": 5, "turn-channel": 2, "ventilate": 5, "wash-hands": 5, "wipe-lead": 3,
    "wrap-aluminum-tape": 5, "wrap-muslin": 5, "wrap-polyethylene-tape": 10, "wrap-rubber-tape": 15,
    "wrap-vinyl-tape": 5,
}  # fmt: skip

# Known before the work, so a plan that leaves one out leaves something open. All others come with the work.
PLANNED = {
    "first-aid-trained",
    "volume",
    "bend-radius",
    "opening-length",
    "section-length",
    "conductor-size",
    "conductor",
    "bar-length",
    "bar-angle",
    "layers",
    "lap",
    "laps",
    "width",
    "overlap",
    "start",
    "reach",
    "pads",
    "pad-length",
    "pad-overlap",
    "scuffed-length",
    "treated-length",
    "size",
    "sleeve-length",
    "channel-length",
    "bond-length",
    "channel-angle",
    "blade",
}
NOT_READINGS = {
    "do",
    "id",
    "side",
    "closure",
    "at",
    "started",
    "status",
    "by",
    "reason",
    "evidence",
    "note",
    "after",
}

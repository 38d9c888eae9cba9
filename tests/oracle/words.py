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
FLAMES = {"preheat-lead", "flame-treat", "flame-treat-inner-sheath", "shrink-sleeve"}
SOLVENTS = {"clean-polyethylene", "clean-inner-sheath"}
LOADS = {"move-cable", "wet-surface", "soap-test", "rinse-soap", "restore-pressure", "backfill", "relash"}

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

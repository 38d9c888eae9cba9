"""Every row and sentence of the practice the rulebook was written from, with the rules that carry it, or why none does.

Rows are named in short. ``OWN`` has the rules that the practice does not ask for in so many words.
"""

from __future__ import annotations

Carried = dict[str, str]
"""What the practice says -> the rules that carry it, or a reason in brackets."""

DIMENSIONS: Carried = {
    "the right cable": "cable-identified cable-identified-twice",
    "foreign voltage": "voltage-before-hands",
    "water pumped below the cable": "water-below-cable water-out-of-trench",
    "section isolated, vent open from zero until cool": "section-isolated-first vent-open-until-cool",
    "zero at the opening, before opening and before shrinking":
        "zero-before-opening outer-zero-before-opening dam-both-volumes-zero zero-again-before-shrinking "
        "core-read-beside-space gauge-fine-enough zero-recorded",
    "overnight under a weather wrap": "zero-again-after-night bond-again-after-night",
    "adhesive bond length": "adhesive-bond-length",
    "allowance for centring and draw-back": "sleeve-allowance repair-sleeve-allowance aluminum-sleeve-allowance",
    "channel away from the bond bar": "channel-away-from-bar",
    "rubber tape over muslin on lead": "opening-taped lead-tape-layers lead-tape-lap lead-tape-tension",
    "that tape onto the lead": "lead-tape-overlap",
    "that tape covers the ends of the bar": "lead-tape-covers-bar",
    "scuffed lead beyond the opening":
        "lead-scuffed lead-scuffed-length lead-scuffed-under-adhesive lead-scuffed-under-sleeve",
    "preheat of scuffed lead": "lead-preheated preheat-off-tape",
    "desiccant and muslin": "desiccant-on-paper muslin-on-paper",
    "polyethylene tape over the wire work": "core-taped core-tape-layers core-tape-lap",
    "rubber tape over each clamp": "clamps-taped clamp-tape-layers clamp-tape-width clamp-tape-tension",
    "rubber tape over the whole opening":
        "poly-opening-taped opening-tape-layers opening-tape-lap opening-tape-width opening-tape-start",
    "aluminum tape":
        "aluminum-over-step aluminum-width aluminum-smoothed scuffed-beyond-aluminum aluminum-sleeve-long-enough",
    "outer sheath removed for a dam": "dam-section-off dam-section-length",
    "flame treatment of inner sheath": "inner-flame-time inner-flame-whole inner-flamed-before-bar",
    "permanent bond of a dam": "dam-bar-kind dam-bar-slack",
    "adhesive pads under the bar": "dam-padded dam-pads-number dam-pad-length dam-pads-overlap dam-pads-span",
    "vinyl tape over the pads": "dam-vinyl-on dam-vinyl-laps",
    "rubber tape over each clamp of a dam":
        "dam-clamps-taped dam-clamp-tape-laps dam-clamp-tape-width dam-clamp-tape-reach dam-inner-free",
    "rubber tape in the middle": "dam-bar-tied dam-tie-laps dam-tie-width",
    "scuffed auxiliary": "auxiliary-lead-scuffed-length auxiliary-poly-scuffed-length auxiliary-lead-under-adhesive",
    "bond length on the polyethylene": "adhesive-bond-length scuffed-beyond-aluminum",
    "polyethylene under the adhesive":
        "poly-clean-before-scuff poly-scuffed-around poly-scuffed-before-flame poly-flamed-at-sleeve "
        "poly-scuffed-length poly-treated-length",
    "sleeve size":
        "size-chosen sleeve-slips-over sleeve-shrinks-onto diameters-before-size diameters-in-order diameters-recorded",
    "sleeve length":
        "sleeve-long-enough repair-sleeve-long-enough aluminum-sleeve-long-enough sleeve-within-stock",
    "shrunk sleeve looked at": "sleeve-inspected",
    "cool before moving, bending, wetting or pressure": "cool-before-load closure-cool-at-end auxiliary-lies-still",
    "pressure while restoring": "restoring-pressure raised-slowly",
    "proof of tightness, isolated section":
        "soap-shows-tight hold-tested hold-isolated hold-fall hold-long-enough hold-recorded hold-when-cool "
        "proved-before-report",
    "proof of tightness, fed cable": "soap-shows-tight desk-reads-back desk-reads-in-time back-at-baseline",
    "pairs clear, core dry": "pairs-clear-before-closing core-dry-before-closing",
    "combustible gas test": "gas-before-entry air-retested-before-entry gas-test-before-flame gas-test-hourly",
    "oxygen test before entry": "oxygen-before-entry",
    "hazardous air":
        "gas-before-entry gas-good-at-flame no-flame-in-gas-anywhere oxygen-before-entry oxygen-good-at-entry "
        "out-when-gas out-when-oxygen-bad",
    "carbon monoxide, hydrogen sulfide": "toxic-gas-before-entry toxic-gas-read",
    "continuous air supply":
        "air-supply-with-flame air-supply-with-solvent air-supply-where-gas-comes air-supply-after-gas "
        "air-supply-after-thin-air air-supply-after-toxic-gas",
    "opening guarded": "opening-guarded",
    "person with first-aid training": "first-aid-near",
    "ladder": "ladder-where-deep",
    "fuel tank in the manhole": "tank-stays-out tank-only-in-use tank-out-at-end",
    "torch":
        "torch-hose-tested lit-away-from-solvent neighbours-shielded torch-out-when-down fire-watched "
        "fire-watch-long-enough",
    "bonding conductor": "temporary-bond-wire permanent-bond-wire permanent-bond-section",
    "shields bonded before splicing": "bond-before-inside-work bond-path-kept permanent-bond-under-sleeve",
    "shield resistance": "shield-resistance",
    "bending radius": "bend-radius",
    "insulation resistance":
        "insulation-read-before insulation-read-after insulation-house-limit insulation-new-plant",
    "lead": "scuffed-damp-by-hand lead-wiped hands-washed washed-before-eating scrap-bagged",
}  # fmt: skip

ORDER: Carried = {
    "pressurized: the desk is told": "desk-told-first",
    "pressurized: baseline pressures are read": "baseline-before-bleeding",
    "pressurized: water is below the cable": "water-below-cable water-out-of-trench",
    "pressurized: isolated or bypassed": "section-isolated-first",
    "pressurized: bled to a measured zero": "cable-bled zero-before-opening",
    "pressurized: zero and vent until cool": "zero-until-cool vent-open-until-cool",
    "pressurized: then raised slowly": "pressure-restored raised-slowly",
    "pressurized: soaped, the soap rinsed": "soap-shows-tight soap-rinsed",
    "pressurized: tightness proved": "hold-tested desk-reads-back proved-before-report",
    "pressurized: the desk is told again": "desk-told-restored",
    "bond path: bonded before the cut on lead": "lead-bond-before-opening bond-path-kept removal-bond-on-lead",
    "bond path: permanent before temporary off": "permanent-before-temporary-off auxiliary-bond-stays",
    "bond path: clamps and bond at once where the cut makes room":
        "bond-path-kept clamps-on-cut-shield clamps-before-permanent-bond removal-bond-on-polyethylene",
    "bond path: nothing inside touched before": "bond-before-inside-work",
    "bond path: joint with power, nearest points first": "power-joint-bonded-first",
    "bond path: old hose clamps bridged": "auxiliary-bond-bridged",
    "lead opening: cleaned before the temporary bond": "clean-before-clamps",
    "lead opening: jacket and compound off, cut back": "jacket-off-first jacket-cut-back",
    "lead opening: bond before opening": "lead-bond-before-opening",
    "lead opening: conductors repaired in the opening": "opened-before-inside-work repair-is-a-step",
    "lead opening: pairs clear": "pairs-clear-before-closing",
    "lead opening: desiccant, then muslin": "desiccant-on-paper muslin-on-paper",
    "lead opening: permanent bond over muslin": "bar-over-muslin",
    "lead opening: temporary bond off before the tape": "temporary-off-before-closing permanent-before-temporary-off",
    "lead opening: tape, then scuff": "opening-taped scuffed-after-taping",
    "lead opening: clean before scuff": "lead-clean-before-scuff",
    "lead opening: wiped before preheat": "lead-wiped",
    "lead opening: preheat before diameters":
        "(heating changes no diameter; only that the lead is hot when the sleeve goes on counts: lead-preheated)",
    "lead opening: diameters before trimming": "diameters-before-size",
    "lead opening: sleeve and channel trimmed": "sleeve-trimmed channel-trimmed size-before-trimming",
    "lead opening: ends marked": "ends-marked",
    "lead opening: assembled before shrinking": "assembled-before-shrinking sleeve-shrunk",
    "lead opening: channel turned before shrinking": "turned-before-shrinking channel-away-from-bar",
    "lead opening: channel pressed down hot": "channel-formed formed-while-hot",
    "lead opening: look at it": "sleeve-inspected",
    "lead opening: cool before restoring": "cool-before-load",
    "polyethylene opening: polyethylene tape after pairs clear": "core-taped pairs-clear-before-closing",
    "polyethylene opening: temporary off before the studs are cut": "temporary-off-before-studs",
    "polyethylene opening: studs cut, ears bent, studs filed": "studs-cut ears-before-filing",
    "polyethylene opening: clamps finished before they are taped": "clamps-finished-before-tape",
    "polyethylene opening: clamps taped before the opening": "clamps-taped",
    "polyethylene opening: opening taped before cleaning": "poly-cleaned-after-taping poly-opening-taped",
    "polyethylene opening: scuff before aluminum tape": "scuffed-before-aluminum",
    "polyethylene opening: aluminum tape before measuring":
        "diameters-before-size",
    "polyethylene opening: flame-treat before assembly": "poly-flamed-at-sleeve",
    "dam: both volumes bled": "dam-both-volumes-zero",
    "dam: ring cut, section off, shield off": "dam-cut-in-order",
    "dam: edges smoothed": "dam-edges-smooth",
    "dam: clamps and temporary bond at once": "bond-path-kept clamps-on-cut-shield",
    "dam: inner sheath cleaned, scuffed, flame-treated":
        "inner-clean-before-scuff inner-dry-before-scuff inner-scuffed-before-flame inner-flamed-before-bar",
    "dam: bar fitted loosely, pads under it": "dam-bar-loose dam-padded",
    "dam: vinyl tape, then nuts tight": "dam-vinyl-on dam-padded",
    "dam: nuts tight before the temporary bond comes off":
        "dam-tight-before-temporary-off dam-tight-before-studs",
    "dam: studs cut, filed, ears bent": "studs-cut dam-filed-before-ears",
    "dam: clamps taped, bar tied": "clamps-finished-before-tape dam-clamps-taped dam-bar-tied",
    "dam: the rest as on polyethylene": "aluminum-over-step poly-clean-before-scuff poly-flamed-at-sleeve",
    "auxiliary: left lying": "auxiliary-lies-still",
    "auxiliary: bond bridged": "auxiliary-bond-bridged",
    "auxiliary: old tape and clamps off": "old-tape-off hose-clamps-off",
    "auxiliary: residue off before scuffing": "residue-removed",
    "auxiliary: both scuffed before the ramp": "auxiliary-lead-before-ramp auxiliary-scuffed-before-ramp",
    "auxiliary: ramp, then aluminum tape": "auxiliary-step-ramped auxiliary-ramp-width",
    "auxiliary: lead preheated, polyethylene flame-treated": "lead-preheated poly-flamed-at-sleeve",
    "removal: zero and bond as for an opening":
        "zero-before-opening removal-bond-on-lead removal-bond-on-polyethylene",
    "removal: slit along the rail's base": "removal-blade",
    "removal: slit, then peeled": "slit-before-peeling old-sleeve-off",
    "removal: old adhesive": "old-adhesive-removed peeled-before-adhesive",
}  # fmt: skip

SPECIAL: Carried = {
    "change of diameter": "diameter-change-ramped",
    "long repair": (
        "long-repair-overlapped long-repair-overlap-length long-repair-covered long-repair-pieces "
        "long-repair-first-cool long-repair-each-flamed long-repair-each-preheated long-repair-each-bonds"
    ),
    "bands and hangers": "bands-off-first bands-back-when-cool bands-back-at-end",
    "anything more is a house procedure": "(not-covered in rulebook.yaml, until the plan names the procedure)",
}

PREPARATION: Carried = {
    "clean": "poly-clean-before-scuff",
    "solvent dry": "poly-dry-before-scuff inner-dry-before-scuff",
    "then scuff": "poly-scuffed-before-flame",
    "scuff dust wiped off dry": "poly-dust-wiped poly-flamed-at-sleeve",
    "then flame, then the sleeve at once": "poly-flamed-at-sleeve",
    "touching, wetting, waiting send it back": "poly-flamed-at-sleeve inner-flamed-before-bar lead-preheated",
    "solvent dry before flame": "solvent-dry-before-flame no-solvent-while-lit",
}

PLACES: Carried = {
    "manhole: guard, open, and the cover is off before anybody enters": "opening-guarded cover-is-a-step",
    "manhole: test from outside at several depths": "(at how many depths is not a reading; the step's words say it)",
    "manhole: ventilate, pump, test again, enter": "air-retested-before-entry entry-is-a-step work-is-inside",
    "manhole: retest after pumping, ducts, re-entry": "air-retested-before-entry air-retested-for-work",
    "manhole: hourly while a flame burns": "gas-test-hourly",
    "manhole: nothing burning": "torch-out-at-end torch-out-before-cover torch-out-when-left",
    "manhole: nobody inside": "out-before-cover",
    "manhole: out, cover on, guards away last": "cover-on-at-end guards-until-cover guards-taken-away",
    "vault: as the house says": "vault-flame-allowed",
    "aerial: pole and strand tested before weight": "pole-before-weight",
    "aerial: strand tested or bonded before touch": "strand-before-touch strand-bond-wire",
    "aerial: lashing clamped on both sides": "lashing-clamped-first",
    "aerial: cable supported": "cable-held-unlashed",
    "aerial: wind kept off the flame": "wind-off-flame",
    "aerial: nobody below": "nobody-below",
    "aerial: relashed when cool": "relashed-when-done lashed-at-end",
    "buried: utilities located, exposed by hand": "utilities-before-digging exposed-by-hand buried-cable-exposed",
    "buried: sides protected, a way out": "sides-protected way-out-of-pit hole-before-its-safety",
    "buried: water out": "water-out-of-trench",
    "buried: air tested in a pit": "pit-air-tested",
    "buried: protected, backfilled when cool and proved": "sleeve-protected proved-before-backfill",
}

QA: Carried = {
    "bond length short on one side": "adhesive-bond-length",
    "channel over the bar": "channel-away-from-bar",
    "temporary bond removed first": "permanent-before-temporary-off",
    "scuff before clean": "lead-clean-before-scuff poly-clean-before-scuff",
    "flame while solvent is wet": "solvent-dry-before-flame",
    "gas tests more than an hour apart": "gas-test-hourly",
    "ventilation stopped while the torch is lit": "air-supply-with-flame",
    "zero never measured": "zero-before-opening zero-recorded",
    "hold test while cooling or fed": "hold-when-cool hold-isolated hold-fall",
    "gauge and absolute mixed, kPa under psi": "unit-mixed-up",
    "desk never told": "desk-told-first desk-told-restored",
    "odd digits copied": "copied-readings",
    "times all equal": "times-all-equal",
    "times running backwards": "times-backwards",
    "times across midnight, without am or pm": "(read by the archive and listed as an assumption)",
    "in-manhole entries after leaving": "in-manhole-after-leaving work-is-inside",
    "sides swapped": "sides-swapped",
    "measured and computed lengths": "measured-and-computed-disagree implausible-reading",
    "not applicable on a step that applies": "not-applicable-claimed",
    "all steps per practice": "says-all-done",
    "evidence that is hard to copy": "(a house rule may ask for it; the base practice asks for none)",
}

OWN: Carried = {
    "a bar reaches from clamp to clamp": "bar-spans-opening",
    "a channel is cut to its sleeve": "channel-within-sleeve channel-closes-sleeve",
    "inner sheath is scuffed where it is bare": "inner-scuffed-length",
    "a flame needs a lit torch": "torch-lit-for-flame",
    "a plan's steps lead somewhere": "no-successor",
    "two closures under one name hide what the first lacks": "closures-told-apart",
    "a new sleeve in place of the old one is a closure like any other": "new-sleeve-finished new-sleeve-proved",
}

ALL: dict[str, Carried] = {
    "dimensions": DIMENSIONS, "order": ORDER, "special": SPECIAL, "preparation": PREPARATION, "places": PLACES,
    "qa": QA, "own": OWN,
}  # fmt: skip

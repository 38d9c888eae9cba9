"""Good procedures written by hand from the practice, one for each kind of work and two more for places.

Each is held with all its readings; ``log`` adds times,
``plan`` takes away what is only known when it is done. All data are invented.
"""

from __future__ import annotations

from typing import Any

from .words import NOT_READINGS, PLANNED

Raw = dict[str, Any]

# Minutes that a step takes in the logs written here; 2 where nothing is said.
TAKES = {
    "repair-conductors": 90, "cool-closure": 35, "hold-test": 60, "shrink-sleeve": 12, "pump-water": 20,
    "dig": 60,
    "bleed-pressure": 25, "solvent-dry": 6, "desk-reading": 900, "open-sheath": 10, "restore-pressure": 15,
    "remove-shield": 4,
}  # fmt: skip


def do(name: str, side: str | None = None, **readings: Any) -> Raw:
    """A step as plain data; an underscore in a reading's name is a hyphen."""
    step: Raw = {"do": name} if side is None else {"do": name, "side": side}
    return step | {reading.replace("_", "-"): value for reading, value in readings.items()}


NO_HAZARDS = {
    "joint-with-power": "no", "in-traffic": "no", "unusual-water": "no", "gas-seepage": "no",
    "other-cables": "no",
}  # fmt: skip
GOOD_AIR = do("test-atmosphere", combustible_gas="0 %LFL", oxygen="20.9 %")
ZERO = do("confirm-zero", gauge_pressure="0 psi")
ZERO_CORE = do("confirm-zero", gauge_pressure="0 psi", volume="core")
ZERO_BETWEEN = do("confirm-zero", gauge_pressure="0.0 psi", volume="inter-sheath")
TAG_AND_TONE = do("identify-cable", ways="tag, tone")
NO_VOLTAGE = do("check-foreign-voltage", voltage="3 V")
INSULATION = do("measure-insulation", resistance="40 megohm")
TEMPORARY_BOND = do("place-temporary-bond", conductor_size="6 AWG")

MANHOLE_IN = [
    do("guard-work-area"),
    do("open-manhole"),
    GOOD_AIR,
    do("ventilate"),
    do("pump-water"),
    GOOD_AIR,
    do("post-attendant", first_aid_trained="yes"),
    do("place-ladder"),
    do("enter-manhole"),
]
MANHOLE_OUT = [do("leave-manhole"), do("stop-ventilation"), do("close-manhole"), do("remove-guards")]
CABLE = [TAG_AND_TONE, NO_VOLTAGE]
DESK = [do("notify-pressure-desk"), do("read-pressure", gauge_pressure="6.2 psi")]
BLEED = [do("isolate-section"), do("bleed-pressure"), do("open-vent")]
RESTORE = [
    do("close-vent"),
    do("restore-pressure", gauge_pressure="6.1 psi", raised_slowly="yes"),
    do("soap-test", leaks="0"),
    do("rinse-soap"),
]
HOLD = do(
    "hold-test",
    start_pressure="6.1 psi", end_pressure="6.1 psi", start_temperature="70 degF", end_temperature="70 degF",
    duration="60 min", isolated="yes",
)  # fmt: skip
DESK_READS = do("desk-reading", gauge_pressure="6.2 psi")
LOOK_AND_COOL = [do("inspect-sleeve", result="good"), do("cool-closure", by_hand="yes")]
SHRINK = [do("shrink-sleeve"), do("form-channel"), do("shut-torch")]


def fitted(sleeve_length: str) -> list[Raw]:
    """From measuring to marking."""
    return [
        do("measure-diameters", smallest="1.6 in", largest="2.4 in"),
        do("select-sleeve", size="2"),
        do("trim-sleeve", sleeve_length=sleeve_length),
        do("trim-channel", channel_length=sleeve_length),
        do("mark-sheath"),
    ]


def polyethylene(length: str, side: str | None = None) -> list[Raw]:
    """Clean, dry, scuff."""
    return [
        do("clean-polyethylene", side),
        do("solvent-dry", side),
        do("scuff-polyethylene", side, scuffed_length=length),
    ]


LEAD_OPENING: Raw = {
    "job": {
        "work": "trouble-opening", "sheath": "lead", "construction": "single", "jacket": "plastic",
        "core": "paper", "pressurized": "yes", "fed": "no", "location": "manhole", "manhole-depth": "9 ft",
        "water-in-hole": "yes",
        "cable-diameter": "2.05 in", **NO_HAZARDS, "joint-with-power": "yes", "other-cables": "yes",
    },
    "steps": [
        *MANHOLE_IN, *CABLE, *DESK, *BLEED, ZERO, do("remove-jacket"), do("clean-lead"), TEMPORARY_BOND,
        do("open-sheath", opening_length="14 in"), INSULATION, do("repair-conductors"), INSULATION,
        do("clear-with-test-desk"), do("place-desiccant"), do("wrap-muslin"),
        do(
            "place-permanent-bond", conductor="bar", conductor_size="13.3 mm2", bar_length="15 in",
            bar_angle="12 o'clock", slack="yes",
        ),
        do("remove-temporary-bond"),
        do("wrap-rubber-tape", layers="2", lap="half", width="2 in", overlap={"A": "1 in", "B": "1-1/8 in"}),
        do("scuff-lead", scuffed_length="7 in"), do("wipe-lead"),
        GOOD_AIR, do("light-torch"), do("preheat-lead", flame_off_tape="yes"), do("shut-torch"),
        *fitted("28 in"), do("assemble-sleeve", bond_length={"A": "5-1/2 in", "B": "5-1/4 in"}),
        do("turn-channel", channel_angle="6 o'clock"), ZERO, GOOD_AIR, do("light-torch"), *SHRINK,
        *LOOK_AND_COOL,
        *RESTORE, HOLD, do("wash-hands"), do("bag-scrap"), *MANHOLE_OUT, do("report-restored"),
    ],
}  # fmt: skip

POLYETHYLENE_OPENING: Raw = {
    "job": {
        "work": "trouble-opening", "sheath": "polyethylene", "construction": "single", "jacket": "none",
        "core": "plastic", "pressurized": "no", "fed": "no", "location": "aerial", "cable-diameter": "1.5 in",
        **NO_HAZARDS,
    },
    "steps": [
        do("inspect-pole"), NO_VOLTAGE, do("bond-strand"), do("identify-cable", ways="tag"),
        do("support-cable"),
        do("clamp-lashing"), do("cut-lashing"), do("open-sheath", opening_length="14 in"),
        do("fit-bond-clamps"),
        TEMPORARY_BOND, INSULATION, do("repair-conductors"), INSULATION, do("clear-with-test-desk"),
        do("wrap-polyethylene-tape", layers="2", lap="half"),
        do("place-permanent-bond", conductor="braid", conductor_size="13.3 mm2", slack="yes"),
        do("tighten-clamps"), do("remove-temporary-bond"), do("cut-studs"), do("bend-ears"), do("file-studs"),
        do("tape-clamps", layers="2", width="2 in"),
        do("wrap-rubber-tape", layers="2", lap="half", width="2 in", start="middle"), *polyethylene("7 in"),
        do("wrap-aluminum-tape", width="4 in", reach="1 in"), *fitted("28 in"), do("light-torch"),
        do("flame-treat", duration="3 s", treated_length="7 in"),
        do("assemble-sleeve", bond_length="5-1/2 in"),
        do("turn-channel", channel_angle="6 o'clock"), *SHRINK, *LOOK_AND_COOL, do("relash"),
    ],
}  # fmt: skip

DAM: Raw = {
    "job": {
        "work": "inter-sheath-dam", "sheath": "polyethylene", "construction": "double", "jacket": "none",
        "core": "plastic", "pressurized": "yes", "fed": "yes", "two-volumes": "yes", "location": "pit",
        "water-in-hole": "yes",
        "manhole-depth": "6 ft", "cable-diameter": "2.5 in", **NO_HAZARDS, "gas-seepage": "yes",
    },
    "steps": [
        do("locate-utilities"), do("dig"), do("shore"), do("place-ladder"), do("pump-water"), GOOD_AIR,
        *CABLE, *DESK, *BLEED, ZERO_CORE, ZERO_BETWEEN, do("ring-cut"),
        do("remove-outer-sheath", section_length="7 in"), do("remove-shield"), do("smooth-shield-edges"),
        do("fit-bond-clamps"), TEMPORARY_BOND, do("clean-inner-sheath"), do("solvent-dry"),
        do("scuff-inner-sheath", scuffed_length="7 in"), GOOD_AIR, do("light-torch"),
        do("flame-treat-inner-sheath", duration="3 s", treated_length="7 in"), do("shut-torch"),
        do(
            "place-permanent-bond", conductor="bar", conductor_size="13.3 mm2", bar_length="9 in",
            bar_angle="12 o'clock", slack="yes",
        ),
        do("place-pads", pads="2", pad_length="6 in", pad_overlap="3 in"), do("wrap-vinyl-tape", laps="2"),
        do("tighten-clamps"), do("remove-temporary-bond"), do("cut-studs"), do("file-studs"), do("bend-ears"),
        do("tape-clamps", layers="2", width="2 in", reach="1 in"), do("tie-bar", laps="2", width="3/4 in"),
        *polyethylene("7-1/2 in"), do("wrap-aluminum-tape", width="4 in", reach="1-1/2 in"), *fitted("22 in"),
        ZERO_CORE, ZERO_BETWEEN, GOOD_AIR, do("light-torch"),
        do("flame-treat", duration="3 s", treated_length="7-1/2 in"),
        do("assemble-sleeve", bond_length="5-1/2 in"), do("turn-channel", channel_angle="3 o'clock"), *SHRINK,
        *LOOK_AND_COOL, *RESTORE, do("protect-sleeve"), do("backfill"), do("report-restored"), DESK_READS,
    ],
}  # fmt: skip

AUXILIARY: Raw = {
    "job": {
        "work": "auxiliary-repair", "sheath": {"A": "lead", "B": "polyethylene"}, "construction": "single",
        "jacket": "none", "core": "plastic", "pressurized": "yes", "fed": "yes", "location": "manhole",
        "manhole-depth": "8 ft", "water-in-hole": "yes", "cable-diameter": "2 in", "opening-length": "6 in",
        **NO_HAZARDS,
    },
    "steps": [
        *MANHOLE_IN, *CABLE, *DESK, *BLEED, ZERO, TEMPORARY_BOND, do("strip-old-tape"),
        do("remove-hose-clamps"),
        do("clean-residue"),
        do("place-permanent-bond", conductor="strap", conductor_size="13.3 mm2", slack="yes"),
        do("remove-temporary-bond"), do("scuff-lead", "A", scuffed_length="7 in"), do("wipe-lead", "A"),
        *polyethylene("7 in", "B"), do("ramp-transition", width="3/4 in"),
        do("wrap-aluminum-tape", width="4 in", reach="1 in"), *fitted("20 in"), ZERO, GOOD_AIR,
        do("light-torch"),
        do("preheat-lead", "A", flame_off_tape="yes"),
        do("flame-treat", "B", duration="3 s", treated_length="7 in"),
        do("assemble-sleeve", bond_length="5-1/2 in"), *SHRINK, *LOOK_AND_COOL, *RESTORE, do("wash-hands"),
        do("bag-scrap"), *MANHOLE_OUT, do("report-restored"), DESK_READS,
    ],
}  # fmt: skip

REMOVAL: Raw = {
    "job": {
        "work": "sleeve-removal", "sheath": "polyethylene", "construction": "single", "jacket": "none",
        "core": "plastic", "pressurized": "no", "fed": "no", "location": "building",
        "cable-diameter": "1.5 in", "opening-length": "14 in", "old-adhesive": "other", **NO_HAZARDS,
    },
    "steps": [
        *CABLE, TEMPORARY_BOND, do("slit-old-sleeve", blade="rail-base"), do("light-torch"),
        do("peel-old-sleeve"),
        do("shut-torch"), do("remove-adhesive"), *polyethylene("7 in"), *fitted("26 in"), do("light-torch"),
        do("flame-treat", duration="3 s", treated_length="7 in"),
        do("assemble-sleeve", bond_length="5-1/2 in"), *SHRINK, *LOOK_AND_COOL, do("remove-temporary-bond"),
    ],
}  # fmt: skip

POLYETHYLENE_REPAIR: Raw = {
    "job": {
        "work": "sheath-repair", "sheath": "polyethylene", "construction": "single", "jacket": "none",
        "core": "filled", "pressurized": "no", "fed": "no", "location": "buried", "manhole-depth": "3 ft",
        "water-in-hole": "yes",
        "cable-diameter": "1.5 in", "opening-length": "2 in", **NO_HAZARDS,
    },
    "steps": [
        do("locate-utilities"), do("dig"), do("pump-water"), *CABLE, *polyethylene("6 in"), *fitted("14 in"),
        do("light-torch"), do("flame-treat", duration="3 s", treated_length="6 in"),
        do("assemble-sleeve", bond_length="5-1/2 in"), *SHRINK, *LOOK_AND_COOL, do("protect-sleeve"),
        do("backfill"),
    ],
}  # fmt: skip

LEAD_REPAIR: Raw = {
    "job": {
        "work": "sheath-repair", "sheath": "lead", "construction": "single", "jacket": "none",
        "core": "paper", "pressurized": "yes", "fed": "no", "location": "vault", "vault-ventilated": "yes",
        "vault-flame-allowed": "yes",
        "cable-diameter": "2 in", "opening-length": "2 in", **NO_HAZARDS,
    },
    "steps": [
        *CABLE, *DESK, *BLEED, ZERO, do("clean-lead"), do("scuff-lead", scuffed_length="6 in"),
        do("wipe-lead"), *fitted("14 in"), ZERO, do("light-torch"), do("preheat-lead", flame_off_tape="yes"),
        do("assemble-sleeve", bond_length="5-1/2 in"), *SHRINK, *LOOK_AND_COOL, *RESTORE, HOLD,
        do("wash-hands"), do("bag-scrap"), do("report-restored"),
    ],
}  # fmt: skip

GOOD: dict[str, Raw] = {
    "lead opening": LEAD_OPENING,
    "polyethylene opening": POLYETHYLENE_OPENING,
    "dam": DAM,
    "auxiliary": AUXILIARY,
    "removal": REMOVAL,
    "polyethylene repair": POLYETHYLENE_REPAIR,
    "lead repair": LEAD_REPAIR,
}


def log(name: str) -> Raw:
    """One of the good procedures as a log with a time for every step, in minutes."""
    now = 0
    steps = []
    for step in GOOD[name]["steps"]:
        started, now = now, now + TAKES.get(step["do"], 2)
        steps.append({**step, "started": started, "at": now})
    return {"procedure": "log", "job": dict(GOOD[name]["job"]), "steps": steps}


def plan(name: str) -> Raw:
    """One of the good procedures as a plan: no times, and no reading that only the work can give."""
    kept = PLANNED | NOT_READINGS
    steps = [{key: value for key, value in step.items() if key in kept} for step in GOOD[name]["steps"]]
    return {"procedure": "plan", "job": dict(GOOD[name]["job"]), "steps": steps}

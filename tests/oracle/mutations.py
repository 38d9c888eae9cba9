"""Damage and harmless changes to a procedure in plain form: the same for the same seed, told in words."""

from __future__ import annotations

import random
import re
from copy import deepcopy
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from .measures import measure

Raw = dict[str, Any]

# Step and reading -> the limit in the reading's own unit, one step of the instrument or rule, that unit, and
# whether the limit is the least or the most that is good.
LIMITS: dict[tuple[str, str], tuple[str, str, str, str]] = {
    ("assemble-sleeve", "bond-length"): ("5", "1/8", "in", "least"),
    ("wrap-rubber-tape", "overlap"): ("3/4", "1/8", "in", "least"),
    ("wrap-rubber-tape", "layers"): ("2", "1", "", "least"),
    ("wrap-polyethylene-tape", "layers"): ("2", "1", "", "least"),
    ("tape-clamps", "layers"): ("2", "1", "", "least"),
    ("tape-clamps", "reach"): ("1", "1/8", "in", "most"),
    ("scuff-lead", "scuffed-length"): ("6", "1/8", "in", "least"),
    ("scuff-polyethylene", "scuffed-length"): ("6", "1/8", "in", "least"),
    ("remove-outer-sheath", "section-length"): ("7", "1/8", "in", "least"),
    ("wrap-vinyl-tape", "laps"): ("2", "1", "", "least"),
    ("tie-bar", "laps"): ("2", "1", "", "least"),
    ("restore-pressure", "gauge-pressure"): ("10", "1/10", "psi", "most"),
    ("confirm-zero", "gauge-pressure"): ("0", "1/10", "psi", "most"),
    ("test-atmosphere", "combustible-gas"): ("10", "1", "%LFL", "most"),
    ("test-atmosphere", "oxygen"): ("19.5", "1/10", "%", "least"),
    ("check-foreign-voltage", "voltage"): ("50", "1", "V", "most"),
    ("place-temporary-bond", "conductor-size"): ("6", "1", "AWG", "most"),
    ("place-permanent-bond", "conductor-size"): ("13.3", "1/10", "mm2", "least"),
    ("turn-channel", "channel-angle"): ("90", "15", "deg", "least"),
    ("cool-closure", "minutes"): ("30", "1", "min", "least"),
}
# What has a place on one side only, so that half of it can be forgotten.
PER_SIDE = {
    "scuff-lead", "wipe-lead", "preheat-lead", "clean-lead", "clean-polyethylene", "scuff-polyethylene",
    "flame-treat", "fit-bond-clamps", "tape-clamps", "wrap-aluminum-tape",
}  # fmt: skip
WRONG = {"in": "cm", "ft": "in", "psi": "kPa", "%LFL": "%", "degF": "degC", "min": "s", "mm2": "mm"}


@dataclass(frozen=True)
class Mutation:
    """A changed procedure, what was done to it in words, and the name of the kind of change."""

    procedure: Raw
    words: str
    kind: str


def label(steps: list[Raw], number: int) -> str:
    """A step as people point at it."""
    return f"step {number + 1} {steps[number]['do']}"


def text(value: Fraction) -> str:
    """A number as people write it: 5, 4-7/8, 0.1."""
    if value.denominator in (5, 10):
        return str(float(value))
    whole, rest = divmod(value, 1)
    if rest == 0:
        return str(whole)
    return f"{whole}-{rest}" if whole else str(rest)


def removed(source: Raw, chance: random.Random) -> Mutation:
    """One step is forgotten."""
    procedure = deepcopy(source)
    number = chance.randrange(len(procedure["steps"]))
    words = f"{label(procedure['steps'], number)} is left out"
    del procedure["steps"][number]
    return Mutation(procedure, words, "removed")


def moved(source: Raw, chance: random.Random) -> Mutation:
    """One step is done some places earlier or later; in a log the times stay where they were."""
    procedure = deepcopy(source)
    steps = procedure["steps"]
    number = chance.randrange(len(steps))
    places = chance.choice([-8, -4, -2, -1, 1, 2, 4, 8])
    target = min(max(number + places, 0), len(steps) - 1)
    words = f"{label(steps, number)} comes {abs(target - number)} places {'later' if places > 0 else 'earlier'}"
    times = [(step.get("started"), step.get("at")) for step in steps]
    steps.insert(target, steps.pop(number))
    for step, (started, at) in zip(steps, times, strict=True):
        for key, value in (("started", started), ("at", at)):
            step.pop(key, None)
            if value is not None:
                step[key] = value
    return Mutation(procedure, words, "moved")


def doubled(source: Raw, chance: random.Random) -> Mutation:
    """One step is done twice running, in a log in the same minutes."""
    procedure = deepcopy(source)
    number = chance.randrange(len(procedure["steps"]))
    again = deepcopy(procedure["steps"][number])
    again.pop("id", None)
    procedure["steps"].insert(number + 1, again)
    return Mutation(procedure, f"{label(procedure['steps'], number)} is done twice", "doubled")


def not_done(source: Raw, chance: random.Random) -> Mutation | None:
    """A row of a log says that its step was not done."""
    if source["procedure"] != "log":
        return None
    procedure = deepcopy(source)
    number = chance.randrange(len(procedure["steps"]))
    procedure["steps"][number] |= {"status": "not-done", "reason": "forgotten"}
    return Mutation(procedure, f"{label(procedure['steps'], number)} is marked not done", "not-done")


def one_sided(source: Raw, chance: random.Random) -> Mutation | None:
    """A step that both sides need is done on one of them."""
    procedure = deepcopy(source)
    steps = procedure["steps"]
    able = [number for number, step in enumerate(steps) if step["do"] in PER_SIDE and "side" not in step]
    if not able:
        return None
    number, side = chance.choice(able), chance.choice("AB")
    steps[number]["side"] = side
    for name, value in steps[number].items():
        if isinstance(value, dict):
            steps[number][name] = value.get(side)
    return Mutation(procedure, f"{label(steps, number)} is done on side {side} only", "one-sided")


def side_dropped(source: Raw, chance: random.Random) -> Mutation | None:
    """A reading is written for one side only."""
    procedure = deepcopy(source)
    steps = procedure["steps"]
    able = [(n, name) for n, step in enumerate(steps) for name in step if isinstance(step[name], dict)]
    if not able:
        return None
    number, name = chance.choice(able)
    side = chance.choice(sorted(steps[number][name]))
    del steps[number][name][side]
    return Mutation(procedure, f"{label(steps, number)}: {name} of side {side} is not written", "side-dropped")


def readings(procedure: Raw) -> list[tuple[int, str, str | None]]:
    """Where a text stands that reads as a measure: number of the step, reading, side."""
    found: list[tuple[int, str, str | None]] = []
    for number, step in enumerate(procedure["steps"]):
        for name, value in step.items():
            sides = value if isinstance(value, dict) else {None: value}
            found += [(number, name, side) for side, value in sides.items() if measure(value) is not None]
    return found


def put(procedure: Raw, where: tuple[int, str, str | None], value: str) -> str:
    """Write a reading and say which it was."""
    number, name, side = where
    if side is None:
        procedure["steps"][number][name] = value
    else:
        procedure["steps"][number][name][side] = value
    return f"{label(procedure['steps'], number)}: {name}" + ("" if side is None else f" of side {side}")


def taken(procedure: Raw, where: tuple[int, str, str | None]) -> str:
    """The reading as written."""
    number, name, side = where
    value = procedure["steps"][number][name]
    return str(value if side is None else value[side])


def limit_crossed(source: Raw, chance: random.Random) -> Mutation | None:
    """A reading stands one step of the rule beyond its limit, or just on it, which is still good."""
    procedure = deepcopy(source)
    able = [place for place in readings(procedure) if (source["steps"][place[0]]["do"], place[1]) in LIMITS]
    if not able:
        return None
    where = chance.choice(able)
    limit, step, unit, end = LIMITS[procedure["steps"][where[0]]["do"], where[1]]
    beyond = chance.choice([True, True, False])
    off = (Fraction(step) if end == "most" else -Fraction(step)) if beyond else Fraction(0)
    value = f"{text(Fraction(limit) + off)} {unit}".strip()
    before = taken(procedure, where)
    place = "beyond" if beyond else "on"
    words = f"{put(procedure, where, value)} goes from {before} to {value}, {place} its limit"
    return Mutation(procedure, words, "limit-crossed" if beyond else "limit-met")


def reading_missing(source: Raw, chance: random.Random) -> Mutation | None:
    """A reading is not written at all."""
    procedure = deepcopy(source)
    able = readings(procedure)
    if not able:
        return None
    number, name, _side = chance.choice(able)
    del procedure["steps"][number][name]
    return Mutation(procedure, f"{label(procedure['steps'], number)}: {name} is not written", "reading-missing")


def unit_changed(source: Raw, chance: random.Random) -> Mutation | None:
    """A number keeps its figures and gets another unit, as under a wrong heading."""
    procedure = deepcopy(source)
    able = [place for place in readings(procedure) if unit_of(taken(procedure, place)) in WRONG]
    if not able:
        return None
    where = chance.choice(able)
    before = taken(procedure, where)
    unit = unit_of(before)
    after = before[: -len(unit)] + WRONG[unit]
    return Mutation(procedure, f"{put(procedure, where, after)} goes from {before} to {after}", "unit-changed")


def unit_of(value: str) -> str:
    """The last word of a measure; empty where a plain number or words stand."""
    found = re.search(r"\d ?([A-Za-z%][A-Za-z%0-9]*)$", value)
    return found[1] if found else ""


def same_in_other_unit(source: Raw, chance: random.Random) -> Mutation | None:
    """Inches become the very same length in millimetres: harmless."""
    procedure = deepcopy(source)
    able = [place for place in readings(procedure) if unit_of(taken(procedure, place)) == "in"]
    if not able:
        return None
    where = chance.choice(able)
    before = taken(procedure, where)
    read = measure(before)
    exact = (read[0] if read else Fraction(0)) * Fraction(254, 10)
    if 10**6 % exact.denominator:
        return None
    after = f"{float(exact):.6f}".rstrip("0").rstrip(".") + " mm"
    words = f"{put(procedure, where, after)} goes from {before} to the equal {after}"
    return Mutation(procedure, words, "same-in-other-unit")


KINDS = [
    removed, removed, moved, moved, moved, doubled, not_done, one_sided, side_dropped, limit_crossed,
    limit_crossed, reading_missing, unit_changed, same_in_other_unit,
]  # fmt: skip


def mutations(procedure: Raw, seed: int, count: int) -> list[Mutation]:
    """So many changes, each to the procedure as it was given, which itself stays as it is."""
    chance = random.Random(seed)
    found: list[Mutation] = []
    while len(found) < count:
        mutation = chance.choice(KINDS)(procedure, chance)
        if mutation is not None:
            found.append(mutation)
    return found

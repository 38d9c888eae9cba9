"""When which conditions held in a log, for a picture: bond, pressure, flame and air between its steps."""

from __future__ import annotations

from fractions import Fraction

import msgspec

from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.relations.conditions import Conditions, Moment
from ringcut.relations.formula import formula
from ringcut.relations.procedure import Occurrence, Procedure
from ringcut.relations.truth import NO, YES
from ringcut.relations.view import View

SHOWN = (
    ("sheath open", "sheath-open"),
    ("bond path", "bond-path"),
    ("temporary bond", "temporary-bond-on"),
    ("permanent bond", "permanent-bond-on"),
    ("pressure at zero", "pressure-at-zero"),
    ("torch lit", "torch-lit"),
    ("fresh air blown in", "ventilating"),
    ("last gas test good", "gas-good"),
    ("somebody inside", "inside"),
)
"""What a track is called, and the condition it shows where the rulebook has it."""


class Stop(msgspec.Struct, frozen=True, rename="kebab"):
    """A step on the line: ``at`` is where, from 0 to 1, by its number, so that no two share a place."""

    step: str
    line: int
    clock: str
    """In the job's zone, as 07:15."""
    at: float
    minutes: float = -1.0
    """Since the first step that has a time; -1 where it has none."""


class Stretch(msgspec.Struct, frozen=True):
    """From one place on the line to another; ``known`` is false where it cannot be said whether it held."""

    start: float
    end: float
    known: bool


class Track(msgspec.Struct, frozen=True):
    """A condition, on one side where it differs by side, and when it held. What is left out, it did not."""

    name: str
    side: str
    stretches: tuple[Stretch, ...]


class Timeline(msgspec.Struct, frozen=True, rename="kebab"):
    """The picture of one log (of the first closure, where it has several)."""

    stops: tuple[Stop, ...]
    tracks: tuple[Track, ...]
    by_clock: bool
    """Whether every step has a time."""


def timeline(procedure: Procedure, book: ir.Rulebook) -> Timeline:
    """The steps of a log in their order, and the conditions that held between them."""
    view = View(procedure, book, procedure.closures[0])
    conditions = Conditions(view)
    order = list(view.order.line)
    times = [view.occurrences[index].finish for index in order]
    timed = [each for each in times if each is not None]
    by_clock = len(timed) == len(order) > 1 and max(timed) > min(timed)
    places = [number / max(len(order) - 1, 1) for number in range(len(order))]
    stops = [
        Stop(each.label, each.place.line, _clock(each, view), place, _minutes(each, timed))
        for each, place in zip((view.occurrences[index] for index in order), places, strict=True)
        if not each.implied
    ]
    tracks = []
    for name, condition in SHOWN:
        if condition in book.conditions:
            tracks += _tracks(name, condition, view, conditions, order, places)
    return Timeline(tuple(stops), tuple(tracks), by_clock)


def _tracks(
    name: str, condition: str, view: View, conditions: Conditions, order: list[int], places: list[float]
) -> list[Track]:
    """A track a side; one for both where they are alike, none where it never held."""
    found = [Track(name, side, _stretches(condition, side, view, conditions, order, places)) for side in view.sides]
    if all(each.stretches == found[0].stretches for each in found):
        found = [Track(name, "", found[0].stretches)]
    return [each for each in found if each.stretches]


def _stretches(
    condition: str, side: str, view: View, conditions: Conditions, order: list[int], places: list[float]
) -> tuple[Stretch, ...]:
    what = formula(n.Condition(condition), view, side)
    moments = [Moment(order[0])] if order else []
    moments += [Moment(index, True) for index in order]
    levels = [conditions.at(what, moment).level for moment in moments]
    edges = [0.0, *places, 1.0]
    found: list[Stretch] = []
    for level, start, end in zip(levels, edges, edges[1:], strict=False):
        if level == NO or end <= start:
            continue
        known = level == YES
        if found and found[-1].end == start and found[-1].known == known:
            found[-1] = Stretch(found[-1].start, end, known)
        else:
            found.append(Stretch(start, end, known))
    return tuple(found)


def _minutes(each: Occurrence, timed: list[Fraction]) -> float:
    return float((each.finish - min(timed)) / 60) if each.finish is not None else -1.0


def _clock(each: Occurrence, view: View) -> str:
    if each.finish is None:
        return ""
    minutes = int((each.finish + view.whole.zone) // 60) % 1440
    return f"{minutes // 60:02d}:{minutes % 60:02d}"

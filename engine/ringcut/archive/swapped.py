"""Sides that look exchanged: what was done on A is what was planned for B, and the other way round.

A question and never a verdict: only the crew knows which end it called A. Asked only where the two planned values
differ and neither side was done as planned for it, so that a sleeve which is alike on both ends is never asked about.
"""

from __future__ import annotations

from ringcut.archive.results import Exchanged
from ringcut.reading.problems import Place
from ringcut.relations.procedure import Procedure
from ringcut.relations.spans import Span

Sided = dict[tuple[str, str, str], dict[str, tuple[Span, str, Place]]]
"""(step, closure, reading): by side the value, its text and where it stands, of the latest doing."""


def exchanged(plan: Procedure, log: Procedure) -> tuple[Exchanged, ...]:
    """By row. Of a step that is done again the latest on each side counts, in both."""
    planned, done = _sided(plan), _sided(log)
    found = []
    for key, meant in planned.items():
        was = done.get(key) or done.get((key[0], "", key[2]), {})
        if len(meant) == 2 and set(meant) == set(was):
            one, two = sorted(meant)
            if _crossed(meant[one][0], meant[two][0], was[one][0], was[two][0]):
                found.append(_told(key[0], key[2], meant, was))
    return tuple(sorted(found, key=lambda each: each.places))


def _crossed(plan_a: Span, plan_b: Span, log_a: Span, log_b: Span) -> bool:
    return _meets(plan_a, log_b) and _meets(plan_b, log_a) and not _meets(plan_a, log_a) and not _meets(plan_b, log_b)


def _meets(meant: Span, was: Span) -> bool:
    return was.low is not None and was.high is not None and meant.holds(was.low) and meant.holds(was.high)


def _sided(procedure: Procedure) -> Sided:
    found: Sided = {}
    for each in procedure.occurrences:
        for (name, side), value in each.readings.items():
            if not isinstance(value, Span) or value.free:
                continue
            sides = (side,) if side else each.sides if len(each.sides) == 1 else ()
            text, place = each.texts.get((name, side)) or each.texts.get((name, ""), ("", each.place))
            for one in sides:
                found.setdefault((each.step, each.closure, name), {})[one] = (value, text, place)
    return found


def _told(
    step: str, name: str, meant: dict[str, tuple[Span, str, Place]], was: dict[str, tuple[Span, str, Place]]
) -> Exchanged:
    sides = sorted(meant)
    done = ", ".join(f"{side} {was[side][1]}" for side in sides)
    planned = ", ".join(f"{side} {meant[side][1]}" for side in sides)
    says = f"{name.replace('-', ' ')} of {step.replace('-', ' ')}: done {done}, planned {planned}"
    return Exchanged(step, name, says, tuple((side, was[side][2].line, was[side][2].letter) for side in sides))

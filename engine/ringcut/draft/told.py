"""A draft in words: what to cut, what it holds while, how long it takes, what to take along."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from ringcut.draft.holds import Bound
from ringcut.draft.materials import Material
from ringcut.draft.timing import Times
from ringcut.reading.measures import show


def holds_lines(holds: Sequence[Bound]) -> list[str]:
    """``This holds while``, a line a bound and one for what to do past it."""
    if not holds:
        return []
    lines = ["This holds while"]
    for bound in holds:
        planned = f" (planned {bound.planned})" if bound.planned else ""
        then = f"; {bound.then}" if bound.then else ""
        lines.append(f"  {bound.what} is {bound.words}{planned}{then}")
        lines.append(f"    beyond: {'; '.join(bound.beyond)}")
    return lines


def times_lines(times: Times | None) -> list[str]:
    """The critical path by usual durations."""
    if times is None or not times.whole:
        return []
    lines = ["Time, by usual durations (house values)", f"  the whole work takes {clock(times.whole)}"]
    if times.sheath_open is not None:
        lines.append(f"  {times.opened} is open for {clock(times.sheath_open)}")
    if times.pressure_back is not None:
        lines.append(f"  pressure can return after {clock(times.pressure_back)} at the earliest")
    return lines


def flame_lines(flames: Sequence[tuple[str, str]]) -> list[str]:
    """How long the flame is used, a line a step: the step and the time over the whole length."""
    return ["Flame, over the whole length", *(f"  {step}: {time}" for step, time in flames)] if flames else []


def material_lines(materials: Sequence[Material]) -> list[str]:
    """The list of materials."""
    lines = ["Materials"] if materials else []
    for each in materials:
        what_for = f" for {each.what_for}" if each.what_for else ""
        note = f" ({each.note})" if each.note else ""
        lines.append(f"  {each.item}: {each.amount}{what_for}{note}")
    return lines


def clock(seconds: Fraction) -> str:
    """Hours and minutes."""
    hours, minutes = divmod(int(seconds / 60), 60)
    return f"{hours} h {minutes:02d} min" if hours else show(seconds, "time", "min")


def footer(
    holds: Sequence[Bound],
    times: Times | None,
    materials: Sequence[Material],
    flames: Sequence[tuple[str, str]] = (),
    assumptions: Sequence[str] = (),
) -> list[str]:
    """The lines that a drafted plan ends with, as comments."""
    parts = (
        holds_lines(holds), flame_lines(flames), times_lines(times), material_lines(materials), _assumed(assumptions),
    )  # fmt: skip
    return [line for part in parts if part for line in ("", *part)]


def _assumed(assumptions: Sequence[str]) -> list[str]:
    if not assumptions:
        return []
    return ["Assumed, because the job does not say (--fact says otherwise)", *(f"  {each}" for each in assumptions)]

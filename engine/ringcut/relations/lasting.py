"""Steps that last, as a blower that runs: when they end, where the log has the step that ends them in a row of its own.

``begin`` to ``at`` of a step that lasts is how long it lasted, unless a later row ends it: then its own times are those
of setting it up, which is told as an assumption. Where it was begun anew before that row, nobody can tell which of the
two is meant, so that it is not known whether it went on behind its ``at``.
"""

from __future__ import annotations

from collections.abc import Sequence

from ringcut.relations.procedure import Occurrence, Procedure

Pair = tuple[Occurrence, Occurrence]
"""A step that lasts, and its implied end."""


def settle(result: Procedure, pairs: Sequence[Pair]) -> None:
    """Take away the implied end of each step that a row of its own ends, and mark those that may be none."""
    gone = set()
    for start, end in pairs:
        ender = _row_that_ends(result.occurrences, start, end)
        if ender is None or _restates(ender, end):
            continue
        if _begun_anew(result.occurrences, start, ender):
            end.uncertain = True
            continue
        gone.add(end.index)
        start.finish = end.finish
        start.until = f"{ender.label} (line {ender.place.line})"
        own = f"{start.label} (line {start.place.line})"
        result.assumptions.append(f"{own}: until {start.until}; its own times are those of setting it up")
    if gone:
        _without(result, gone)


def _row_that_ends(occurrences: Sequence[Occurrence], start: Occurrence, end: Occurrence) -> Occurrence | None:
    """The first row that ends the step, not before its own ``at``."""
    rows = [
        each
        for each in occurrences
        if each.step == end.step and not each.implied and _same_place(each, start) and not _is_before(each, end)
    ]
    return min(rows, key=lambda each: (each.finish is None, each.finish or 0, each.index), default=None)


def _restates(ender: Occurrence, end: Occurrence) -> bool:
    """Whether a row says the same end again: it stands at the very ``at`` of the step that lasts."""
    return ender.begin is not None and end.finish is not None and ender.begin <= end.finish


def _begun_anew(occurrences: Sequence[Occurrence], start: Occurrence, ender: Occurrence) -> bool:
    """Whether the same step was begun again between a step and the row that ends it."""
    return any(
        each.step == start.step and _same_place(each, start) and _is_before(start, each) and _is_before(each, ender)
        for each in occurrences
    )


def _same_place(one: Occurrence, other: Occurrence) -> bool:
    return bool({*one.sides} & {*other.sides}) and (
        not one.closure or not other.closure or one.closure == other.closure
    )


def _is_before(one: Occurrence, other: Occurrence) -> bool:
    """Before in time; equal instants, and where a time is missing, by the list."""
    if one.finish is None or other.finish is None or one.finish == other.finish:
        return one.index < other.index
    return one.finish < other.finish


def _without(result: Procedure, gone: set[int]) -> None:
    kept = [each for each in result.occurrences if each.index not in gone]
    at = {each.index: position for position, each in enumerate(kept)}
    for each in kept:
        each.index = at[each.index]
    result.occurrences[:] = kept
    result.edges[:] = [(at[first], at[last]) for first, last in result.edges]
    result.displaced[:] = [at[index] for index in result.displaced]

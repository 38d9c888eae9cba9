"""Entries of a log that nobody wrote in a row: every place in the line of the others where they can stand.

What somebody tells when asked was done, but where in the list it belongs is not known. Its time, where that was told
too, leaves it the places between the rows of an earlier and of a later time. Only its place among the entries that
somebody looks at matters.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Sequence
from fractions import Fraction

from ringcut.relations.order import log_order
from ringcut.relations.procedure import Occurrence, Procedure

MOST_LINES = 720
"""Lines that are looked at; of more, nothing is said."""

Line = tuple[int, ...]


def without_place(procedure: Procedure) -> tuple[int, ...]:
    """The entries of a log, by index, of which it is not known where they stand.

    One whose time was told stands where that puts it, if all others have a time, and another one each.
    """
    if procedure.plan or not any(each.unlisted for each in procedure.occurrences):
        return ()
    rows = [each for each in procedure.occurrences if not each.unlisted]
    told = [each for each in procedure.occurrences if each.unlisted]
    known = all(each.begin is not None and each.begin == each.finish for each in rows)
    times = Counter(each.begin for each in (*rows, *told))
    return tuple(each.index for each in told if not known or each.begin is None or times[each.begin] > 1)


def line_of_others(procedure: Procedure, lost: Collection[int]) -> Line | None:
    """The entries that have a place, in their only order; None where some of them are in no order, or last a while."""
    rows = [each for each in procedure.occurrences if each.index not in lost]
    if any(each.begin != each.finish for each in rows):
        return None
    keys = [(each.begin, each.finish) for each in rows]
    ends = {number for number, each in enumerate(rows) if each.implied or each.unlisted}
    order, placed = log_order(keys, procedure.rows_in_order, ends)
    return tuple(rows[number].index for number in order.line) if order.total and all(placed) else None


def lines(
    others: Line, lost: Sequence[int], looked_at: Collection[int], occurrences: Sequence[Occurrence]
) -> list[Line] | None:
    """Every line of all entries that may differ for somebody who looks at some of them; None where they are too many.

    ``others``: the line of those that have a place; ``lost``: those that have none. The first and the last of the
    others matter to everybody: with them the work begins and ends.
    """
    at = {index: place for place, index in enumerate(others)}
    found: list[Line] = [tuple(index for index in others if index in looked_at or index in (others[0], others[-1]))]
    for each in lost:
        first, last = _bounds(occurrences[each], others, occurrences)
        found = [more for line in found for more in _with(line, each, at, first, last, occurrences)]
        if len(found) > MOST_LINES:
            return None
    return [_merged(others, line, at) for line in found]


def _bounds(each: Occurrence, others: Line, occurrences: Sequence[Occurrence]) -> tuple[int, int]:
    """Before how many of the others it can stand at the earliest, and at the latest: its places in their line."""
    if each.begin is None:
        return 0, len(others)
    times = [occurrences[index].begin for index in others]
    earlier = [place + 1 for place, time in enumerate(times) if time is not None and time < each.begin]
    later = [place for place, time in enumerate(times) if time is not None and time > each.begin]
    return max(earlier, default=0), min(later, default=len(others))


def _with(
    line: Line, each: int, at: dict[int, int], first: int, last: int, occurrences: Sequence[Occurrence]
) -> Iterator[Line]:
    time = occurrences[each].begin
    for gap in range(len(line) + 1):
        lowest = max((at[index] + 1 for index in line[:gap] if index in at), default=0)
        highest = min((at[index] for index in line[gap:] if index in at), default=len(at))
        if max(lowest, first) <= min(highest, last) and _in_time(line, gap, time, at, occurrences):
            yield (*line[:gap], each, *line[gap:])


def _in_time(
    line: Line, gap: int, time: Fraction | None, at: dict[int, int], occurrences: Sequence[Occurrence]
) -> bool:
    """Whether a place agrees with the times of the others without a place."""
    if time is None:
        return True
    told = [(number < gap, occurrences[index].begin) for number, index in enumerate(line) if index not in at]
    return all(other is None or (other <= time if above else other >= time) for above, other in told)


def _merged(others: Line, line: Line, at: dict[int, int]) -> Line:
    """The line of all. Where somebody looks at none of the entries between two places, one place is as good."""
    merged: list[int] = []
    done = 0
    for index in line:
        if index in at:
            merged += others[done : at[index] + 1]
            done = at[index] + 1
        else:
            merged.append(index)
    return (*merged, *others[done:])

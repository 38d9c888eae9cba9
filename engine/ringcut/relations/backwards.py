"""Times of a log that run against its list: which entries they are, and the log as its list alone tells it.

A crew writes rows as it goes, so that a time before the one above is a slip of the pen, or a row that was added
afterwards; nobody can tell which. Only one person's rows are looked at: those of two interleave.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from fractions import Fraction
from typing import TypeVar

import msgspec

from ringcut.relations.procedure import Occurrence, Procedure

N = TypeVar("N", int, Fraction)


class Backwards(msgspec.Struct, frozen=True):
    """What runs back. ``pairs``: an entry and the one of the same person that is listed next and timed before it.

    ``doubted``: the entries that have to go, one way or another, until no time runs back; by index.
    """

    pairs: tuple[tuple[int, int], ...] = ()
    doubted: tuple[int, ...] = ()


def backwards(entries: Sequence[Occurrence]) -> Backwards:
    """What runs back among the entries of a log, in list order. Cost: n log n."""
    pairs: list[tuple[int, int]] = []
    doubted: list[int] = []
    for rows in _by_person(entries):
        found = _against(rows)
        if found:
            pairs += found
            doubted += [rows[number].index for number in _in_doubt([each.finish or Fraction(0) for each in rows])]
    return Backwards(tuple(sorted(pairs, key=lambda pair: pair[1])), tuple(sorted(doubted)))


def _against(rows: Sequence[Occurrence]) -> list[tuple[int, int]]:
    """The neighbours of which the lower was finished before the upper began; else the first two such of all rows.

    Entries that overlap are in no order, however they are listed.
    """
    beside = [(a.index, b.index) for a, b in zip(rows, rows[1:], strict=False) if _is_before(b, a)]
    latest: Occurrence | None = None
    for each in rows if not beside else ():
        if latest is not None and _is_before(each, latest):
            return [(latest.index, each.index)]
        if latest is None or each.begin is not None and each.begin > (latest.begin or 0):
            latest = each
    return beside


def _is_before(one: Occurrence, other: Occurrence) -> bool:
    return one.finish is not None and other.begin is not None and one.finish < other.begin


def without_times(procedure: Procedure, doubted: Iterable[int]) -> Procedure:
    """The log without the times of some entries: each then lies where the list has it."""
    gone = frozenset(doubted)
    lines = {procedure.occurrences[index].place for index in gone}
    entries = [
        msgspec.structs.replace(each, begin=None, finish=None)
        if each.index in gone or each.implied and each.place in lines
        else msgspec.structs.replace(each)
        for each in procedure.occurrences
    ]
    changed: Procedure = msgspec.structs.replace(procedure, occurrences=entries)
    return changed


def _by_person(entries: Iterable[Occurrence]) -> list[list[Occurrence]]:
    rows: dict[tuple[str, ...], list[Occurrence]] = {}
    for each in entries:
        if each.finish is not None and not each.implied and not each.unlisted:
            rows.setdefault(each.by, []).append(each)
    return list(rows.values())


def _in_doubt(times: Sequence[Fraction]) -> list[int]:
    """Those that do not belong to every longest part of the list that runs on."""
    up_to = rising(times)
    onwards = rising([-time for time in reversed(times)])[::-1]
    longest = max(up_to)
    whole = [one + other - 1 == longest for one, other in zip(up_to, onwards, strict=True)]
    at = [length for length, fits in zip(up_to, whole, strict=True) if fits]
    return [number for number, fits in enumerate(whole) if not fits or at.count(up_to[number]) > 1]


def rising(numbers: Sequence[N]) -> list[int]:
    """For each number, of how many the longest part is that never falls and ends with it."""
    ends: list[N] = []
    found = []
    for number in numbers:
        place = bisect_right(ends, number)
        ends[place : place + 1] = [number]
        found.append(place + 1)
    return found

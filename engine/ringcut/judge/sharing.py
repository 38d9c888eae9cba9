"""The mend that is enough for most findings: which of many findings have one cause.

Nothing here knows a rule. A finding is what mends it, each mend with where it would have to stand.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from heapq import heappop, heappush
from itertools import accumulate
from typing import NamedTuple

from ringcut.judge.mends import ANYWHERE, Mend, Mends, Stretch, many_enough


class Group(NamedTuple):
    """Findings for each of which one mend is enough; None: one finding alone."""

    members: tuple[int, ...]
    mend: Mend | None = None
    stretch: Stretch = ANYWHERE


def shared(able: Sequence[Mends]) -> Iterator[Group]:
    """The findings by the mend that is enough for most of them, then by that for most of the rest, and so on.

    Of equals the first counts, by finding and then by mend. What a mend is enough for is counted again only where one
    of its findings was taken, since a long log has as many mends as findings.
    """
    users: dict[Mend, dict[int, None]] = {}
    for index, mends in enumerate(able):
        for mend in mends:
            users.setdefault(mend, {})[index] = None
    counted: dict[Mend, Group | None] = {}
    ranked: list[tuple[int, int, int, Group]] = []

    def count(mend: Mend) -> None:
        indexes = tuple(users[mend])
        counted[mend] = None
        if len(indexes) > 1:
            members, stretch = _together(mend, indexes, able)
            if len(members) > 1 and many_enough(mend, stretch):
                counted[mend] = group = Group(members, mend, stretch)
                first = list(able[indexes[0]]).index(mend)
                heappush(ranked, (-len(members), indexes[0], first, group))

    for mend in users:
        count(mend)
    while ranked:
        group = heappop(ranked)[-1]
        if group.mend is None or counted[group.mend] is not group:
            continue
        yield group
        touched: dict[Mend, None] = {}
        for index in group.members:
            for mend in able[index]:
                del users[mend][index]
                touched[mend] = None
        for mend in touched:
            count(mend)


def _together(mend: Mend, indexes: Sequence[int], able: Sequence[Mends]) -> tuple[tuple[int, ...], Stretch]:
    """The most findings that one doing of a step can mend, and where it would have to stand.

    A step of the whole site has a place in the line of each closure.
    """
    by_closure: dict[str, list[int]] = {}
    for index in indexes:
        by_closure.setdefault(able[index][mend].closure, []).append(index)
    members: list[int] = []
    for own in by_closure.values():
        place = _most_common([able[index][mend] for index in own])
        members += [index for index in own if able[index][mend].low <= place < able[index][mend].high]
    members.sort()
    stretch = able[members[0]][mend]
    for index in members[1:]:
        stretch = stretch.meets(able[index][mend]) or stretch
    return tuple(members), stretch


def _most_common(stretches: Sequence[Stretch]) -> int:
    """A position behind which most of some stretches of one closure have room: in the first of them that has one."""
    ends = sorted([(each.low, 1) for each in stretches] + [(each.high, -1) for each in stretches])
    room = list(accumulate(change for _, change in ends))
    most = max(room)
    positions = [position for (position, _), number in zip(ends, room, strict=True) if number == most]
    next_to = ((bisect_left(positions, each.low), each.high) for each in stretches)
    return next(positions[at] for at, high in next_to if at < len(positions) and positions[at] < high)

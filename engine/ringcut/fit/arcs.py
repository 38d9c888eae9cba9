"""Which way round two angles are apart, as a choice of its own that the search can make.

"At least so far apart on a circle" is two demands in one: the difference lies on this side of the gap or on the
other. Each arc is a plain interval of the difference, which sums of limits see; so every such limit gets a
variable besides the caller's, with one value for each arc, and a limit that ties it to the two angles.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Mapping, Sequence

from ringcut.fit.answers import Meter
from ringcut.fit.limits import AtMost

MOST = 8
"""Arcs that are worth a choice; angles that go round more often are left to values."""


def arcs_of(first: Sequence[int], second: Sequence[int], least: int, turn: int) -> list[tuple[int, int]]:
    """The intervals, ascending, in which a difference of two grids lies ``least`` or more from every whole turn.

    All numbers are scaled integers, the grids ascending. Empty where that is no choice: nothing is demanded, nothing
    is possible, or the arcs are too many.
    """
    if least <= 0 or 2 * least > turn:
        return []
    low, high = first[0] - second[-1], first[-1] - second[0]
    turns = range((low - turn) // turn, high // turn + 1)
    if len(turns) > MOST + 2:
        return []
    found = [(turn * count + least, turn * (count + 1) - least) for count in turns]
    return [(start, end) for start, end in found if end >= low and start <= high]


class Arcs:
    """The difference of two angles lies in the arc that a third variable names."""

    def __init__(
        self, first: int, second: int, arc: int, numbers: Sequence[Sequence[int]], arcs: Sequence[tuple[int, int]]
    ) -> None:
        """``numbers`` has the scaled values of every variable; value i of ``arc`` stands for ``arcs[i]``."""
        self.scope: tuple[int, ...] = (first, second, arc)
        self._first, self._second = numbers[first], numbers[second]
        self._numbers = numbers
        self._arcs = arcs

    def span(self, masks: Sequence[int]) -> tuple[int, int]:
        """The least and the largest difference in the arcs that are left."""
        mask = masks[self.scope[2]]
        return self._arcs[(mask & -mask).bit_length() - 1][0], self._arcs[mask.bit_length() - 1][1]

    def edge(self, masks: Sequence[int], upper: bool) -> AtMost:
        """One end of the span as a sum: the difference is at most the largest, or at least the least."""
        first, second, _ = self.scope
        low, high = self.span(masks)
        sign = 1 if upper else -1
        return AtMost([(first, sign), (second, -sign)], self._numbers, high if upper else -low)

    def beyond(self, masks: Sequence[int], point: Mapping[int, float]) -> float:
        """How far into a gap between arcs that are left the difference at a point lies; 0 where it is in none."""
        found = self._gap(masks, point)
        return 0.0 if found is None else min(found[1], found[2])

    def below(self, masks: Sequence[int], point: Mapping[int, float]) -> tuple[int, bool] | None:
        """The arcs below the gap that a point lies in, and whether those above it are nearer; None in no gap."""
        found = self._gap(masks, point)
        return None if found is None else (found[0], found[2] < found[1])

    def _gap(self, masks: Sequence[int], point: Mapping[int, float]) -> tuple[int, float, float] | None:
        first, second, arc = self.scope
        mask = masks[arc]
        if not mask & (mask - 1) or first not in point or second not in point:
            return None
        difference = point[first] - point[second]
        below = sum(1 << number for number, (start, _) in enumerate(self._arcs) if start <= difference + 1e-6) & mask
        above = mask ^ below
        if not below or not above:
            return None
        under = difference - self._arcs[below.bit_length() - 1][1]
        over = self._arcs[(above & -above).bit_length() - 1][0] - difference
        return (below, under, over) if under > 1e-6 else None

    def revise(self, masks: list[int], changed: list[int], meter: Meter) -> bool:
        """Strike arcs that the angles cannot reach, and angles beyond all arcs that are left."""
        meter.check()
        first, second, arc = self.scope
        a, b = _ends(masks[first], self._first), _ends(masks[second], self._second)
        low, high = a[0] - b[1], a[1] - b[0]
        mask = left = masks[arc]
        for number, (start, end) in enumerate(self._arcs):
            if end < low or start > high:
                left &= ~(1 << number)
        if left != mask:
            if not left:
                return False
            masks[arc] = left
            changed.append(arc)
        least, most = self.span(masks)
        if least > low or most < high:
            for variable, numbers, lowest, highest in (
                (first, self._first, b[0] + least, b[1] + most),
                (second, self._second, a[0] - most, a[1] - least),
            ):
                kept = _within(masks[variable], numbers, lowest, highest)
                if kept != masks[variable]:
                    if not kept:
                        return False
                    masks[variable] = kept
                    changed.append(variable)
        return True

    def allows(self, point: Mapping[int, float]) -> bool:
        """It has nothing to say about a point: the angles' own limit has."""
        return True


def _ends(mask: int, numbers: Sequence[int]) -> tuple[int, int]:
    return numbers[(mask & -mask).bit_length() - 1], numbers[mask.bit_length() - 1]


def _within(mask: int, numbers: Sequence[int], lowest: int, highest: int) -> int:
    start = bisect_left(numbers, lowest)
    return mask & ((1 << bisect_right(numbers, highest)) - 1) >> start << start

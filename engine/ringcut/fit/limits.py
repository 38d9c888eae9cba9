"""Constraints compiled to integers, each able to strike values that cannot be part of any solution.

A domain is a bit mask: bit i stands for the i-th value. All numbers of a problem are scaled by one common
denominator, so sums are exact integers. A limit's ``revise`` narrows the masks in place, notes which
variables changed, and says False where a variable has no value left. Linear limits tighten by bounds; the
others strike every unsupported value while the work for that is small.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Mapping, Sequence
from itertools import product
from math import prod
from typing import Protocol

from ringcut.fit.answers import Meter
from ringcut.fit.problem import Value

ENUMERATE_UP_TO = 512
"""A test over more tuples than this waits until all but one of its variables are settled."""


class Limit(Protocol):
    """What the fixpoint needs of a compiled constraint."""

    scope: tuple[int, ...]

    def revise(self, masks: list[int], changed: list[int], meter: Meter) -> bool:
        """Narrow ``masks``; add every narrowed variable to ``changed``; False if nothing is left."""
        ...

    def allows(self, point: Mapping[int, float]) -> bool:
        """False where a point that satisfies all sums is known to break this limit; a hint, not a proof."""
        ...


class _Silent:
    def allows(self, point: Mapping[int, float]) -> bool:
        """It has nothing to say about a point."""
        return True


def members(mask: int) -> list[int]:
    """The positions of the bits that are set, ascending."""
    found = []
    while mask:
        low = mask & -mask
        found.append(low.bit_length() - 1)
        mask ^= low
    return found


class AtMost(_Silent):
    """A sum of integer coefficient times scaled variable is at most ``bound``."""

    def __init__(self, terms: Sequence[tuple[int, int]], numbers: Sequence[Sequence[int]], bound: int) -> None:
        """Terms are (variable, coefficient); ``numbers`` has every variable's scaled values, ascending."""
        self.terms = [(variable, c, numbers[variable]) for variable, c in terms if c]
        self.scope = tuple(variable for variable, _, _ in self.terms)
        self.bound = bound
        self.made_of: Sequence[Limit] = ()
        """The limits it is the sum of, if it is one."""

    def of(self, masks: Sequence[int]) -> int:
        """The sum where every variable has one value."""
        return sum(c * numbers[masks[variable].bit_length() - 1] for variable, c, numbers in self.terms)

    def largest(self) -> int:
        """The most the sum can be over the full domains."""
        return sum(c * numbers[-1 if c > 0 else 0] for _, c, numbers in self.terms)

    def revise(self, masks: list[int], changed: list[int], meter: Meter) -> bool:
        """Strike what is too much even with the least of all others."""
        meter.check()
        slack = self.bound
        for variable, c, numbers in self.terms:
            mask = masks[variable]
            slack -= c * numbers[(mask & -mask if c > 0 else mask).bit_length() - 1]
        if slack < 0:
            return False
        for variable, c, numbers in self.terms:
            mask = masks[variable]
            low, high = (mask & -mask).bit_length() - 1, mask.bit_length() - 1
            if low == high:
                continue
            if c > 0:
                if c * (numbers[high] - numbers[low]) > slack:
                    masks[variable] = mask & ((1 << bisect_right(numbers, numbers[low] + slack // c)) - 1)
                    changed.append(variable)
            elif c * (numbers[low] - numbers[high]) > slack:
                masks[variable] = mask >> (cut := bisect_left(numbers, numbers[high] - slack // -c)) << cut
                changed.append(variable)
        return True


class Separate:
    """Two angles are at least so far apart on a circle; angles and turn are scaled integers."""

    def __init__(self, first: int, second: int, around: Sequence[Around], least: int, turn: int) -> None:
        """``around`` has the values of both.

        ``least`` is rounded up by the caller: that excludes exactly what the exact value excludes.
        """
        self.scope: tuple[int, ...] = (first, second)
        self._around = dict(zip(self.scope, around, strict=True))
        self._least, self._turn = least, turn
        self._seen: dict[tuple[int, int], int] = {}

    def revise(self, masks: list[int], changed: list[int], meter: Meter) -> bool:
        """Strike every angle that has no partner."""
        meter.check()
        for mine, other in (self.scope, self.scope[::-1]):
            mask = masks[mine]
            struck = self._without_partner(mine, mask, other, masks[other])
            if struck:
                masks[mine] = mask ^ struck
                changed.append(mine)
                if struck == mask:
                    return False
        return True

    def allows(self, point: Mapping[int, float]) -> bool:
        """Whether the point has the two angles far enough apart."""
        if not all(variable in point for variable in self.scope):
            return True
        around = (point[self.scope[0]] - point[self.scope[1]]) % self._turn
        return min(around, self._turn - around) > self._least - 1e-6

    def _without_partner(self, mine: int, mask: int, other: int, others: int) -> int:
        # The ends and the middle of an arc leave next to nothing to look at one by one.
        low, high = (others & -others).bit_length() - 1, others.bit_length() - 1
        for index in (low, high, (low + high) // 2):
            if others >> index & 1:
                mask &= ~self._partners(other, index, mine)
                if not mask:
                    return 0
        return sum(1 << index for index in members(mask) if not self._partners(mine, index, other) & others)

    def _partners(self, variable: int, index: int, partner: int) -> int:
        key = (variable, index)
        if key not in self._seen:
            angle, least, turn = self._around[variable].angles[index], self._least, self._turn
            if least * 2 > turn:
                self._seen[key] = 0
            elif least <= 0:
                self._seen[key] = self._around[partner].all
            else:
                self._seen[key] = self._around[partner].between((angle + least) % turn, turn - 2 * least, turn)
        return self._seen[key]


class Around:
    """The values of one variable in the order of their angle, with the mask of every leading part."""

    def __init__(self, numbers: Sequence[int], turn: int) -> None:
        """``angles`` has for every value its angle within one turn."""
        self.angles = angles = [number % turn for number in numbers]
        order = sorted(range(len(angles)), key=lambda index: angles[index])
        self._sorted = [angles[index] for index in order]
        self._leading = [0]
        for index in order:
            self._leading.append(self._leading[-1] | 1 << index)
        self.all = self._leading[-1]

    def between(self, start: int, width: int, turn: int) -> int:
        """The mask of the angles from ``start`` on through ``width``, both ends included."""
        if start + width < turn:
            return self._part(start, start + width)
        return self._part(start, turn) | self._part(0, start + width - turn)

    def _part(self, low: int, high: int) -> int:
        return self._leading[bisect_right(self._sorted, high)] ^ self._leading[bisect_left(self._sorted, low)]


class OneOf(_Silent):
    """The positions of the values of ``scope`` are one of some rows."""

    def __init__(self, scope: tuple[int, ...], rows: Sequence[tuple[int, ...]]) -> None:
        """Rows that name a value outside its domain are left out by the caller."""
        self.scope = scope
        self._rows = [tuple(1 << position for position in row) for row in rows]

    def revise(self, masks: list[int], changed: list[int], meter: Meter) -> bool:
        """Strike every value that is in no row still possible."""
        meter.check()
        before = [masks[variable] for variable in self.scope]
        left = [0] * len(before)
        for row in self._rows:
            if all(bit & mask for bit, mask in zip(row, before, strict=True)):
                left = [seen | bit for seen, bit in zip(left, row, strict=True)]
        return _narrow(self.scope, before, left, masks, changed)


class Tested(_Silent):
    """A test of the values of ``scope``; each tuple is asked once and remembered."""

    def __init__(self, scope: tuple[int, ...], test: Callable[..., bool], values: Sequence[Sequence[Value]]) -> None:
        """``values`` has the caller's own values of every variable."""
        self.scope = scope
        self._test = test
        self._values = [values[variable] for variable in scope]
        self._seen: dict[tuple[int, ...], bool] = {}

    def revise(self, masks: list[int], changed: list[int], meter: Meter) -> bool:
        """Strike what fails in every tuple, once the tuples are few or one variable at most is open."""
        meter.check()
        before = [masks[variable] for variable in self.scope]
        sizes = [mask.bit_count() for mask in before]
        if prod(sizes) > ENUMERATE_UP_TO and sum(size > 1 for size in sizes) > 1:
            return True
        left = [0] * len(before)
        for row in product(*map(members, before)):
            if self._holds(row, meter):
                left = [seen | 1 << position for seen, position in zip(left, row, strict=True)]
        return _narrow(self.scope, before, left, masks, changed)

    def _holds(self, row: tuple[int, ...], meter: Meter) -> bool:
        if row not in self._seen:
            meter.check()
            self._seen[row] = bool(self._test(*(v[i] for v, i in zip(self._values, row, strict=True))))
        return self._seen[row]


def _narrow(
    scope: tuple[int, ...], before: Sequence[int], left: Sequence[int], masks: list[int], changed: list[int]
) -> bool:
    for variable, old, new in zip(scope, before, left, strict=True):
        if new != old:
            masks[variable] = new
            changed.append(variable)
    return all(left)

"""Cuts: sums of limits rounded down, which hold for every whole choice but not where the relaxed problem is best.

Limits over whole numbers say more than the same limits over the numbers between them: 2 x + 2 y at most 5 makes x +
y at most 2. Gomory's cut of a variable that lies between two values adds limits up with the parts of their
multipliers that are not whole, and rounds coefficients and bound down (textbook). The multipliers come from floating
point, and are made whole by a common denominator; the sum and the rounding are exact integers. A wrong multiplier
makes a cut weak, never wrong.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise
from math import floor, gcd, lcm

from ringcut.fit.limits import AtMost, Limit

LARGEST = 20_000
"""Multipliers whose common denominator is larger are not made whole."""
EPSILON = 1e-7

Share = tuple[float, AtMost, Limit]
"""A multiplier, the sum that it counts, and the limit that this sum is an end of."""


class Rounding:
    """Makes cuts over some variables; their grids may be of different steps."""

    def __init__(self, part: Sequence[int], numbers: Sequence[Sequence[int]]) -> None:
        """``part`` are the variables that may be open, ``numbers`` every variable's scaled values."""
        grids = {id(numbers[v]): numbers[v] for v in part}
        steps = {key: gcd(*(b - a for a, b in pairwise(grid))) for key, grid in grids.items()}
        self._numbers = numbers
        self._steps = {v: steps[id(numbers[v])] for v in part}

    def cut(self, masks: Sequence[int], variable: int, shares: Sequence[Share], upper: set[int]) -> AtMost | None:
        """A cut from how often limits count for ``variable``; it holds within the bounds of ``masks``.

        Variables in ``upper`` are counted down from their most, all others up from their least. None where the
        multipliers cannot be made whole, or nothing is left after rounding.
        """
        own = self._steps[variable]
        parts = []
        for multiplier, limit, source in shares:
            share = multiplier / own
            share -= floor(share + EPSILON)
            if share > EPSILON:
                parts.append((share, limit, source))
        times = _whole([share for share, _, _ in parts])
        if times < 2:
            return None
        total: dict[int, int] = {}
        bound = 0
        for share, limit, _ in parts:
            whole = round(share * times)
            bound += whole * limit.bound
            for v, c, _ in limit.terms:
                total[v] = total.get(v, 0) + whole * c
        found = self._rounded(masks, total, bound, times, upper)
        if found is not None:
            found.made_of = sources(source for _, _, source in parts)
        return found

    def _rounded(
        self, masks: Sequence[int], total: dict[int, int], bound: int, times: int, upper: set[int]
    ) -> AtMost | None:
        # In steps counted from an end of its domain every variable is a whole number of zero or more.
        common = lcm(*self._steps.values())
        terms, shift = [], 0
        for v, c in total.items():
            mask, numbers = masks[v], self._numbers[v]
            at = numbers[(mask if v in upper else mask & -mask).bit_length() - 1]
            bound -= c * at
            if not mask & (mask - 1):
                continue
            sign = -1 if v in upper else 1
            down = sign * (sign * c * self._steps[v] // times) * (common // self._steps[v])
            if down:
                terms.append((v, down))
                shift += down * at
        return AtMost(terms, self._numbers, bound // times * common + shift) if terms else None


def sources(limits: Iterable[Limit]) -> list[Limit]:
    """The limits that some limits are made of in the end."""
    found: list[Limit] = []
    for limit in limits:
        made_of = limit.made_of if isinstance(limit, AtMost) else ()
        found += made_of or [limit]
    return found


def _whole(multipliers: Sequence[float]) -> int:
    """What makes multipliers whole numbers, if that is small; else 0."""
    times = 1
    for y in multipliers:
        times = lcm(times, _denominator(y))
        if not 0 < times <= LARGEST:
            return 0
    return times


def _denominator(y: float) -> int:
    """The least denominator of a fraction as good as equal, by its continued fraction; 0 where it is too large."""
    before, now, left = 0, 1, y - floor(y)
    while now <= LARGEST:
        if abs(now * y - round(now * y)) < EPSILON * now:
            return now
        left = 1 / left
        before, now = now, floor(left) * now + before
        left -= floor(left)
    return 0

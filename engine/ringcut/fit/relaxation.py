"""All linear limits looked at together: which sum of them excludes most.

Bounds of one limit at a time are blind to what several limits exclude only jointly (x + y at most 4 and x
- y at least 3). A small linear program over the current bounds finds the multipliers under which the
limits, added up, say most. It is solved in floating point, which is harmless: any sum of limits with
multipliers of zero or more follows from them, so the sum itself is formed and applied in exact integers.
A wrong multiplier makes it weak, never wrong.

Method: dual simplex with bounded variables on a condensed tableau (textbook; the last basis stays dual
feasible when bounds change, so each node of a search costs a few pivots).
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence

from ringcut.fit.answers import Meter
from ringcut.fit.limits import AtMost

PIVOTS = 60
"""A program that takes more is left; the node is then tightened by single limits only."""

FRESH_AFTER = 400
"""Pivots after which the tableau is built anew, so that rounding does not pile up."""

PRECISION = 1 << 36
EPSILON = 1e-9


class Relaxation:
    """The linear limits over some variables, and the sum that should be small, if there is one."""

    def __init__(
        self,
        limits: Sequence[AtMost],
        masks: Sequence[int],
        part: Sequence[int],
        numbers: Sequence[Sequence[int]],
        aim: AtMost | None,
    ) -> None:
        """Variables outside ``part`` have one value each in ``masks``.

        ``aim`` is a limit whose bound the caller lowers; its sum is what is made small.
        """
        self._fixed = [mask.bit_length() - 1 for mask in masks]
        self._limits = limits
        summed = {v for limit in (*limits, *([aim] if aim else [])) for v in limit.scope}
        self._part = [variable for variable in part if variable in summed]
        self._numbers = [numbers[variable] for variable in self._part]
        self._all_numbers = numbers
        self._aim = aim
        self.point: dict[int, float] = {}
        """After ``sum_of_limits``: where the relaxed problem is best, by variable."""
        self._build()

    def sum_of_limits(self, masks: Sequence[int], meter: Meter) -> AtMost | None:
        """The sum of limits that excludes most under the bounds of ``masks``; None if it was not found."""
        low, high = [], []
        for variable, numbers in zip(self._part, self._numbers, strict=True):
            mask = masks[variable]
            low.append(float(numbers[(mask & -mask).bit_length() - 1]))
            high.append(float(numbers[mask.bit_length() - 1]))
        if self._pivots > FRESH_AFTER:
            self._build()
        size = len(self._part)
        for _ in range(PIVOTS):
            meter.check()
            at = [
                0.0 if name >= size else high[name] if up else low[name]
                for name, up in zip(self._outside, self._at_high, strict=True)
            ]
            values = [rest + sum(map(float.__mul__, row, at)) for rest, row in zip(self._rest, self._rows, strict=True)]
            row, below = self._worst(values, low, high)
            if row < 0:
                self.point = self._read_point(at, values)
                return self._added(dict(zip(self._outside, self._cost, strict=True)), aimed=True)
            column = self._entering(row, below)
            if column < 0:
                multipliers = dict(zip(self._outside, self._rows[row], strict=True))
                multipliers[self._inside[row]] = 1.0
                return self._added(multipliers, aimed=False)
            self._pivot(row, column, not below)
        self._build()
        return None

    def is_above(self, variable: int, position: int) -> bool:
        """Whether the relaxed best lies above the value at ``position``."""
        at = self.point.get(variable)
        return at is not None and at > self._all_numbers[variable][position] + 1e-6

    def nearest(self, variable: int, mask: int) -> int:
        """The position of the value nearest to the relaxed best; the middle where it says nothing."""
        at = self.point.get(variable)
        if at is None:
            return ((mask & -mask).bit_length() + mask.bit_length() - 2) // 2
        numbers = self._all_numbers[variable]
        found = bisect_left(numbers, at)
        if found == len(numbers) or found and at - numbers[found - 1] < numbers[found] - at:
            found -= 1
        return found

    def _build(self) -> None:
        size = len(self._part)
        where = {variable: column for column, variable in enumerate(self._part)}
        self._outside = list(range(size))
        self._inside = list(range(size, size + len(self._limits)))
        self._rows = [[0.0] * size for _ in self._limits]
        self._rest = [float(limit.bound) for limit in self._limits]
        for number, limit in enumerate(self._limits):
            for variable, c, values in limit.terms:
                if variable in where:
                    self._rows[number][where[variable]] -= c
                else:
                    self._rest[number] -= c * values[self._fixed[variable]]
        self._cost = [0.0] * size
        if self._aim:
            for variable, c, _ in self._aim.terms:
                if variable in where:
                    self._cost[where[variable]] = float(c)
        self._at_high = [cost < 0 for cost in self._cost]
        self._pivots = 0

    def _worst(self, values: Sequence[float], low: Sequence[float], high: Sequence[float]) -> tuple[int, bool]:
        size, worst, found, below = len(self._part), 1e-7, -1, True
        for row, (name, value) in enumerate(zip(self._inside, values, strict=True)):
            least = low[name] if name < size else 0.0
            if least - value > worst:
                worst, found, below = least - value, row, True
            elif name < size and value - high[name] > worst:
                worst, found, below = value - high[name], row, False
        return found, below

    def _entering(self, row: int, below: bool) -> int:
        found, best, size = -1, 0.0, 0.0
        for column, (entry, up, cost) in enumerate(zip(self._rows[row], self._at_high, self._cost, strict=True)):
            if abs(entry) < EPSILON or (entry > 0) == (up == below):
                continue
            ratio = abs(cost / entry)
            if found < 0 or ratio < best - EPSILON or (ratio < best + EPSILON and abs(entry) > size):
                found, best, size = column, ratio, abs(entry)
        return found

    def _pivot(self, row: int, column: int, to_high: bool) -> None:
        old = self._rows[row]
        scale = 1.0 / old[column]
        new = [-entry * scale for entry in old]
        new[column] = scale
        rest = -self._rest[row] * scale
        for other, entries in enumerate(self._rows):
            factor = entries[column]
            if other != row and factor:
                entries[column] = 0.0
                self._rows[other] = [entry + factor * part for entry, part in zip(entries, new, strict=True)]
                self._rest[other] += factor * rest
        factor = self._cost[column]
        self._cost[column] = 0.0
        self._cost = [entry + factor * part for entry, part in zip(self._cost, new, strict=True)]
        self._rows[row], self._rest[row] = new, rest
        self._inside[row], self._outside[column] = self._outside[column], self._inside[row]
        self._at_high[column] = to_high
        self._pivots += 1

    def _read_point(self, at: Sequence[float], values: Sequence[float]) -> dict[int, float]:
        size = len(self._part)
        both = [*zip(self._outside, at, strict=True), *zip(self._inside, values, strict=True)]
        return {self._part[name]: value for name, value in both if name < size}

    def _added(self, multipliers: dict[int, float], aimed: bool) -> AtMost | None:
        size = len(self._part)
        total: dict[int, int] = {}
        bound = 0
        made_of: list[AtMost] = []
        parts = [(abs(y), self._limits[name - size]) for name, y in multipliers.items() if name >= size]
        if aimed:
            if self._aim is None:
                return None
            parts.append((1.0, self._aim))
        largest = max((y for y, _ in parts), default=0.0)
        for y, limit in parts:
            whole = round(y / largest * PRECISION) if largest else 0
            if whole:
                made_of.append(limit)
                bound += whole * limit.bound
                for variable, c, _ in limit.terms:
                    total[variable] = total.get(variable, 0) + whole * c
        added = AtMost(list(total.items()), self._all_numbers, bound)
        added.made_of = made_of
        return added

"""All linear limits looked at together: which sum of them excludes most.

Bounds of one limit at a time are blind to what several limits exclude only jointly (x + y at most 4 and x
- y at least 3). A small linear program over the current bounds finds the multipliers under which the
limits, added up, say most. It is solved in floating point, which is harmless: any sum of limits with
multipliers of zero or more follows from them, so the sum itself is formed and applied in exact integers.
A wrong multiplier makes it weak, never wrong.

Angles that are kept apart take part through their arcs (``arcs``): as long as both ways round are left, the
program sees only what both allow.

Method: dual simplex with bounded variables on a condensed tableau (textbook; the last basis stays dual
feasible when bounds change, so each node of a search costs a few pivots).
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Sequence
from math import inf

from ringcut.fit.answers import Meter
from ringcut.fit.arcs import Arcs
from ringcut.fit.cuts import Rounding, Share, sources
from ringcut.fit.limits import AtMost, Limit

PIVOTS = 60
"""A program that takes more is left; the node is then tightened by single limits only."""

MOST_CUTS = 6
"""Cuts taken in one round, of the variables that are farthest from a value."""

CUT_ROUNDS = 5

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
        arcs: Sequence[Arcs] = (),
    ) -> None:
        """Variables outside ``part`` have one value each in ``masks``.

        ``aim`` is a limit whose bound the caller lowers; its sum is what is made small.
        """
        self._fixed = [mask.bit_length() - 1 for mask in masks]
        self._limits = list(limits)
        self._own = len(limits)
        self._arcs = arcs
        summed = {v for limit in (*limits, *([aim] if aim else [])) for v in limit.scope}
        summed |= {v for each in arcs for v in each.scope[:2]}
        self._part = [variable for variable in part if variable in summed]
        self._numbers = [numbers[variable] for variable in self._part]
        self._all_numbers = numbers
        self._rounding: Rounding | None = None
        self._aim = aim
        self._leaning = aim is None
        self.point: dict[int, float] = {}
        """After ``sum_of_limits``: where the relaxed problem is best, by variable."""
        self._build()

    def sum_of_limits(self, masks: Sequence[int], meter: Meter) -> AtMost | None:
        """The sum of limits that excludes most under the bounds of ``masks``; None if it was not found."""
        low, high = self._ends(masks)
        self.point = {}
        if self._pivots > FRESH_AFTER:
            self._build()
        for _ in range(PIVOTS):
            meter.check()
            at = [high[name] if up else low[name] for name, up in zip(self._outside, self._at_high, strict=True)]
            values = [rest + sum(map(float.__mul__, row, at)) for rest, row in zip(self._rest, self._rows, strict=True)]
            row, below = self._worst(values, low, high)
            if row < 0:
                self.point = self._read_point(at, values)
                return self._added(masks, zip(self._outside, self._cost, self._at_high, strict=True), aimed=True)
            column = self._entering(row, below)
            if column < 0:
                own = (self._inside[row], 1.0, not below)
                rest = zip(self._outside, self._rows[row], self._at_high, strict=True)
                return self._added(masks, (own, *rest), aimed=False)
            self._pivot(row, column, not below)
        self._build()
        return None

    def cut_off(self, masks: Sequence[int], meter: Meter) -> None:
        """Take cuts into account, until ``without_cuts``, that keep only points near whole choices within ``masks``."""
        rounding = self._rounding = self._rounding or Rounding(self._part, self._all_numbers)
        for _ in range(CUT_ROUNDS):
            self.sum_of_limits(masks, meter)
            rows = [(self.off_grid(v), -row) for row, v in self._inside_variables() if v in self.point]
            worst = [-row for off, row in sorted(rows, reverse=True)[:MOST_CUTS] if off > 1e-4]
            found = (rounding.cut(masks, *self._derived(masks, row)) for row in worst)
            cuts = [cut for cut in found if cut and self._is_beyond(cut)]
            if not cuts:
                return
            size, sums = len(self._part), len(self._limits)
            tight = {id(self._limits[name - size]) for name in self._outside if size <= name < size + sums}
            kept = [limit for limit in self._limits[self._own :] if id(limit) in tight]
            self._limits = [*self._limits[: self._own], *kept, *cuts]
            self._build()

    def _inside_variables(self) -> list[tuple[int, int]]:
        size = len(self._part)
        return [(row, self._part[name]) for row, name in enumerate(self._inside) if name < size]

    def _derived(self, masks: Sequence[int], row: int) -> tuple[int, list[Share], set[int]]:
        """A variable, of each limit how often it counts in its row, and the variables that are at their most."""
        size, last = len(self._part), len(self._part) + len(self._limits)
        shares: list[Share] = []
        upper: set[int] = set()
        for name, entry, up in zip(self._outside, self._rows[row], self._at_high, strict=True):
            if name >= last:
                each = self._arcs[name - last]
                shares.append((entry if up else -entry, each.edge(masks, up), each))
            elif name >= size:
                shares.append((-entry, self._limits[name - size], self._limits[name - size]))
            elif up:
                upper.add(self._part[name])
        return self._part[self._inside[row]], shares, upper

    def _is_beyond(self, cut: AtMost) -> bool:
        reached = sum(c * self.point.get(v, numbers[self._fixed[v]]) for v, c, numbers in cut.terms)
        return reached > cut.bound + 1e-4

    def without_cuts(self) -> None:
        """Forget the sums that ``cut_off`` found: the masks they hold for are left."""
        if len(self._limits) > self._own:
            self._limits = self._limits[: self._own]
            self._build()

    def upright(self) -> None:
        """Lean no more away from the limits, which refutes worse: no solution was found soon."""
        if self._leaning:
            self._leaning = False
            self._build()

    def is_above(self, variable: int, position: int) -> bool:
        """Whether the relaxed best lies above the value at ``position``."""
        at = self.point.get(variable)
        return at is not None and at > self._all_numbers[variable][position] + 1e-6

    def off_grid(self, variable: int) -> float:
        """How far from the nearest value the relaxed best lies, as a part of the way between two values; 0 at one."""
        at, numbers = self.point[variable], self._all_numbers[variable]
        found = bisect_left(numbers, at - 1e-6)
        if not found or found == len(numbers) or numbers[found] - at <= 1e-6:
            return 0.0
        low, high = numbers[found - 1], numbers[found]
        return min(at - low, high - at) / (high - low)

    def below(self, variable: int) -> tuple[int, bool]:
        """The position of the value below the relaxed best, and whether the value above it is nearer."""
        at, numbers = self.point[variable], self._all_numbers[variable]
        found = max(bisect_left(numbers, at - 1e-6), 1)
        return found - 1, found < len(numbers) and numbers[found] - at < at - numbers[found - 1]

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

    def _ends(self, masks: Sequence[int]) -> tuple[list[float], list[float]]:
        # By name: the variables, what is left to each limit's bound, the difference of each two angles.
        low, high = [], []
        for variable, numbers in zip(self._part, self._numbers, strict=True):
            mask = masks[variable]
            low.append(float(numbers[(mask & -mask).bit_length() - 1]))
            high.append(float(numbers[mask.bit_length() - 1]))
        low += [0.0] * len(self._limits)
        high += [inf] * len(self._limits)
        for each in self._arcs:
            least, most = each.span(masks)
            low.append(float(least))
            high.append(float(most))
        return low, high

    def _build(self) -> None:
        size = len(self._part)
        where = {variable: column for column, variable in enumerate(self._part)}
        self._outside = list(range(size))
        self._inside = list(range(size, size + len(self._limits) + len(self._arcs)))
        self._rows, self._rest = [], []
        differences = [((each.scope[0], -1), (each.scope[1], 1)) for each in self._arcs]
        sums = [(float(limit.bound), [(v, c) for v, c, _ in limit.terms]) for limit in self._limits]
        for rest, terms in (*sums, *((0.0, pairs) for pairs in differences)):
            row = [0.0] * size
            for variable, c in terms:
                if variable in where:
                    row[where[variable]] -= c
                else:
                    rest -= c * self._all_numbers[variable][self._fixed[variable]]
            self._rows.append(row)
            self._rest.append(rest)
        self._cost = [0.0] * size
        for weight, limit in [(1.0, self._aim)] if self._aim else self._away():
            for variable, c, _ in limit.terms:
                if variable in where:
                    self._cost[where[variable]] += weight * c
        self._at_high = [cost < 0 for cost in self._cost]
        self._pivots = 0

    def _away(self) -> list[tuple[float, AtMost]]:
        """Where nothing is wanted but a solution: away from all limits, where whole choices are likely to be near."""
        if not self._leaning:
            return []
        return [(1.0 / sum(abs(c) for _, c, _ in limit.terms), limit) for limit in self._limits if limit.terms]

    def _worst(self, values: Sequence[float], low: Sequence[float], high: Sequence[float]) -> tuple[int, bool]:
        worst, found, below = 1e-7, -1, True
        for row, (name, value) in enumerate(zip(self._inside, values, strict=True)):
            if low[name] - value > worst:
                worst, found, below = low[name] - value, row, True
            elif value - high[name] > worst:
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

    def _added(
        self, masks: Sequence[int], multipliers: Iterable[tuple[int, float, bool]], aimed: bool
    ) -> AtMost | None:
        # A multiplier counts for the limit that its name stands for; of two angles, for the end they are held at.
        size, last = len(self._part), len(self._part) + len(self._limits)
        parts: list[tuple[float, AtMost, Limit]] = []
        for name, y, up in multipliers:
            if name >= last and y:
                each = self._arcs[name - last]
                parts.append((abs(y), each.edge(masks, up), each))
            elif name >= size and y:
                parts.append((abs(y), self._limits[name - size], self._limits[name - size]))
        if aimed:
            if self._aim is None:
                return None
            parts.append((1.0, self._aim, self._aim))
        total: dict[int, int] = {}
        bound = 0
        made_of: list[Limit] = []
        largest = max((y for y, _, _ in parts), default=0.0)
        for y, limit, source in parts:
            whole = round(y / largest * PRECISION) if largest else 0
            if whole:
                made_of.append(source)
                bound += whole * limit.bound
                for variable, c, _ in limit.terms:
                    total[variable] = total.get(variable, 0) + whole * c
        added = AtMost(list(total.items()), self._all_numbers, bound)
        added.made_of = sources(made_of)
        return added

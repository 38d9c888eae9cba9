"""The search: python-constraint's backtracking over splits of domains, everything tightened at every node.

python-constraint does the search: its solver holds the decisions and goes forward and back. What it is
given is not one variable of 500 values but a chain of two-valued decisions, "this part or that part of a
domain", and one constraint that splits, tightens and says whether anything is left. Ours are that constraint
and the choice of the domain split next, because values tried one by one are too many: with one variable a
domain, tightened once before, python-constraint found a first choice for 2 of 20 problems of
``tests/benchmarks/bench_fit.py`` within 2 s and the best choice for none.

Where a domain is split is read from the point at which the sums of limits are best. Two angles that are too
close together there are put on one side of each other, then the other; a variable between two of its values
is held below, then above; without such a point a domain is halved. That point rounded to the grids, where it
breaks nothing, is a solution before the search comes to it, and only better ones are looked for from then on.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from ringcut.fit.answers import Meter, OutOfBudget
from ringcut.fit.arcs import Arcs
from ringcut.fit.compiled import Network
from ringcut.fit.limits import AtMost
from ringcut.fit.relaxation import Relaxation
from ringcut.fit.splits import NEITHER, Split, halvings, middle, nearest, split

ROUNDS = 3
"""How often in one node the sum of limits is formed again after it struck something."""

CUT_OFF_AT = (6, 24, 96, 384)
"""Nodes of a branch at which the relaxed best is cut off: cuts cost more than a few nodes, and save thousands."""

FINE_SPLITS = 12
"""Splits beside a point, at most, on one way down: there could be one for each value, which is a long way."""

ONCE_ROUND = 1
"""Looks at each limit, on average, before a node is left to the sum of limits: closing in step by step is slow."""


class Splits:
    """The one constraint python-constraint sees: decision k takes a part of the domain chosen at depth k."""

    def __init__(
        self,
        network: Network,
        part: Sequence[int],
        meter: Meter,
        relaxation: Relaxation | None = None,
        aim: AtMost | None = None,
    ) -> None:
        """Search the variables of ``part``.

        ``aim`` is the one of the limits that says how good a solution must be: it is lowered below each that is
        found. Without it one solution is enough.
        """
        self._network = network
        self._part = part
        self._meter = meter
        self._relaxation = relaxation
        self._aim = aim
        self._moving = [number for number, limit in enumerate(network.limits) if limit is aim]
        self._arcs = [limit for limit in network.limits if isinstance(limit, Arcs)]
        self._ways = {arcs.scope[2] for arcs in self._arcs}
        self._states: list[list[int]] = []
        self._splits: list[Split | None] = []
        self._fine: list[int] = []
        self._met: list[int] | None = None
        self._plain: int | None = None
        """The depth from which on the angles at the relaxed best were far enough apart; below it cuts hold."""
        self._inside = 0
        self._weight = [1] * len(network.watching)

    def solutions(self, masks: list[int]) -> Iterator[list[int]]:
        """Complete choices, each better than the last by ``aim``; one at most without. Raises OutOfBudget."""
        try:
            for found in self._searched(masks):
                self._lower(found)
                self._met = None
                yield found
                if not self._aim:
                    return
        except OutOfBudget:
            if self._met:
                yield self._met
            raise
        if self._met:
            yield self._met

    def _searched(self, masks: list[int]) -> Iterator[list[int]]:
        root = masks.copy()
        if not self._tighten(root, range(len(self._network.limits))):
            return
        if found := self._dive(root):
            yield found
            if not self._aim:
                return
            if not self._tighten(root, self._moving):
                return
        if self._relaxation:
            self._relaxation.upright()
        depth = sum(halvings(root[variable]) for variable in self._part)
        if not depth:
            yield root
            return
        from constraint import OptimizedBacktrackingSolver

        depth += FINE_SPLITS
        self._states = [root, *([] for _ in range(depth))]
        self._splits, self._fine = [None] * depth, [0] * (depth + 1)
        decisions = list(range(depth))
        both = [1, 0]  # the solver takes them from the end
        constraint = (self, decisions)
        solver = OptimizedBacktrackingSolver(forwardcheck=False)
        for _ in solver.getSolutionIter(
            dict.fromkeys(decisions, both), [constraint], {k: [constraint] for k in decisions}
        ):
            yield self._states[depth]

    def __call__(
        self, decisions: Sequence[int], domains: object, taken: dict[int, int], forwardcheck: object = None
    ) -> bool:
        """Whether the part just decided leaves a value to every variable; called by python-constraint."""
        depth = len(taken) - 1
        second = bool(taken[depth])
        before = self._states[depth]
        if self._plain is not None and depth < self._plain:
            self._leave()
        if not second:
            # Chosen once for both tries of a depth, so that the parts make up the whole.
            self._splits[depth] = (
                self._choose(before, self._fine[depth] < FINE_SPLITS) if self._still(depth) else NEITHER
            )
        chosen = self._splits[depth]
        if chosen is None or chosen is NEITHER:
            self._states[depth + 1] = before
            return chosen is None and not second
        self._meter.node()
        after = before.copy()
        after[chosen.variable] = chosen.second if second else chosen.first
        self._states[depth + 1] = after
        self._fine[depth + 1] = self._fine[depth] + chosen.fine
        if self._tighten(after, (*self._network.watching[chosen.variable], *self._moving)):
            return True
        self._weight[chosen.variable] += 1
        return False

    def _leave(self) -> None:
        self._plain, self._inside = None, 0
        if self._relaxation:
            self._relaxation.without_cuts()

    def _still(self, depth: int) -> bool:
        """Whether a state may have a solution, after the sums were cut off around it where that is due."""
        relaxed, masks = self._relaxation, self._states[depth]
        if not relaxed or not relaxed.point or any(arcs.beyond(masks, relaxed.point) for arcs in self._arcs):
            return True
        self._plain = depth if self._plain is None else self._plain
        self._inside += 1
        if self._inside not in CUT_OFF_AT:
            return True
        relaxed.cut_off(self._states[self._plain], self._meter)
        return self._tighten(masks, self._moving)

    def _tighten(self, masks: list[int], waiting: Sequence[int]) -> bool:
        network, relaxed = self._network, self._relaxation
        looks = ONCE_ROUND * len(network.limits) if relaxed else None
        if not network.tighten(masks, waiting, self._meter, looks):
            return False
        for _ in range(ROUNDS if relaxed else 0):
            added = relaxed.sum_of_limits(masks, self._meter) if relaxed else None
            if added is None:
                if relaxed and relaxed.point and not self._aim:
                    self._rounded(masks)
                break
            changed: list[int] = []
            left = added.revise(masks, changed, self._meter)
            if changed or not left:
                network.struck.update(added.made_of)
            if not left:
                return False
            if not changed and not self._rounded(masks):
                break
            woken = [limit for variable in changed for limit in network.watching[variable]]
            if not network.tighten(masks, (*woken, *self._moving), self._meter, looks):
                return False
        if any(masks[variable] & (masks[variable] - 1) for variable in self._part):
            return True
        return network.tighten(masks, range(len(network.limits)), self._meter)

    def _rounded(self, masks: list[int]) -> bool:
        """Whether the relaxed best, rounded to values that are left, is a solution.

        Without an aim that settles ``masks``; with one, only better ones are looked for from now on.
        """
        point = self._relaxation.point if self._relaxation else {}
        found = masks.copy()
        for variable in self._part:
            mask = found[variable]
            if mask & (mask - 1) and variable not in self._ways:
                if variable not in point or self._relaxation is None:
                    return False
                found[variable] = nearest(mask, self._relaxation.nearest(variable, mask))
        limits = self._network.limits
        if any(isinstance(limit, AtMost) and limit.of(found) > limit.bound for limit in limits):
            return False
        if not self._network.tighten(found, range(len(limits)), self._meter):
            return False
        if self._aim:
            self._met = found
            self._lower(found)
        else:
            masks[:] = found
        return True

    def _lower(self, found: Sequence[int]) -> None:
        if self._aim:
            self._aim.bound = self._aim.of(found) - 1

    def _dive(self, masks: list[int]) -> list[int] | None:
        # Settle one variable after the other without going back: a solution, or nothing.
        point = self._relaxation.point if self._relaxation else {}
        found = masks.copy()
        while opened := [v for v in self._part if found[v] & (found[v] - 1)]:
            self._meter.node()
            chosen = min(opened, key=lambda v: found[v].bit_count() / self._weight[v])
            relaxed, mask = self._relaxation, found[chosen]
            found[chosen] = nearest(mask, relaxed.nearest(chosen, mask) if relaxed else middle(mask))
            if not self._tighten(found, self._network.watching[chosen]):
                if relaxed:
                    relaxed.point = point
                return None
        return found

    def _choose(self, masks: Sequence[int], fine: bool) -> Split | None:
        """The domain that is split next, and where; ``fine``: whether it may be anywhere. None: nothing is open."""
        relaxed = self._relaxation
        point = relaxed.point if relaxed else {}
        if fine and point and (found := self._way_round(masks, point)):
            return found
        opened = [v for v in self._part if masks[v] & (masks[v] - 1)]
        plain = [v for v in opened if v not in self._ways] or opened
        if not plain:
            return None
        if relaxed and all(v in point for v in plain):
            between = [v for v in plain if relaxed.off_grid(v)]
            plain = between or plain
            first = max(plain, key=lambda v: self._weight[v] / masks[v].bit_count())
            if fine and between and (found := self._beside(relaxed, masks, first)):
                return found
        pressing = {v for limit in self._network.limits if not limit.allows(point) for v in limit.scope}
        chosen = min(plain, key=lambda v: (v not in pressing, masks[v].bit_count() / self._weight[v]))
        half = middle(masks[chosen])
        upper_first = relaxed is not None and relaxed.is_above(chosen, half)
        return split(chosen, masks[chosen], (1 << (half + 1)) - 1, upper_first)

    def _way_round(self, masks: Sequence[int], point: Mapping[int, float]) -> Split | None:
        # No sum of limits sees a gap that angles have on both sides, so those go first.
        worst = max(self._arcs, key=lambda arcs: arcs.beyond(masks, point), default=None)
        found = worst.below(masks, point) if worst else None
        if worst is None or found is None:
            return None
        way = worst.scope[2]
        return split(way, masks[way], found[0], found[1])

    def _beside(self, relaxed: Relaxation, masks: Sequence[int], variable: int) -> Split | None:
        position, nearer_above = relaxed.below(variable)
        mask = masks[variable]
        lower = (1 << (position + 1)) - 1
        return split(variable, mask, lower, nearer_above) if mask & lower and mask & ~lower else None

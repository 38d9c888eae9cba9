"""The search: python-constraint's backtracking over halvings of domains, everything tightened at every node.

python-constraint does the search: its solver holds the decisions and goes forward and back. What it is
given is not one variable of 500 values but a chain of two-valued decisions, "this half or that half of a
domain", and one constraint that halves, tightens and says whether anything is left. Ours are that constraint
and the choice of the domain halved next, because values tried one by one are too many: with one variable a
domain, tightened once before, python-constraint found a first choice for 2 of 20 problems of
``tests/benchmarks/bench_fit.py`` within 2 s and the best choice for none; over halvings it finds both for all
of them, the median in 5 and 20 ms.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ringcut.fit.answers import Meter
from ringcut.fit.compiled import Network
from ringcut.fit.relaxation import Relaxation

ROUNDS = 3
"""How often in one node the sum of limits is formed again after it struck something."""


class Halvings:
    """The one constraint python-constraint sees: decision k takes a half of the domain chosen at depth k."""

    def __init__(
        self,
        network: Network,
        part: Sequence[int],
        meter: Meter,
        relaxation: Relaxation | None = None,
        moving: Sequence[int] = (),
        one: bool = False,
    ) -> None:
        """Search the variables of ``part``; ``moving`` numbers the limits whose bound may be lowered.

        With ``one``, only one solution is wanted: a quick try comes first, and nothing after it.
        """
        self._network = network
        self._part = part
        self._meter = meter
        self._relaxation = relaxation
        self._moving = moving
        self._one = one
        self._states: list[list[int]] = []
        self._chosen: list[int] = []
        self._upper_first: list[bool] = []
        self._weight = [1] * len(network.watching)

    def solutions(self, masks: list[int]) -> Iterator[list[int]]:
        """Every way to leave one value to each variable of the part, each once.

        A limit of ``moving`` that is lowered between two of them holds from then on. Raises OutOfBudget.
        """
        root = masks.copy()
        if not self._tighten(root, range(len(self._network.limits))):
            return
        if self._one and (found := self._dive(root)):
            yield found
            return
        depth = sum(_halvings(root[variable]) for variable in self._part)
        if not depth:
            yield root
            return
        from constraint import OptimizedBacktrackingSolver

        self._states = [root, *([] for _ in range(depth))]
        self._chosen, self._upper_first = [-1] * depth, [False] * depth
        decisions = list(range(depth))
        both = [1, 0]  # the solver takes them from the end
        constraint = (self, decisions)
        found = OptimizedBacktrackingSolver(forwardcheck=False).getSolutionIter(
            dict.fromkeys(decisions, both), [constraint], {k: [constraint] for k in decisions}
        )
        for _ in found:
            yield self._states[depth]

    def __call__(
        self, decisions: Sequence[int], domains: object, taken: dict[int, int], forwardcheck: object = None
    ) -> bool:
        """Whether the halving just decided leaves a value to every variable; called by python-constraint."""
        depth = len(taken) - 1
        second = bool(taken[depth])
        before = self._states[depth]
        if not second:
            self._choose(depth, before)
        variable = self._chosen[depth]
        if variable < 0:
            self._states[depth + 1] = before
            return not second
        self._meter.node()
        after = before.copy()
        mask, middle = before[variable], _middle(before[variable])
        lower = mask & ((1 << (middle + 1)) - 1)
        after[variable] = mask ^ lower if second != self._upper_first[depth] else lower
        self._states[depth + 1] = after
        if self._tighten(after, (*self._network.watching[variable], *self._moving)):
            return True
        self._weight[variable] += 1
        return False

    def _tighten(self, masks: list[int], waiting: Sequence[int]) -> bool:
        if not self._network.tighten(masks, waiting, self._meter):
            return False
        for _ in range(ROUNDS if self._relaxation else 0):
            added = self._relaxation.sum_of_limits(masks, self._meter) if self._relaxation else None
            changed: list[int] = []
            if added is None:
                return True
            left = added.revise(masks, changed, self._meter)
            if changed or not left:
                self._network.struck.update(added.made_of)
            if not left:
                return False
            if not changed:
                return True
            woken = [limit for variable in changed for limit in self._network.watching[variable]]
            if not self._network.tighten(masks, woken, self._meter):
                return False
        return True

    def _dive(self, masks: list[int]) -> list[int] | None:
        # Settle one variable after the other without going back: a solution, or nothing.
        point = self._relaxation.point if self._relaxation else {}
        found = masks.copy()
        while opened := [v for v in self._part if found[v] & (found[v] - 1)]:
            self._meter.node()
            chosen = min(opened, key=lambda v: found[v].bit_count() / self._weight[v])
            relaxed, mask = self._relaxation, found[chosen]
            found[chosen] = _nearest(mask, relaxed.nearest(chosen, mask) if relaxed else _middle(mask))
            if not self._tighten(found, self._network.watching[chosen]):
                if relaxed:
                    relaxed.point = point
                return None
        return found

    def _choose(self, depth: int, masks: Sequence[int]) -> None:
        # Chosen once for both tries of a depth, so that the halves make up the whole. The relaxed point was
        # read in this very state. Angles it has too close together go first: no sum of limits sees them.
        point = self._relaxation.point if self._relaxation else {}
        limits = self._network.limits
        pressing = {v for limit in limits if not limit.allows(point) for v in limit.scope} if point else set()
        opened = [variable for variable in self._part if masks[variable] & (masks[variable] - 1)]
        if not opened:
            self._chosen[depth] = -1
            return
        chosen = min(opened, key=lambda v: (v not in pressing, masks[v].bit_count() / self._weight[v]))
        self._chosen[depth] = chosen
        relaxed, middle = self._relaxation, _middle(masks[chosen])
        self._upper_first[depth] = relaxed is not None and relaxed.is_above(chosen, middle)


def _middle(mask: int) -> int:
    return ((mask & -mask).bit_length() + mask.bit_length() - 2) // 2


def _halvings(mask: int) -> int:
    return (mask.bit_length() - (mask & -mask).bit_length()).bit_length()


def _nearest(mask: int, position: int) -> int:
    """The bit of the mask that is nearest to a position."""
    below = mask & ((1 << (position + 1)) - 1)
    above = mask ^ below
    low = 1 << (below.bit_length() - 1) if below else 0
    high = above & -above
    if not (low and high):
        return low or high
    return low if position - (low.bit_length() - 1) <= (high.bit_length() - 1) - position else high

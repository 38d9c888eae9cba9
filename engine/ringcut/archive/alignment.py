"""The least-cost way from a plan, in which some steps may come in any order, to the list of what was done.

Cost: a step left out 1, a step added 1, a step out of its order 1. Where every planned step is done at most once, what
is out of order is found exactly: two pairs contradict each other if the plan has one order of them and the log the
other. Contradiction is transitive (plan order intersected with the reverse of log order is a partial order), so the
largest set of pairs without one is a largest antichain, and Dilworth's theorem with a bipartite matching finds it.
Repeated steps are paired in every way where that is affordable, else one kind after the other until nothing improves.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterator, Sequence
from itertools import combinations, product
from math import comb

import msgspec

MOST = 2000
"""Ways to pair repeated steps that are all tried."""

Before = Callable[[int, int], bool]
Pair = tuple[int, int]
"""(index in the plan, index in the log)."""


class Alignment(msgspec.Struct, frozen=True):
    """Indexes: what was left out of the plan, added in the log, and the pairs that match or are out of order."""

    pairs: tuple[Pair, ...]
    left_out: tuple[int, ...]
    added: tuple[int, ...]
    out_of_order: tuple[Pair, ...]
    exact: bool

    @property
    def cost(self) -> int:
        """Steps left out, added and out of order."""
        return len(self.left_out) + len(self.added) + len(self.out_of_order)


def align(planned: Sequence[str], done: Sequence[str], plan_before: Before, log_before: Before) -> Alignment:
    """Align two lists of names; ``*_before(x, y)``: whether x necessarily comes before y.

    Cost: pairing ways times n**2.5 of a matching; n**2 calls of the orders.
    """
    in_plan, in_log = _by_name(planned), _by_name(done)
    names = [name for name in in_plan if name in in_log]
    ways = 1
    for name in names:
        few, many = sorted((len(in_plan[name]), len(in_log[name])))
        ways = min(ways * comb(many, few), MOST + 1)
    groups = [list(_pairings(in_plan[name], in_log[name])) if ways <= MOST else [] for name in names]
    if ways <= MOST:
        best = min(
            ([pair for group in way for pair in group] for way in product(*groups)),
            key=lambda pairs: len(_moved(pairs, plan_before, log_before)),
        )
    else:
        best = _improved(names, in_plan, in_log, plan_before, log_before)
    moved = _moved(best, plan_before, log_before)
    paired = {p for p, _ in best}, {d for _, d in best}
    return Alignment(
        tuple(sorted(best)),
        tuple(index for index in range(len(planned)) if index not in paired[0]),
        tuple(index for index in range(len(done)) if index not in paired[1]),
        tuple(sorted(moved)),
        ways <= MOST,
    )


def _by_name(names: Sequence[str]) -> dict[str, list[int]]:
    found: dict[str, list[int]] = {}
    for index, name in enumerate(names):
        found.setdefault(name, []).append(index)
    return found


def _pairings(planned: list[int], done: list[int]) -> Iterator[list[Pair]]:
    """Every way to pair as many as can be, kept in list order: crossing two doings of one step gains nothing."""
    few = min(len(planned), len(done))
    for chosen in combinations(planned, few) if len(planned) > few else combinations(done, few):
        yield list(zip(chosen, done, strict=True)) if len(planned) > few else list(zip(planned, chosen, strict=True))


def _improved(
    names: list[str], in_plan: dict[str, list[int]], in_log: dict[str, list[int]], plan: Before, log: Before
) -> list[Pair]:
    held = {name: next(_pairings(in_plan[name], in_log[name])) for name in names}

    def cost(name: str, group: list[Pair]) -> int:
        pairs = [pair for other, kept in held.items() for pair in (group if other == name else kept)]
        return len(_moved(pairs, plan, log))

    for name in names:
        tried = (way for _, way in zip(range(MOST // 10), _pairings(in_plan[name], in_log[name]), strict=False))
        held[name] = min(tried, key=lambda group: cost(name, group))
    return [pair for group in held.values() for pair in group]


def _moved(pairs: Sequence[Pair], plan_before: Before, log_before: Before) -> list[Pair]:
    """The fewest pairs without which no two contradict each other: the rest is a largest antichain."""
    count = len(pairs)
    after = [
        [j for j in range(count) if plan_before(pairs[i][0], pairs[j][0]) and log_before(pairs[j][1], pairs[i][1])]
        for i in range(count)
    ]
    if not any(after):
        return []
    chained_to: dict[int, int] = {}
    for i in range(count):
        _chain(i, after, chained_to)
    # König: from the left ends that no chain leaves, alternate; what is reached left and not right is the antichain
    taken = set(chained_to.values())
    left, right = {i for i in range(count) if i not in taken}, set[int]()
    queue = list(left)
    while queue:
        for j in after[queue.pop()]:
            if j not in right:
                right.add(j)
                if j in chained_to and chained_to[j] not in left:
                    left.add(chained_to[j])
                    queue.append(chained_to[j])
    return [pairs[i] for i in range(count) if i not in left or i in right]


def _chain(start: int, after: list[list[int]], chained_to: dict[int, int]) -> None:
    """Lengthen the matching by one, along a shortest alternating path from ``start``, if there is one."""
    came_from: dict[int, int] = {}
    queue = deque([start])
    while queue:
        i = queue.popleft()
        for j in after[i]:
            if j in came_from:
                continue
            came_from[j] = i
            if j in chained_to:
                queue.append(chained_to[j])
            else:
                _turn_over(start, j, came_from, chained_to)
                return


def _turn_over(start: int, end: int, came_from: dict[int, int], chained_to: dict[int, int]) -> None:
    partner = {i: j for j, i in chained_to.items()}
    while True:
        i = came_from[end]
        chained_to[end] = i
        if i == start:
            return
        end = partner[i]

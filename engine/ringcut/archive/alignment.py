"""The least-cost way from a plan, in which some steps may come in any order, to the list of what was done.

Cost: a step left out 1, a step added 1, a step out of its order 1. As many doings of a name are paired as can be, so
what is looked for is the most pairs that can stay where they are. Two pairs cannot, if the plan has one order of them
and the log the other, or if both take one step of the plan, or one of the log. Plan order intersected with the reverse
of log order is a partial order of the pairs, so without steps taken twice the most is a largest antichain, and
Dilworth's theorem with a bipartite matching finds it. Where an antichain takes a step twice, which only steps of one
name without an order among them allow, one pair or the other goes, and both are tried.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterator, Sequence

import msgspec

MOST = 200
"""Antichains that are looked for before the best so far is told."""
MOST_PAIRS = 1000
"""Pairs of one name in plan and log that are all looked at; beyond, doings are paired in list order."""

Before = Callable[[int, int], bool]
Pair = tuple[int, int]
"""(index in the plan, index in the log)."""
Mask = int
"""Some pairs, a bit each."""


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

    Cost: n**2 calls of the orders, and for each antichain a matching of the pairs that have one name.
    """
    in_plan, in_log = _by_name(planned), _by_name(done)
    both = [(here, in_log[name]) for name, here in in_plan.items() if name in in_log]
    in_step = {pair for here, there in both for pair in zip(here, there, strict=False)}
    every = sorted((p, d) for here, there in both for p in here for d in there)
    pairs = every if len(every) <= MOST_PAIRS else sorted(in_step)
    start = _mask(pairs, lambda *pair: pair in in_step)
    most, all_tried = _most_kept(_Pairs(pairs, plan_before, log_before), start)
    exact = all_tried and (len(pairs) == len(every) or most.bit_count() == len(in_step))
    kept = [pairs[index] for index in _bits(most)]
    moved = list(_others(both, kept))
    taken = {p for p, _ in (*kept, *moved)}, {d for _, d in (*kept, *moved)}
    return Alignment(
        tuple(sorted([*kept, *moved])),
        tuple(index for index in range(len(planned)) if index not in taken[0]),
        tuple(index for index in range(len(done)) if index not in taken[1]),
        tuple(sorted(moved)),
        exact,
    )


def _by_name(names: Sequence[str]) -> dict[str, list[int]]:
    found: dict[str, list[int]] = {}
    for index, name in enumerate(names):
        found.setdefault(name, []).append(index)
    return found


def _others(both: list[tuple[list[int], list[int]]], kept: list[Pair]) -> Iterator[Pair]:
    """What has a name in plan and log and no pair yet, paired in list order."""
    planned, done = {p for p, _ in kept}, {d for _, d in kept}
    for here, there in both:
        left = [d for d in there if d not in done]
        yield from zip((p for p in here if p not in planned), left, strict=False)


def _bits(mask: Mask) -> Iterator[int]:
    while mask:
        low = mask & -mask
        yield low.bit_length() - 1
        mask ^= low


class _Pairs:
    """Pairs, and which of them cannot both stay: ``after`` by their orders, ``twice`` as they take one step twice."""

    def __init__(self, pairs: Sequence[Pair], plan_before: Before, log_before: Before) -> None:
        later = {p: _mask(pairs, lambda q, _, p=p: q == p or plan_before(p, q)) for p, _ in pairs}  # type: ignore[misc]
        sooner = {d: _mask(pairs, lambda _, e, d=d: e == d or log_before(e, d)) for _, d in pairs}  # type: ignore[misc]
        self.pairs = pairs
        self.after = [later[p] & sooner[d] & ~(1 << index) for index, (p, d) in enumerate(pairs)]
        self.before = [0] * len(pairs)
        for index, mask in enumerate(self.after):
            for each in _bits(mask):
                self.before[each] |= 1 << index
        one = {p: _mask(pairs, lambda q, _, p=p: q == p) for p, _ in pairs}  # type: ignore[misc]
        two = {d: _mask(pairs, lambda _, e, d=d: e == d) for _, d in pairs}  # type: ignore[misc]
        self.twice = [(one[p] | two[d]) & ~(1 << index) for index, (p, d) in enumerate(pairs)]

    def against(self, index: int) -> Mask:
        """The pairs that cannot stay if one does, and itself."""
        return self.after[index] | self.before[index] | self.twice[index] | 1 << index


def _mask(pairs: Sequence[Pair], holds: Callable[[int, int], bool]) -> Mask:
    return sum(1 << index for index, pair in enumerate(pairs) if holds(*pair))


def _most_kept(pairs: _Pairs, start: Mask) -> tuple[Mask, bool]:
    """The most pairs that can stay, and whether no more can: branch where an antichain takes a step twice.

    ``start``: as many pairs as there can be, no step twice.
    """
    best = _antichain(pairs.after, start)
    rest = [(1 << len(pairs.pairs)) - 1]
    for _ in range(MOST):
        if not rest or best.bit_count() == start.bit_count():
            return _soonest(pairs, best), True
        alive = rest.pop()
        found = _antichain(pairs.after, alive)
        if found.bit_count() <= best.bit_count():
            continue
        twice = next((index for index in _bits(found) if pairs.twice[index] & found), None)
        if twice is None:
            best = found
            continue
        good = _without_twice(pairs, found)
        best = max(best, good, key=int.bit_count)
        rest += [alive & ~(pairs.twice[twice] & found), alive & ~(1 << twice)]
    return _soonest(pairs, best), not rest


def _without_twice(pairs: _Pairs, found: Mask) -> Mask:
    kept: Mask = 0
    for index in _bits(found):
        kept |= 0 if pairs.twice[index] & kept else 1 << index
    return kept


def _soonest(pairs: _Pairs, kept: Mask) -> Mask:
    """As many pairs, of doings as early in plan and log as can be: of three tests the last is the one too many."""
    names = {index: _bits_of_name(pairs, index) for index in _bits(kept)}
    for index, alike in names.items():
        others = kept & ~(1 << index)
        first = next(each for each in _bits(alike) if not pairs.against(each) & others)
        kept = others | 1 << first
    return kept


def _bits_of_name(pairs: _Pairs, index: int) -> Mask:
    """The pairs of the same name: those that share a step with one that shares a step with this one."""
    near = pairs.twice[index] | 1 << index
    for each in _bits(pairs.twice[index]):
        near |= pairs.twice[each]
    return near


def _antichain(after: list[Mask], alive: Mask) -> Mask:
    """A largest set of pairs of which none is ``after`` another (Dilworth; the matching as König has it)."""
    chained_to: dict[int, int] = {}
    for start in _bits(alive):
        _chain(start, after, alive, chained_to)
    # from the left ends that no chain leaves, alternate; what is reached left and not right is the antichain
    left = alive & ~sum(1 << index for index in chained_to.values())
    right: Mask = 0
    queue = list(_bits(left))
    while queue:
        for index in _bits(after[queue.pop()] & alive & ~right):
            right |= 1 << index
            if index in chained_to and not left >> chained_to[index] & 1:
                left |= 1 << chained_to[index]
                queue.append(chained_to[index])
    return left & ~right


def _chain(start: int, after: list[Mask], alive: Mask, chained_to: dict[int, int]) -> None:
    """Lengthen the matching by one, along a shortest alternating path from ``start``, if there is one."""
    came_from: dict[int, int] = {}
    queue = deque([start])
    fresh = alive
    while queue:
        at = queue.popleft()
        for index in _bits(after[at] & fresh):
            fresh &= ~(1 << index)
            came_from[index] = at
            if index in chained_to:
                queue.append(chained_to[index])
            else:
                _turn_over(start, index, came_from, chained_to)
                return


def _turn_over(start: int, end: int, came_from: dict[int, int], chained_to: dict[int, int]) -> None:
    partner = {i: j for j, i in chained_to.items()}
    while True:
        i = came_from[end]
        chained_to[end] = i
        if i == start:
            return
        end = partner[i]

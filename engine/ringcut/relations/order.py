"""What comes before what: one interface for a plan's partial order and a log's order in time.

A plan's dependency graph is a networkx graph: cycles, paths and, where steps wait for steps listed below them, a line
that respects it come from there. "Is before" is answered from bitsets (Python integers) filled in topological order,
which is linear in edges and small (never a transitive-closure graph).
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Collection, Iterable, Sequence
from fractions import Fraction
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from networkx import DiGraph

Key = tuple[Fraction, Fraction, int]


class Cycle(Exception):
    """Steps that wait for each other: ``path`` names them by index, the first again at the end."""

    def __init__(self, path: list[int]) -> None:
        self.path = path
        super().__init__(" -> ".join(str(step) for step in path))


class Order:
    """A strict partial order on 0 .. n-1. ``line`` is one linear order that respects it."""

    def __init__(
        self,
        line: Sequence[int],
        after: list[int] | None = None,
        backwards: Callable[[], list[int]] | None = None,
    ) -> None:
        """``after``: for each step those after it; absent: there is no other order. ``backwards`` gives the reverse."""
        self.n = len(line)
        self.line = tuple(line)
        self.rank = [0] * self.n
        for position, step in enumerate(self.line):
            self.rank[step] = position
        self._after = after
        self._before: list[int] | None = None
        self._backwards = backwards
        self.total = after is None

    def before(self, x: int, y: int) -> bool:
        """Whether x necessarily comes before y."""
        if self._after is None:
            return self.rank[x] < self.rank[y]
        return bool(self._after[x] >> y & 1)

    def after_bits(self, x: int) -> int:
        """The steps necessarily after x, as a bitset."""
        if self._after is None:
            self._after = _behind(self.line, self.n)
        return self._after[x]

    def before_bits(self, y: int) -> int:
        """The steps necessarily before y, as a bitset."""
        if self._before is None:
            self._before = self._backwards() if self._backwards else _behind(reversed(self.line), self.n)
        return self._before[y]


def _behind(line: Iterable[int], n: int) -> list[int]:
    """For each step of a line those that stand behind it."""
    found, seen = [0] * n, 0
    for step in reversed(list(line)):
        found[step] = seen
        seen |= 1 << step
    return found


def _reachable(line: Iterable[int], next_to: list[list[int]]) -> list[int]:
    """For each step those that its neighbours lead to; every neighbour stands behind it in the line."""
    found = [0] * len(next_to)
    for step in reversed(list(line)):
        for each in next_to[step]:
            found[step] |= found[each] | 1 << each
    return found


def bits(mask: int) -> Iterable[int]:
    """The members of a bitset, ascending."""
    while mask:
        low = mask & -mask
        yield low.bit_length() - 1
        mask ^= low


def dependency_graph(n: int, edges: Iterable[tuple[int, int]]) -> DiGraph[int]:
    """The steps of a plan by index, an edge from each step to those that wait for it."""
    from networkx import DiGraph as Graph

    graph: DiGraph[int] = Graph()
    graph.add_nodes_from(range(n))
    graph.add_edges_from(sorted(set(edges)))
    return graph


def plan_order(n: int, edges: Iterable[tuple[int, int]]) -> Order:
    """The order of a plan from its (earlier, later) pairs; :class:`Cycle` where steps wait for each other.

    Where every step waits only for steps above it the list is a line already; else networkx finds one. Cost: the line,
    then one pass over the edges with n-bit integers.
    """
    pairs = set(edges)
    line = list(range(n)) if all(x < y for x, y in pairs) else _line(n, pairs)
    if all(pair in pairs for pair in zip(line, line[1:], strict=False)):
        return Order(line)
    later: list[list[int]] = [[] for _ in range(n)]
    earlier: list[list[int]] = [[] for _ in range(n)]
    for x, y in pairs:
        later[x].append(y)
        earlier[y].append(x)
    return Order(line, _reachable(line, later), lambda: _reachable(line[::-1], earlier))


def _line(n: int, pairs: set[tuple[int, int]]) -> list[int]:
    """A line that respects the pairs, the earliest listed first."""
    import networkx

    graph = dependency_graph(n, pairs)
    try:
        return list(networkx.lexicographical_topological_sort(graph, key=int))
    except networkx.NetworkXUnfeasible:
        found = networkx.find_cycle(graph)
        raise Cycle([found[0][0], *(edge[1] for edge in found)]) from None


def log_order(
    keys: Sequence[tuple[Fraction | None, Fraction | None]],
    rows_in_order: bool = True,
    unlisted: Collection[int] = (),
    lost: Collection[int] = (),
) -> tuple[Order, list[bool]]:
    """The order of a log from (begin, finish) of each entry in list order, and which entries have a place.

    before(x, y): x finished before y began, or at the same instant and (x began earlier, or x is listed first). An
    entry without a time lies between its timed neighbours in the list where the timed entries are listed in time order,
    else it has none and is unordered. ``unlisted``: entries that have no row of their own (the end of what lasts).
    ``lost``: those that have no place, wherever they are listed.
    """
    timed = [begin for index, (begin, _) in enumerate(keys) if begin is not None and index not in unlisted]
    in_order = rows_in_order and all(a <= b for a, b in zip(timed, timed[1:], strict=False))
    placed = [(pair[0] is not None or in_order) and index not in lost for index, pair in enumerate(keys)]
    if rows_in_order and all(placed) and all(pair[0] is None for pair in keys):
        return Order(range(len(keys))), placed
    spans = _spans(keys, unlisted)
    line = sorted(range(len(keys)), key=lambda i: spans[i])
    if all(placed) and rows_in_order and all(begin == finish for begin, finish, _ in spans):
        return Order(line), placed
    after = _after_in_time(spans, placed, lambda x, y: _is_before(x, y, rows_in_order))
    if all(after[x] >> y & 1 for x, y in zip(line, line[1:], strict=False)):
        return Order(line), placed
    backwards = [_mirrored(span) for span in spans]

    def before() -> list[int]:
        return _after_in_time(backwards, placed, lambda y, x: _is_before(_mirrored(x), _mirrored(y), rows_in_order))

    return Order(line, after, before), placed


def _mirrored(span: Key) -> Key:
    """An entry as it stands where time runs backwards."""
    return -span[1], -span[0], -span[2]


def _spans(keys: Sequence[tuple[Fraction | None, Fraction | None]], unlisted: Collection[int]) -> list[Key]:
    """Begin and finish of each entry; one without a time gets the time that its neighbours leave it."""
    following: list[Fraction | None] = [None] * len(keys)
    above: Fraction | None = None
    for index in range(len(keys) - 1, -1, -1):
        following[index] = above
        above = keys[index][0] if keys[index][0] is not None and index not in unlisted else above
    last = above if above is not None else Fraction(0)
    spans: list[Key] = []
    for index, (begin, finish) in enumerate(keys):
        if begin is not None and finish is not None:
            spans.append((begin, finish, index))
            last = last if index in unlisted else finish
            continue
        below = following[index]
        spans.append((last if below is None else min(last, below), last, index))
    return spans


def _after_in_time(spans: list[Key], placed: list[bool], is_before: Callable[[Key, Key], bool]) -> list[int]:
    """What comes after each interval: one suffix of the entries sorted by begin, and the touching ones by rule."""
    sorted_by_begin = sorted((index for index, has_place in enumerate(placed) if has_place), key=lambda i: spans[i][0])
    begins = [spans[index][0] for index in sorted_by_begin]
    suffix = [0] * (len(begins) + 1)
    for position in range(len(begins) - 1, -1, -1):
        suffix[position] = suffix[position + 1] | 1 << sorted_by_begin[position]
    after = [0] * len(spans)
    for x in sorted_by_begin:
        first, past = bisect_left(begins, spans[x][1]), bisect_right(begins, spans[x][1])
        after[x] = suffix[past]
        for y in sorted_by_begin[first:past]:
            if x != y and is_before(spans[x], spans[y]):
                after[x] |= 1 << y
    return after


def _is_before(x: Key, y: Key, by_list: bool) -> bool:
    if x[1] != y[0]:
        return x[1] < y[0]
    return x[0] < y[0] or by_list and x[2] < y[2]

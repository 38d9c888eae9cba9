"""What comes before what: plans against networkx and the standard library's graphlib, logs against the definition."""

from __future__ import annotations

from fractions import Fraction
from graphlib import CycleError, TopologicalSorter

import networkx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ringcut.relations.order import Cycle, bits, log_order, plan_order

Key = tuple[Fraction | None, Fraction | None]
PAIRS = st.lists(st.tuples(st.integers(0, 7), st.integers(0, 7)), max_size=16)


@settings(max_examples=100)
@given(st.integers(1, 8), PAIRS)
def test_before_is_reachability(n: int, edges: list[tuple[int, int]]) -> None:
    forward = [(min(pair), max(pair)) for pair in edges if max(pair) < n and pair[0] != pair[1]]
    order = plan_order(n, forward)
    graph = networkx.DiGraph(forward)
    graph.add_nodes_from(range(n))
    for x in range(n):
        later = networkx.descendants(graph, x)
        assert {y for y in range(n) if order.before(x, y)} == later
        assert set(bits(order.after_bits(x))) == later
        assert set(bits(order.before_bits(x))) == networkx.ancestors(graph, x)
    assert all(order.rank[x] < order.rank[y] for x, y in forward)
    assert sorted(order.line) == list(range(n))


@settings(max_examples=100)
@given(PAIRS)
def test_a_cycle_is_told_as_graphlib_sees_it(edges: list[tuple[int, int]]) -> None:
    sorter: TopologicalSorter[int] = TopologicalSorter()
    for x, y in edges:
        sorter.add(y, x)
    try:
        sorter.prepare()
        cyclic = False
    except CycleError:
        cyclic = True
    if not cyclic:
        plan_order(8, edges)
        return
    with pytest.raises(Cycle) as caught:
        plan_order(8, edges)
    path = caught.value.path
    assert path[0] == path[-1]
    assert set(zip(path, path[1:], strict=False)) <= set(edges)


TIMES = st.one_of(st.none(), st.tuples(st.integers(0, 5), st.integers(0, 3)))


def keys_of(drawn: list[tuple[int, int] | None]) -> list[Key]:
    return [(None, None) if each is None else (Fraction(each[0]), Fraction(sum(each))) for each in drawn]


def naive(x: int, y: int, keys: list[Key], by_list: bool) -> bool:
    """before(x, y) of timed entries, as the language defines it: begin and finish, equal instants by the list."""
    begin, finish = keys[x]
    other = keys[y][0]
    assert begin is not None and finish is not None and other is not None
    return finish < other or finish == other and (begin < other or by_list and x < y)


@settings(max_examples=150)
@given(st.lists(st.tuples(st.integers(0, 5), st.integers(0, 3)), max_size=8), st.booleans())
def test_timed_entries_are_ordered_as_the_language_says(drawn: list[tuple[int, int] | None], by_list: bool) -> None:
    keys = keys_of(drawn)
    order, placed = log_order(keys, by_list)
    assert all(placed)
    for x in range(len(keys)):
        for y in range(len(keys)):
            if x != y:
                assert order.before(x, y) == naive(x, y, keys, by_list)
                assert order.after_bits(x) >> y & 1 == order.before(x, y) == order.before_bits(y) >> x & 1


@settings(max_examples=150)
@given(st.lists(TIMES, max_size=7), st.booleans())
def test_before_is_a_strict_partial_order(drawn: list[tuple[int, int] | None], by_list: bool) -> None:
    keys = keys_of(drawn)
    order, placed = log_order(keys, by_list)
    every = range(len(keys))
    assert not any(order.before(x, x) for x in every)
    for x in every:
        for y in bits(order.after_bits(x)):
            assert not order.before(y, x)
            assert order.rank[x] < order.rank[y]
            assert all(order.before(x, z) for z in bits(order.after_bits(y)))
    for index in every:
        if not placed[index]:
            assert not order.after_bits(index) and not order.before_bits(index)


@settings(max_examples=150)
@given(st.lists(TIMES, max_size=7))
def test_an_entry_without_a_time_lies_between_its_neighbours(drawn: list[tuple[int, int] | None]) -> None:
    keys = keys_of(drawn)
    timed = [begin for begin, _ in keys if begin is not None]
    order, placed = log_order(keys)
    assert all(placed) == (timed == sorted(timed) or None not in drawn)
    if not all(placed):
        return
    for index, (begin, _) in enumerate(keys):
        if begin is not None:
            continue
        above = next((i for i in range(index - 1, -1, -1) if keys[i][0] is not None), None)
        below = next((i for i in range(index + 1, len(keys)) if keys[i][0] is not None), None)
        apart = above is None or below is None or order.before(above, below)
        assert above is None or order.before(above, index) == apart
        assert below is None or order.before(index, below) == apart


def test_a_log_without_any_time_is_its_list() -> None:
    order, placed = log_order([(None, None)] * 3)
    assert order.line == (0, 1, 2) and all(placed) and order.before(0, 2)


def test_the_end_of_what_lasts_has_no_row() -> None:
    """A blower from 9:00 to 15:00 made the rows behind it look unsorted, and left entries without a time nowhere."""
    keys: list[Key] = [(Fraction(t), Fraction(t)) for t in (9, 15, 10)]
    keys.insert(3, (None, None))
    order, placed = log_order(keys, True, {1})
    assert placed == [True] * 4
    assert order.before(2, 3) and order.before(3, 1)

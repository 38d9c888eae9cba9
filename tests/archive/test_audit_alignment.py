"""Planned against done: the least cost, by trying every set of steps that could be out of order."""

from __future__ import annotations

from collections.abc import Callable
from itertools import combinations, product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringcut.archive.alignment import align
from ringcut.relations.order import plan_order


def chain(x: int, y: int) -> bool:
    return x < y


@pytest.mark.parametrize(
    ("planned", "done", "left_out", "added", "moved"),
    [
        ("abc", "abc", "", "", 0),
        ("abc", "ac", "b", "", 0),
        ("abc", "abxc", "", "x", 0),
        ("abc", "acb", "", "", 1),
        ("abcd", "dabc", "", "", 1),
        ("abcd", "dcba", "", "", 3),
        ("aab", "ab", "a", "", 0),
        ("gbg", "bg", "g", "", 0),
    ],
)
def test_a_plan_that_is_a_chain(planned: str, done: str, left_out: str, added: str, moved: int) -> None:
    found = align(planned, done, chain, chain)
    assert "".join(planned[index] for index in found.left_out) == left_out
    assert "".join(done[index] for index in found.added) == added
    assert len(found.out_of_order) == moved


def test_any_order_in_the_plan_is_no_difference() -> None:
    order = plan_order(4, [(0, 1), (0, 2), (1, 3), (2, 3)])
    assert align("abcd", "acbd", order.before, chain).cost == 0
    assert len(align("abcd", "bacd", order.before, chain).out_of_order) == 1


Order = Callable[[int, int], bool]


def least_cost(planned: str, done: str, plan: Order, log: Order) -> int:
    """Every pairing of equal names, crossing ones too, and every set of its pairs that stays: the least cost."""
    choices = [[None, *(d for d, name in enumerate(done) if name == each)] for each in planned]
    best = len(planned) + len(done)
    for way in product(*choices):
        pairs = [(p, d) for p, d in enumerate(way) if d is not None]
        if len({d for _, d in pairs}) < len(pairs):
            continue
        unpaired = len(planned) + len(done) - 2 * len(pairs)
        for moved in range(min(len(pairs), best - unpaired - 1) + 1):
            some = combinations(pairs, len(pairs) - moved)
            if any(not any(plan(p, q) and log(e, d) for (p, d), (q, e) in product(kept, repeat=2)) for kept in some):
                best = min(best, unpaired + moved)
                break
    return best


ORDERS = st.sets(st.tuples(st.integers(0, 5), st.integers(0, 5)))


def an_order(size: int, pairs: set[tuple[int, int]]) -> Order:
    return plan_order(size, {(x, y) for x, y in pairs if x < y < size}).before


@given(st.text("abcd", min_size=1, max_size=6), st.text("abcde", min_size=1, max_size=6), ORDERS, ORDERS)
def test_the_cost_is_least_for_any_partial_order(
    planned: str, done: str, plan_pairs: set[tuple[int, int]], log_pairs: set[tuple[int, int]]
) -> None:
    plan = an_order(len(planned), plan_pairs)
    for log in (chain, an_order(len(done), log_pairs)):
        found = align(planned, done, plan, log)
        assert found.exact
        assert found.cost == least_cost(planned, done, plan, log)
        assert len(found.pairs) + len(found.left_out) == len(planned)
        assert len(found.pairs) + len(found.added) == len(done)
        assert all(planned[p] == done[d] for p, d in found.pairs)
        kept = set(found.pairs) - set(found.out_of_order)
        assert not any(plan(p, q) and log(e, d) for (p, d), (q, e) in product(kept, repeat=2))


def test_a_doing_out_of_its_order_may_cross_another_of_its_name() -> None:
    """Planned test, open, test; done test, test, open, where the second stands for the first: one is out of order."""
    assert least_cost("xtyt", "tytxt", chain, chain) == align("xtyt", "tytxt", chain, chain).cost
    found = align("yaxa", "ayax", chain, chain)
    assert (found.cost, found.out_of_order) == (1, ((3, 0),))


def test_of_several_alike_the_last_is_the_one_too_many() -> None:
    assert align("gg", "ggg", chain, chain).added == (2,)
    assert align("ggg", "gg", chain, chain).left_out == (2,)


def test_very_many_doings_are_paired_in_their_order_and_said_to_be_not_exact() -> None:
    """Each of 60 planned tests could be any of 60 done: more pairs than are all looked at."""
    assert align("g" * 60, "g" * 60, chain, chain).exact  # nothing is out of order, so nothing can be better
    assert not align("a" + "g" * 60, "g" * 60 + "a", chain, chain).exact

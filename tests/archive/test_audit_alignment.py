"""Planned against done: the least cost, by trying every set of steps that could be out of order."""

from __future__ import annotations

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


def fewest_moved(planned: str, done: str, edges: set[tuple[int, int]]) -> int:
    """Every pairing of equal names, every set of pairs to leave alone: the fewest that are not left alone."""
    order = plan_order(len(planned), edges)
    choices = []
    for name in sorted(set(planned) & set(done)):
        here = [i for i, each in enumerate(planned) if each == name]
        there = [i for i, each in enumerate(done) if each == name]
        few = min(len(here), len(there))
        choices.append(
            [list(zip(a, b, strict=True)) for a in combinations(here, few) for b in combinations(there, few)]
        )
    best = len(done)
    for way in product(*choices):
        pairs = [pair for group in way for pair in group]
        for kept in range(len(pairs), -1, -1):
            good = any(
                not any(order.before(p, q) and e < d for (p, d), (q, e) in product(some, repeat=2))
                for some in combinations(pairs, kept)
            )
            if good:
                best = min(best, len(pairs) - kept)
                break
    return best


@given(
    st.text("abcd", min_size=1, max_size=6),
    st.text("abcde", min_size=1, max_size=6),
    st.sets(st.tuples(st.integers(0, 5), st.integers(0, 5))),
)
def test_the_cost_is_least_for_any_partial_order(planned: str, done: str, pairs: set[tuple[int, int]]) -> None:
    edges = {(x, y) for x, y in pairs if x < y < len(planned)}
    # a step that is repeated keeps its own order in the plan, as it does on paper
    edges |= {(x, y) for x, y in combinations(range(len(planned)), 2) if planned[x] == planned[y]}
    order = plan_order(len(planned), edges)
    found = align(planned, done, order.before, chain)
    assert found.exact
    assert len(found.out_of_order) == fewest_moved(planned, done, edges)
    assert len(found.pairs) + len(found.left_out) == len(planned)
    assert len(found.pairs) + len(found.added) == len(done)

"""Minimal conflicts against the published examples and against enumeration of all subsets."""

from __future__ import annotations

from collections.abc import Callable
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringcut.fit.answers import GaveUp
from ringcut.fit.conflict import all_minimal_conflicts, minimal_conflict

# Junker, QuickXplain, AAAI-04 167: five options of a car, their costs, and a budget.
COSTS = {1: 500, 2: 500, 3: 800, 4: 500, 5: 2600}
BUDGET = 3000


def affordable(options: tuple[int, ...]) -> bool:
    return sum(COSTS[option] for option in options) <= BUDGET


def holds_unless(conflicts: set[frozenset[int]]) -> Callable[[tuple[int, ...]], bool]:
    """An oracle whose minimal conflicts are known."""
    return lambda part: not any(conflict <= set(part) for conflict in conflicts)


def test_the_published_run_names_the_most_important_options() -> None:
    """With 5 and 4 the most important, the run of the paper gives {4, 5}."""
    assert minimal_conflict((5, 4, 2, 3, 1), affordable) == (5, 4)


def test_the_order_of_importance_chooses_among_the_conflicts() -> None:
    assert minimal_conflict((1, 2, 3, 4, 5), affordable) == (1, 5)


def test_all_conflicts_of_the_published_example() -> None:
    assert all_minimal_conflicts((1, 2, 3, 4, 5), affordable) == ((1, 5), (2, 5), (3, 5), (4, 5))


def test_all_conflicts_of_five_constraints() -> None:
    """Five constraints with the minimal conflicts {2,3}, {1,2,5}, {1,3,5}, {1,4,5}."""
    oracle = holds_unless({frozenset(c) for c in [(2, 3), (1, 2, 5), (1, 3, 5), (1, 4, 5)]})
    assert all_minimal_conflicts((1, 2, 3, 4, 5), oracle) == ((2, 3), (1, 2, 5), (1, 3, 5), (1, 4, 5))


def test_members_that_can_hold_together_have_no_conflict() -> None:
    assert all_minimal_conflicts((1, 2), affordable) == ()
    with pytest.raises(ValueError, match="can hold together"):
        minimal_conflict((1, 2), affordable)


def test_a_background_that_cannot_hold_is_an_empty_conflict() -> None:
    assert minimal_conflict((1, 2), lambda part: False) == ()
    assert all_minimal_conflicts((1, 2), lambda part: False) == ((),)


def test_an_oracle_that_gives_up_is_not_taken_for_a_conflict() -> None:
    gave_up = GaveUp("too much")

    def tired(part: tuple[int, ...]) -> bool | GaveUp:
        return gave_up if len(part) == 3 else affordable(part)

    assert minimal_conflict((1, 2, 3, 4, 5), tired) is gave_up
    assert all_minimal_conflicts((1, 2, 3, 4, 5), lambda part: gave_up) is gave_up


CONFLICTS = st.sets(st.frozensets(st.integers(0, 6), min_size=1), min_size=1, max_size=5)


@given(CONFLICTS)
def test_every_conflict_found_is_minimal_and_none_is_missing(conflicts: set[frozenset[int]]) -> None:
    numbers = tuple(range(7))
    oracle = holds_unless(conflicts)
    every = [part for size in range(8) for part in combinations(numbers, size) if not oracle(part)]
    smallest = tuple(part for part in every if not any(set(other) < set(part) for other in every))
    assert minimal_conflict(numbers, oracle) in smallest
    assert all_minimal_conflicts(numbers, oracle) == smallest

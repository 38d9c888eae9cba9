"""Angles put on one side of each other, and cuts of what only whole numbers exclude."""

from __future__ import annotations

from fractions import Fraction
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ringcut.fit.answers import Budget, GaveUp, NoSolution, Solution
from ringcut.fit.arcs import arcs_of
from ringcut.fit.compiled import Compiled
from ringcut.fit.cuts import Rounding
from ringcut.fit.limits import AtMost
from ringcut.fit.problem import Apart, Constraint, Label, Linear, Preference, Problem
from ringcut.fit.solve import best, consistent, first

ONE = Fraction(1)
GRID = tuple(Fraction(step) for step in range(500))


@given(
    st.sets(st.integers(-20, 40), min_size=1, max_size=8),
    st.sets(st.integers(-20, 40), min_size=1, max_size=8),
    st.integers(1, 6),
    st.integers(20, 30),
)
@settings(max_examples=200)
def test_the_arcs_are_the_differences_that_are_far_enough_apart(
    first_grid: set[int], second_grid: set[int], least: int, turn: int
) -> None:
    """Beside the distance on a circle, for every pair; up to as many arcs as are worth a choice."""
    arcs = arcs_of(sorted(first_grid), sorted(second_grid), least, turn)
    assert all(low <= high for low, high in arcs)
    assert arcs == sorted(arcs)
    for a, b in product(first_grid, second_grid):
        around = (a - b) % turn
        assert (min(around, turn - around) >= least) == any(low <= a - b <= high for low, high in arcs)


@pytest.mark.parametrize(("least", "turn"), [(0, 360), (-1, 360), (181, 360)])
def test_where_nothing_or_everything_is_excluded_there_is_no_choice_of_arcs(least: int, turn: int) -> None:
    assert arcs_of([0, 90, 180, 270], [0, 90, 180, 270], least, turn) == []


def test_angles_that_go_round_often_are_left_to_their_values() -> None:
    assert arcs_of(range(10_000), range(10_000), 10, 40) == []


@st.composite
def sums(draw: st.DrawFn) -> tuple[list[list[int]], list[tuple[list[int], int, float]], int, set[int]]:
    """Three grids of odd steps, some limits on them with a multiplier each, a variable, and who is counted down."""
    grids = [
        sorted({draw(st.integers(-6, 6)) + draw(st.integers(1, 3)) * step for step in range(draw(st.integers(2, 5)))})
        for _ in range(3)
    ]
    limits = [
        (
            [draw(st.integers(-4, 4)) for _ in range(3)],
            draw(st.integers(-20, 40)),
            draw(st.one_of(st.floats(-3, 3), st.fractions(-3, 3, max_denominator=12).map(float))),
        )
        for _ in range(draw(st.integers(1, 4)))
    ]
    return grids, limits, draw(st.integers(0, 2)), draw(st.sets(st.integers(0, 2)))


@given(sums())
@settings(max_examples=300)
def test_a_cut_holds_wherever_all_its_limits_hold(
    case: tuple[list[list[int]], list[tuple[list[int], int, float]], int, set[int]],
) -> None:
    """Enumeration is the oracle; the multipliers are any numbers, as a bad rounding might make them."""
    grids, limits, variable, upper = case
    if any(len(grid) < 2 for grid in grids):
        return
    masks = [(1 << len(grid)) - 1 for grid in grids]
    made = [AtMost(list(enumerate(terms)), grids, bound) for terms, bound, _ in limits]
    shares = [(y, limit, limit) for limit, (_, _, y) in zip(made, limits, strict=True)]
    cut = Rounding(range(3), grids).cut(masks, variable, shares, upper)
    if cut is None:
        return
    assert set(map(id, cut.made_of)) <= set(map(id, made))
    for choice in product(*(range(len(grid)) for grid in grids)):
        single = [1 << position for position in choice]
        if all(limit.of(single) <= limit.bound for limit in made):
            assert cut.of(single) <= cut.bound


def test_a_sum_of_even_numbers_is_not_odd() -> None:
    """Every bound of 2 x + 2 y + 4 z = 501 can be met by numbers between the whole ones: halving never ends."""
    terms = {"x": 2 * ONE, "y": 2 * ONE, "z": 4 * ONE}
    odd = Linear(terms, "=", Fraction(501), Label("odd"))
    problem = Problem(dict.fromkeys("xyz", GRID), (odd,))
    assert first(problem, Budget(nodes=200)) == NoSolution((odd.label,) if odd.label else ())


def test_what_only_whole_numbers_exclude_is_cut_off_and_told_as_a_conflict() -> None:
    """x + y even, y + z even, x + z odd, each by a variable for the half: no two of them are against each other."""
    names = {"x": "a", "y": "b", "z": "c"}
    even = [Linear({p: ONE, q: ONE, h: -2 * ONE}, "=", Fraction(odd), Label(f"{p}{q}"))
            for p, q, h, odd in (("x", "y", "a", 0), ("y", "z", "b", 0), ("x", "z", "c", 1))]  # fmt: skip
    limits: list[Constraint] = [*even, Linear({"x": ONE}, "<=", Fraction(400), Label("short"))]
    problem = Problem(dict.fromkeys((*names, *names.values()), GRID), tuple(limits))
    answer = first(problem, Budget(nodes=2_000))
    assert answer == NoSolution(tuple(limit.label for limit in even if limit.label))
    for left_out in even:
        kept = [limit.label for limit in limits if limit is not left_out and limit.label]
        assert consistent(Compiled(problem), kept) is True


def test_three_angles_far_apart_are_found_by_their_sides_and_not_by_their_values() -> None:
    """Three angles 120 degrees apart on a grid of 500: the only way is 0, 120, 240 and its turns."""
    clock = tuple(Fraction(step) for step in range(360))
    apart = [
        Apart(one, other, Fraction(120), Label(one + other))
        for one, other in (("bar", "channel"), ("channel", "valve"), ("bar", "valve"))
    ]
    wish = Preference({"bar": 3 * ONE, "channel": 2 * ONE, "valve": ONE})
    answer = best(Problem(dict.fromkeys(("bar", "channel", "valve"), clock), tuple(apart)), [wish], Budget(nodes=100))
    assert isinstance(answer, Solution)
    assert answer.values == {"bar": 0, "channel": 120, "valve": 240}
    four = [
        *apart,
        *(Apart("clip", each, Fraction(120), Label("clip " + each)) for each in ("bar", "channel", "valve")),
    ]
    names = ("bar", "channel", "valve", "clip")
    none = first(Problem(dict.fromkeys(names, clock), tuple(four)), Budget(nodes=2_000))
    assert isinstance(none, NoSolution)
    assert len(none.conflict) == 6


def test_a_search_that_ends_while_it_cuts_gave_up() -> None:
    terms = {"x": 2 * ONE, "y": 2 * ONE, "z": 4 * ONE}
    problem = Problem(dict.fromkeys("xyz", GRID), (Linear(terms, "=", Fraction(501), Label("odd")),))
    assert isinstance(first(problem, Budget(nodes=5)), GaveUp)

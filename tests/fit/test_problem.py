"""What a problem refuses, and what each constraint means."""

from __future__ import annotations

import re
from fractions import Fraction

import pytest

from ringcut.fit.problem import Apart, Constraint, Holds, Label, Linear, Preference, Problem, Table

ONE, TWO, THREE = Fraction(1), Fraction(2), Fraction(3)


def test_all_faults_of_domains_are_told_at_once() -> None:
    with pytest.raises(ValueError) as caught:
        Problem({"a": (), "b": (TWO, ONE), "c": ("bar", "bar")})
    told = str(caught.value)
    assert "a has no values at all" in told
    assert "b needs its numbers ascending, each once" in told
    assert "c needs words, each once" in told


@pytest.mark.parametrize(
    ("constraint", "told"),
    [
        (Linear({"z": ONE}, "<=", ONE, Label("length")), "length: unknown variable z"),
        (Linear({"w": ONE}, "<=", ONE), "w holds words, not numbers"),
        (Linear({"a": ONE}, "!=", ONE), "unknown relation !=, known are <= < = >= >"),
        (Apart("a", "w", ONE), "w holds words, not numbers"),
        (Apart("a", "b", ONE, turn=Fraction(0)), "a turn is more than zero"),
        (Table(("a", "b"), ((ONE,),)), "every row needs 2 values"),
        (Table((), ()), "its scope needs variables, each once"),
        (Holds(("a", "a"), lambda one, other: True), "its scope needs variables, each once"),
    ],
)
def test_a_constraint_that_means_nothing_is_refused(constraint: Constraint, told: str) -> None:
    with pytest.raises(ValueError, match=re.escape(told)):
        Problem({"a": (ONE, TWO), "b": (ONE, TWO), "w": ("bar",)}, (constraint,))


@pytest.mark.parametrize(
    ("first", "second", "holds"), [(350, 10, True), (350, 9, False), (0, 180, True), (5, 5, False)]
)
def test_angles_are_apart_around_the_circle(first: int, second: int, holds: bool) -> None:
    """350 and 11 degrees are 21 apart, and 350 and 10 are 20."""
    least = Fraction(20)
    assert Apart("a", "b", least).holds({"a": Fraction(first), "b": Fraction(second)}) is holds


@pytest.mark.parametrize(("op", "holding"), [("<=", {1, 2}), ("<", {1}), ("=", {2}), (">=", {2, 3}), (">", {3})])
def test_a_linear_constraint_compares_exactly(op: str, holding: set[int]) -> None:
    limit = Linear({"a": Fraction(1, 3)}, op, Fraction(2, 3))
    assert {value for value in (1, 2, 3) if limit.holds({"a": Fraction(value)})} == holding


def test_labels_keep_the_order_of_importance_and_occur_once() -> None:
    stock, bond = Label("stock"), Label("bond")
    limits = [Linear({"a": ONE}, "<=", TWO, label) for label in (stock, None, bond, stock)]
    assert Problem({"a": (ONE,)}, tuple(limits)).labels() == (stock, bond)


def test_words_have_no_worth() -> None:
    with pytest.raises(TypeError, match="a number is needed"):
        Preference({"w": ONE}).worth({"w": "bar"})
    assert Preference({"a": THREE}).worth({"a": TWO}) == 6

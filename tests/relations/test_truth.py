"""The laws of strong Kleene logic with its fourth value (Kleene, Introduction to Metamathematics, 1952, section 64)."""

from __future__ import annotations

from itertools import product

import pytest

from ringcut.relations.truth import NO, OPEN, TRUE, UNKNOWN, YES, Cause, Level, Truth, all_of, any_of, negated, worst

LEVELS = (YES, OPEN, UNKNOWN, NO)
KLEENE = {YES: 1.0, UNKNOWN: 0.5, NO: 0.0}
"""Truth, lack of knowledge and falsehood as numbers: and is the least, or the greatest, not the distance from 1."""


def both(*levels: Level) -> Level:
    return all_of(Truth(level) for level in levels).level


def some(*levels: Level) -> Level:
    return any_of(Truth(level) for level in levels).level


def no(level: Level) -> Level:
    return negated(Truth(level)).level


@pytest.mark.parametrize(("a", "b"), list(product(KLEENE, KLEENE)))
def test_three_values_are_strong_kleene(a: Level, b: Level) -> None:
    assert KLEENE[both(a, b)] == min(KLEENE[a], KLEENE[b])
    assert KLEENE[some(a, b)] == max(KLEENE[a], KLEENE[b])
    assert KLEENE[no(a)] == 1 - KLEENE[a]


def test_the_order_of_strength_with_the_fourth_value() -> None:
    """and: false, unknown, open, true; or: true, unknown, open, false."""
    conjunction, disjunction = (NO, UNKNOWN, OPEN, YES), (YES, UNKNOWN, OPEN, NO)
    for order, join in ((conjunction, both), (disjunction, some)):
        for a, b in product(LEVELS, LEVELS):
            assert join(a, b) == min(a, b, key=order.index)


@pytest.mark.parametrize(("a", "b", "c"), list(product(LEVELS, LEVELS, LEVELS)))
def test_laws(a: Level, b: Level, c: Level) -> None:
    for join, other, neutral, ends in ((both, some, YES, NO), (some, both, NO, YES)):
        assert join(a, a) == a
        assert join(a, b) == join(b, a)
        assert join(a, join(b, c)) == join(join(a, b), c) == join(a, b, c)
        assert join(a, neutral) == a and join(a, ends) == ends
        assert no(join(a, b)) == other(no(a), no(b))
    assert no(no(a)) == a


def test_nothing_at_all_is_neutral() -> None:
    assert both() == YES and some() == NO


@pytest.mark.parametrize(("a", "b"), list(product(LEVELS, LEVELS)))
def test_unknown_never_becomes_a_pass_by_negation_or_conjunction(a: Level, b: Level) -> None:
    assert (both(a, b) == YES) == (a == b == YES)
    assert (no(a) == YES) == (a == NO)


def test_the_causes_are_those_of_what_makes_it_so() -> None:
    missing, lost = Cause("reading", "x"), Cause("lost", "p", at=3)
    assert all_of([Truth(UNKNOWN, (missing,)), Truth(NO, (lost,)), Truth(YES)]) == Truth(NO, (lost,))
    assert all_of([Truth(NO, (lost,)), Truth(NO, (lost,))]) == Truth(NO, (lost,))
    again = Cause("lost", "q", at=4, others=("make-q",))
    assert any_of([Truth(NO, (again,)), Truth(NO, (missing,))])[:2] == (NO, (again, missing))
    # what no step could have made true says least
    assert any_of([Truth(NO, (lost,)), Truth(NO, (again,))])[:2] == (NO, (again, lost))
    assert any_of([Truth(NO, (lost,)), Truth(UNKNOWN, (missing,))]) == Truth(UNKNOWN, (missing,))
    assert any_of([Truth(NO, (lost,)), Truth(YES)]) == Truth(YES)


def test_the_ways_to_heal_are_told_apart() -> None:
    """Of a disjunction any part, of a conjunction all."""
    a, b, c = (Cause("lost", name, at=at) for at, name in enumerate("abc"))
    either = any_of([Truth(NO, (a,)), Truth(NO, (b,))])
    assert either.ways == ((a,), (b,))
    assert all_of([either, Truth(NO, (c,))]).ways == ((a, c), (b, c))
    assert all_of([Truth(NO, (a,)), Truth(NO, (b,))]).ways == ((a, b),)
    assert TRUE.ways == ()


def test_the_worst_of_several_worlds() -> None:
    cause = Cause("lost", "p")
    assert worst([Truth(YES), Truth(OPEN), Truth(NO, (cause,)), Truth(UNKNOWN)]) == Truth(NO, (cause,))
    assert worst([]) == Truth(YES)

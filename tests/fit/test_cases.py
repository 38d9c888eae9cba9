"""Words that choose which sums must hold."""

from __future__ import annotations

from fractions import Fraction

import pytest

from ringcut.fit.cases import Cases
from ringcut.fit.problem import Linear, Value

ONE = Fraction(1)


@pytest.mark.parametrize(
    ("kind", "length", "expected"),
    [("bar", 16, True), ("bar", 17, False), ("bar", 2, False), ("strap", 17, True), ("wire", 1, False)],
)
def test_the_word_chooses_what_must_hold(kind: str, length: int, expected: bool) -> None:
    """A bar is 3 to 16 long, a strap anything, a wire will not do."""
    sums = [Linear({"length": ONE}, "<=", Fraction(16)), Linear({"length": ONE}, ">=", Fraction(3))]
    cases = Cases({"kind": 0, "length": 1}, [0], {("bar",): sums, ("strap",): True, ("wire",): False})
    assert cases(kind, Fraction(length)) is expected


def test_the_places_of_words_and_numbers_are_the_callers() -> None:
    sums: dict[tuple[Value, ...], list[Linear] | bool] = {
        ("a", "x"): [Linear({"m": 2 * ONE, "n": -ONE}, "=", Fraction(1))]
    }
    cases = Cases({"m": 0, "one": 1, "n": 2, "two": 3}, [1, 3], sums)
    assert cases(Fraction(2), "a", Fraction(3), "x")
    assert not cases(Fraction(2), "a", Fraction(4), "x")

"""A test of values in which some words choose what sums must hold: a limit with an "if", or a look-up by size."""

from __future__ import annotations

import operator
from collections.abc import Mapping, Sequence
from fractions import Fraction

from ringcut.fit.problem import Linear, Value

OPERATORS = {
    "<": operator.lt,
    "<=": operator.le,
    ">": operator.gt,
    ">=": operator.ge,
    "=": operator.eq,
}


class Cases:
    """What must hold for each choice of words: some sums, or anything, or nothing will do."""

    def __init__(
        self, at: Mapping[str, int], words: Sequence[int], cases: Mapping[tuple[Value, ...], list[Linear] | bool]
    ) -> None:
        """``at`` is the place of each variable among the values given, ``words`` are the places of the words."""
        self._words = words
        self._cases = {
            chosen: found
            if isinstance(found, bool)
            else [(OPERATORS[s.op], [(at[name], c) for name, c in s.terms.items()], s.bound) for s in found]
            for chosen, found in cases.items()
        }

    def __call__(self, *values: Value) -> bool:
        """Whether the values meet what their words ask for."""
        found = self._cases[tuple(values[at] for at in self._words)]
        if isinstance(found, bool):
            return found
        for compare, terms, bound in found:
            total = Fraction(0)
            for at, c in terms:
                number = values[at]
                assert isinstance(number, Fraction)
                total += c * number
            if not compare(total, bound):
                return False
        return True

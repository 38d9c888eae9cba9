"""Whether linear inequalities over rational numbers can hold together, by Fourier and Motzkin's elimination.

Exact, for the few and small systems that limits of a rulebook make; where the elimination grows too large it says that
it gave up.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from fractions import Fraction

import msgspec

MOST = 1500
"""Inequalities in hand at once before it gives up."""


class Linear(msgspec.Struct, frozen=True):
    """``sum of coefficient * variable + constant <= 0``, or ``< 0`` where ``strict``."""

    terms: Mapping[str, Fraction]
    constant: Fraction = Fraction(0)
    strict: bool = False


class _Row(msgspec.Struct, frozen=True):
    terms: tuple[tuple[str, Fraction], ...]
    constant: Fraction
    strict: bool


def feasible(rows: Iterable[Linear]) -> bool | None:
    """Whether some values meet every inequality; None where it gave up."""
    left = _tidied(_scaled(row.terms, row.constant, row.strict) for row in rows)
    while left is not None and any(row.terms for row in left):
        name = _cheapest(left)
        upper = [row for row in left if dict(row.terms).get(name, 0) > 0]
        lower = [row for row in left if dict(row.terms).get(name, 0) < 0]
        rest = [row for row in left if name not in dict(row.terms)]
        if len(rest) + len(upper) * len(lower) > MOST:
            return None
        left = _tidied([*rest, *(_joined(name, one, two) for one in upper for two in lower)])
    return left is not None


def _cheapest(rows: list[_Row]) -> str:
    """The variable whose elimination makes the fewest new rows; by name where equal."""
    ups: dict[str, int] = {}
    downs: dict[str, int] = {}
    for row in rows:
        for name, factor in row.terms:
            counted = ups if factor > 0 else downs
            counted[name] = counted.get(name, 0) + 1
    return min(sorted({*ups, *downs}), key=lambda name: ups.get(name, 0) * downs.get(name, 0))


def _joined(name: str, upper: _Row, lower: _Row) -> _Row:
    one, two = dict(upper.terms), dict(lower.terms)
    up, down = one.pop(name), -two.pop(name)
    terms = {each: one.get(each, Fraction(0)) * down + two.get(each, Fraction(0)) * up for each in {*one, *two}}
    return _scaled(terms, upper.constant * down + lower.constant * up, upper.strict or lower.strict)


def _scaled(terms: Mapping[str, Fraction], constant: Fraction, strict: bool) -> _Row:
    kept = sorted((name, factor) for name, factor in terms.items() if factor)
    if not kept:
        return _Row((), constant, strict)
    size = abs(kept[0][1])
    return _Row(tuple((name, factor / size) for name, factor in kept), constant / size, strict)


def _tidied(rows: Iterable[_Row]) -> list[_Row] | None:
    """The tightest row for each left side; None where a row without variables cannot hold."""
    best: dict[tuple[tuple[str, Fraction], ...], _Row] = {}
    for row in rows:
        if not row.terms:
            if row.constant > 0 or row.strict and row.constant == 0:
                return None
            continue
        old = best.get(row.terms)
        if old is None or (row.constant, row.strict) > (old.constant, old.strict):
            best[row.terms] = row
    return list(best.values())

"""How likely it is that an uncertain value keeps a limit, and what that decides (JCGM 106:2012).

A reading ``y`` with standard uncertainty ``u`` stands for a normal distribution. A value of which a part is only known
to lie in a range has no one probability, but a least and a greatest one, at the edges of the range: it is accepted by
the least, and rejected by the greatest.
"""

from __future__ import annotations

from fractions import Fraction
from math import erf, sqrt
from typing import NamedTuple

from ringcut.relations.spans import Span, Value, negative, plus
from ringcut.relations.truth import NO, TRUE, UNKNOWN, Cause, Truth


class Likely(NamedTuple):
    """The probability that something holds: the least and the greatest that it can be, 0 to 1."""

    least: float
    most: float

    @property
    def opposite(self) -> Likely:
        """That it does not hold."""
        return Likely(1 - self.most, 1 - self.least)


def uncertain(gap: Span) -> bool:
    """Whether an uncertainty has a part in a value."""
    return any(u for _, u in gap.terms)


def probability(op: str, gap: Span) -> Likely:
    """That ``gap op 0`` (JCGM 106:2012, 7.2), the gap given with its terms."""
    spread = sqrt(sum(float(u) ** 2 for _, u in gap.terms))
    below = Likely(_below(gap.high, spread, 0.0), _below(gap.low, spread, 1.0))
    return below if op[0] == "<" else below.opposite


def _below(middle: Fraction | None, spread: float, unbounded: float) -> float:
    return unbounded if middle is None else 0.5 * (1 + erf(-float(middle) / spread / sqrt(2)))


def together(one: Likely, two: Likely) -> Likely:
    """That both of two limits of one value are kept, of which one at least always is (JCGM 106:2012, 7.4)."""
    return Likely(max(one.least + two.least - 1, 0.0), max(one.most + two.most - 1, 0.0))


def chance_between(one: str, low: Value, middle: Value, two: str, high: Value) -> Likely | None:
    """How likely two limits of one value are kept; None where no uncertainty has a part in both."""
    gaps = _gap(low, middle), _gap(middle, high)
    if gaps[0] is None or gaps[1] is None:
        return None
    return together(probability(one, gaps[0]), probability(two, gaps[1]))


def chance_of(op: str, left: Value, right: Value) -> Likely | None:
    """How likely ``left op right`` is; None where no uncertainty has a part in it."""
    gap = _gap(left, right)
    return None if gap is None or op in ("=", "!=") else probability(op, gap)


def _gap(left: Value, right: Value) -> Span | None:
    """The difference of two values, where an uncertainty has a part in it."""
    if not isinstance(left, Span) or not isinstance(right, Span):
        return None
    gap = plus(left, negative(right))
    return gap if uncertain(gap) else None


def decided(likely: Likely, level: Fraction) -> Truth:
    """Accepted from the decision level, rejected below what is left of it; between the two neither is shown."""
    if likely.least >= float(level):
        return TRUE
    rejected = likely.most < 1 - float(level)
    cause = Cause("value", f"{PROBABILITY} {percent(likely, level)}", why="unreadable")
    return Truth(NO if rejected else UNKNOWN, (cause,))


PROBABILITY = "probability of conformity"


def percent(likely: Likely, level: Fraction) -> str:
    """A probability in words, as exact as it takes to see on which side of the decision level it lies."""
    least, most = (_percent(each, float(level), float(1 - level)) for each in likely)
    return least if least == most else f"{least} to {most}"


def _percent(chance: float, accepted: float, rejected: float) -> str:
    if chance < 0.005:
        return "under 1%"
    if chance >= 0.995 > accepted:
        return "over 99%"
    for digits in range(6):
        shown = round(chance, 2 + digits)
        if all((shown >= each) == (chance >= each) for each in (accepted, rejected)):
            break
    return f"{shown:.{digits}%}"

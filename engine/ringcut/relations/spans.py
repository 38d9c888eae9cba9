"""What a reading may be: an interval of exact numbers, some words, or nothing.

Interval arithmetic keeps the edges open where they are. A span that is ``free`` will only be known when the step is
done; one that is ``tolerance`` must conform at its worst; any other wide span is evidence that leaves room.
``terms`` carry standard uncertainties to first order (JCGM 100:2008, 5.1.2), one for each reading.
"""

from __future__ import annotations

from fractions import Fraction
from math import inf

import msgspec

from ringcut.relations.truth import Cause


class Span(msgspec.Struct, frozen=True):
    """low to high in the base unit; None is unbounded."""

    low: Fraction | None
    high: Fraction | None
    low_open: bool = False
    high_open: bool = False
    free: bool = False
    tolerance: bool = False
    terms: tuple[tuple[str, Fraction], ...] = ()
    """(reading, its standard uncertainty times the sensitivity), base unit."""

    @property
    def exact(self) -> bool:
        """A single number."""
        return self.low is not None and self.low == self.high

    def holds(self, value: Fraction) -> bool:
        """Whether the span contains a number."""
        above = self.low is None or self.low < value or self.low == value and not self.low_open
        below = self.high is None or value < self.high or self.high == value and not self.high_open
        return above and below


class Words(msgspec.Struct, frozen=True):
    """One of some words; ``free``: known only when done. Empty: any word."""

    options: tuple[str, ...]
    free: bool = False


class Listed(msgspec.Struct, frozen=True):
    """All of some words, in order."""

    items: tuple[str, ...]


class Missing(msgspec.Struct, frozen=True):
    """No value, and why."""

    cause: Cause


Value = Span | Words | Listed | Missing


def exactly(value: Fraction) -> Span:
    """The span of a single number."""
    return Span(value, value)


def negative(a: Span) -> Span:
    """``-a``."""
    low = None if a.high is None else -a.high
    high = None if a.low is None else -a.low
    terms = tuple((name, -u) for name, u in a.terms)
    return Span(low, high, a.high_open, a.low_open, a.free, a.tolerance, terms)


def plus(a: Span, b: Span) -> Span:
    """``a + b``."""
    low = None if a.low is None or b.low is None else a.low + b.low
    high = None if a.high is None or b.high is None else a.high + b.high
    return _joined(low, high, a.low_open or b.low_open, a.high_open or b.high_open, a, b, _added(a.terms, b.terms))


def times(a: Span, b: Span) -> Span:
    """``a * b``."""
    edges = [_corner(x, y) for x in _edges(a) for y in _edges(b)]
    low, low_open = min(edges)
    high, high_open = max(edges, key=lambda edge: (edge[0], not edge[1]))
    terms = _added(_scaled(a.terms, _middle(b)), _scaled(b.terms, _middle(a)))
    least = low if isinstance(low, Fraction) else None
    most = high if isinstance(high, Fraction) else None
    return _joined(least, most, low_open and least is not None, high_open and most is not None, a, b, terms)


def _edges(a: Span) -> tuple[tuple[Fraction | float, bool], tuple[Fraction | float, bool]]:
    low = (-inf, True) if a.low is None else (a.low, a.low_open)
    return low, (inf, True) if a.high is None else (a.high, a.high_open)


def _corner(x: tuple[Fraction | float, bool], y: tuple[Fraction | float, bool]) -> tuple[Fraction | float, bool]:
    """The product of two edges, and whether it is never reached; zero itself makes zero of anything."""
    if x[0] == 0 or y[0] == 0:
        return Fraction(0), not ((x[0] == 0 and not x[1]) or (y[0] == 0 and not y[1]))
    return x[0] * y[0], x[1] or y[1]


def inverse(a: Span) -> Span | None:
    """``1 / a``; None where ``a`` may be zero."""
    if a.holds(Fraction(0)):
        return None
    if a.low is not None and a.low >= 0 or a.high is not None and a.high <= 0:
        low = Fraction(0) if a.high is None else None if a.high == 0 else 1 / a.high
        high = Fraction(0) if a.low is None else None if a.low == 0 else 1 / a.low
        low_open, high_open = a.high_open or a.high is None, a.low_open or a.low is None
        scale = Fraction(0) if not a.terms else -1 / (_middle(a) ** 2)
        terms = _scaled(a.terms, scale)
        return Span(low, high, low_open and low is not None, high_open and high is not None, a.free, a.tolerance, terms)
    return None


def least(*spans: Span) -> Span:
    """The smaller of some numbers."""
    return negative(greatest(*(negative(span) for span in spans)))


def greatest(*spans: Span) -> Span:
    """The greater of some numbers."""
    result = spans[0]
    for span in spans[1:]:
        low, low_open = _higher((result.low, result.low_open), (span.low, span.low_open))
        if result.high is None or span.high is None:
            high, high_open = None, False
        elif result.high == span.high:
            high, high_open = result.high, result.high_open and span.high_open
        else:
            high, high_open = max((result.high, result.high_open), (span.high, span.high_open))
        terms = max((result, span), key=_middle).terms
        result = _joined(low, high, low_open, high_open, result, span, terms)
    return result


def size(a: Span) -> Span:
    """The absolute value of a number."""
    if a.low is not None and a.low >= 0:
        return a
    if a.high is not None and a.high <= 0:
        return negative(a)
    both = greatest(a, negative(a))
    return msgspec.structs.replace(both, low=Fraction(0), low_open=False)


def shift_free(a: Span, *others: Value) -> Span:
    """``a`` marked free or tolerance where any of ``others`` is."""
    free = a.free or any(isinstance(other, Span | Words) and other.free for other in others)
    return msgspec.structs.replace(a, free=free)


def _joined(
    low: Fraction | None,
    high: Fraction | None,
    low_open: bool,
    high_open: bool,
    a: Span,
    b: Span,
    terms: tuple[tuple[str, Fraction], ...],
) -> Span:
    return Span(low, high, low_open, high_open, a.free or b.free, a.tolerance or b.tolerance, terms)


def _added(
    a: tuple[tuple[str, Fraction], ...], b: tuple[tuple[str, Fraction], ...]
) -> tuple[tuple[str, Fraction], ...]:
    if not a or not b:
        return a or b
    total = dict(a)
    for name, u in b:
        total[name] = total.get(name, Fraction(0)) + u
    return tuple(total.items())


def _scaled(terms: tuple[tuple[str, Fraction], ...], by: Fraction) -> tuple[tuple[str, Fraction], ...]:
    return tuple((name, u * by) for name, u in terms)


def _middle(a: Span) -> Fraction:
    if a.low is None or a.high is None:
        return a.low or a.high or Fraction(0)
    return (a.low + a.high) / 2


def _higher(a: tuple[Fraction | None, bool], b: tuple[Fraction | None, bool]) -> tuple[Fraction | None, bool]:
    if a[0] is None or b[0] is None:
        return b if a[0] is None else a
    return max(a, b)

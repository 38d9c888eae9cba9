"""What a reading may be: an interval of exact numbers, some words, or nothing.

Interval arithmetic keeps the edges open where they are. A span that is ``free`` will only be known when the step is
done; one that is ``tolerance`` must conform at its worst; any other wide span is evidence that leaves room.
``terms`` carry standard uncertainties to first order (JCGM 100:2008, 5.1.2), one for each reading.
"""

from __future__ import annotations

from fractions import Fraction

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
    edges = [
        (_product(x, y), xo or yo)
        for x, xo in ((a.low, a.low_open), (a.high, a.high_open))
        for y, yo in ((b.low, b.low_open), (b.high, b.high_open))
    ]
    if any(edge is None for edge, _ in edges):
        if _is_positive(a) and _is_positive(b):
            low = None if a.low is None or b.low is None else a.low * b.low
            high = None if a.high is None or b.high is None else a.high * b.high
            return _joined(low, high, a.low_open or b.low_open, a.high_open or b.high_open, a, b, ())
        return _joined(None, None, False, False, a, b, ())
    numbers = [(edge, is_open) for edge, is_open in edges if edge is not None]
    low, low_open = min(numbers, key=lambda pair: (pair[0], pair[1]))
    high, high_open = max(numbers, key=lambda pair: (pair[0], not pair[1]))
    terms = _added(_scaled(a.terms, _middle(b)), _scaled(b.terms, _middle(a)))
    return _joined(low, high, low_open, high_open, a, b, terms)


def inverse(a: Span) -> Span | None:
    """``1 / a``; None where ``a`` may be zero."""
    if a.holds(Fraction(0)):
        return None
    if a.low is not None and a.low >= 0 or a.high is not None and a.high <= 0:
        low = Fraction(0) if a.high is None else None if a.high == 0 else 1 / a.high
        high = Fraction(0) if a.low is None else None if a.low == 0 else 1 / a.low
        scale = Fraction(0) if not a.terms else -1 / (_middle(a) ** 2)
        return Span(low, high, a.high_open, a.low_open, a.free, a.tolerance, _scaled(a.terms, scale))
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


def _product(x: Fraction | None, y: Fraction | None) -> Fraction | None:
    if x == 0 or y == 0:
        return Fraction(0)
    return None if x is None or y is None else x * y


def _is_positive(a: Span) -> bool:
    return a.low is not None and a.low >= 0


def _higher(a: tuple[Fraction | None, bool], b: tuple[Fraction | None, bool]) -> tuple[Fraction | None, bool]:
    if a[0] is None or b[0] is None:
        return b if a[0] is None else a
    return max(a, b)

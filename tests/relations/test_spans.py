"""Interval arithmetic over exact numbers, with open and unbounded edges, against samples of their members."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ringcut.relations import spans as s
from ringcut.relations.evaluate import angle_between, compared
from ringcut.relations.spans import Span, exactly
from ringcut.relations.truth import NO, OPEN, UNKNOWN, YES

F = Fraction
NEAR = F(1, 10**6)


@st.composite
def intervals(draw: st.DrawFn, least: int = -6) -> Span:
    low, high = sorted((draw(st.integers(least, 6)), draw(st.integers(least, 6))))
    if low == high:
        return exactly(F(low))
    return Span(
        F(low) if draw(st.integers(0, 5)) else None, F(high) if draw(st.integers(0, 5)) else None,
        draw(st.booleans()), draw(st.booleans()),
    )  # fmt: skip


def members(span: Span) -> list[F]:
    """Some numbers of a span, its edges or what lies close to them among them."""
    low = span.low if span.low is not None else (span.high or F(0)) - 50
    high = span.high if span.high is not None else low + 100
    inside = [low + (high - low) * F(part, 4) for part in range(5)] + [low + NEAR, high - NEAR, F(0), F(1)]
    return [number for number in inside if span.holds(number)]


def covers(result: Span, wanted: list[F]) -> None:
    assert all(result.holds(number) for number in wanted)


def tight(result: Span, wanted: list[F]) -> None:
    """Where the edges of the result are finite, the samples come as close as they should."""
    if result.low is not None and wanted:
        assert min(wanted) - result.low < F(1, 100)
        assert (result.low in wanted) == (not result.low_open)
    if result.high is not None and wanted:
        assert result.high - max(wanted) < F(1, 100)
        assert (result.high in wanted) == (not result.high_open)


BINARY: list[tuple[Callable[[Span, Span], Span], Callable[[F, F], F]]] = [
    (s.plus, lambda x, y: x + y),
    (s.times, lambda x, y: x * y),
    (lambda a, b: s.plus(a, s.negative(b)), lambda x, y: x - y),
    (s.least, min),
    (s.greatest, max),
]


@pytest.mark.parametrize("number", range(len(BINARY)))
@settings(max_examples=100)
@given(a=intervals(), b=intervals())
def test_arithmetic_holds_every_member_and_no_more(number: int, a: Span, b: Span) -> None:
    on_spans, on_numbers = BINARY[number]
    wanted = [on_numbers(x, y) for x in members(a) for y in members(b)]
    result = on_spans(a, b)
    covers(result, wanted)
    if None not in (a.low, a.high, b.low, b.high):
        tight(result, wanted)


@settings(max_examples=100)
@given(intervals())
def test_inverse_and_size(a: Span) -> None:
    upside_down = s.inverse(a)
    if upside_down is None:
        assert any(abs(number) < 2 * NEAR for number in members(a)) or a.low is None or a.high is None
    else:
        covers(upside_down, [1 / number for number in members(a)])
        if a.low is not None and a.high is not None and a.low * a.high != 0:
            tight(upside_down, [1 / number for number in members(a)])
    covers(s.size(a), [abs(number) for number in members(a)])


def test_an_inverse_never_reaches_what_only_infinity_gives() -> None:
    above = s.inverse(Span(F(2), None))
    assert above == Span(F(0), F(1, 2), True, False)
    assert s.inverse(Span(F(0), F(4), True, False)) == Span(F(1, 4), None)
    assert s.inverse(Span(F(0), F(4))) is None


def test_zero_times_anything_is_zero_itself() -> None:
    assert s.times(exactly(F(0)), Span(F(1), F(2), True, True)) == exactly(F(0))
    assert s.times(Span(F(0), F(1), True, False), Span(F(1), F(2))).low_open


OPS: dict[str, Callable[[F, F], bool]] = {
    "<": lambda x, y: x < y, "<=": lambda x, y: x <= y, ">": lambda x, y: x > y, ">=": lambda x, y: x >= y,
    "=": lambda x, y: x == y, "!=": lambda x, y: x != y,
}  # fmt: skip


@pytest.mark.parametrize("op", OPS)
@settings(max_examples=150)
@given(a=intervals(), limit=st.integers(-6, 6))
def test_an_interval_meets_a_limit_only_where_every_member_does(op: str, a: Span, limit: int) -> None:
    answers = {OPS[op](number, F(limit)) for number in [*members(a), *([F(limit)] if a.holds(F(limit)) else [])]}
    found = compared(op, a, exactly(F(limit))).level
    assert found == (UNKNOWN if len(answers) == 2 else YES if True in answers else NO)


def test_the_kinds_of_wide_values_at_a_limit() -> None:
    """Free in a plan: open; a tolerance: its worst case; less than: an interval, never its edge."""
    limit = exactly(F(5))
    assert compared(">=", Span(F(4), F(6), free=True), limit).level == OPEN
    assert compared(">=", Span(F(4), F(6), tolerance=True), limit).level == NO
    assert compared(">=", Span(F(5), F(6), tolerance=True), limit).level == YES
    assert compared("<", Span(F(0), F(5), False, True), limit).level == YES
    assert compared(">", Span(F(5), None, True), limit).level == YES
    assert compared(">=", Span(F(0), F(4), free=True), limit).level == NO


def turn(x: F, y: F) -> F:
    """The turn between two positions, from the definition: the shorter way around."""
    return min((x - y) % 360, (y - x) % 360)


def test_350_and_10_are_20_apart() -> None:
    assert angle_between(exactly(F(350)), exactly(F(10))) == exactly(F(20))
    assert angle_between(exactly(F(10)), exactly(F(350))) == exactly(F(20))
    assert angle_between(exactly(F(0)), exactly(F(180))) == exactly(F(180))
    assert angle_between(exactly(F(90)), exactly(F(450))) == exactly(F(0))


DEGREES = st.integers(-360, 720)


@settings(max_examples=100)
@given(DEGREES, st.integers(0, 200), DEGREES, st.integers(0, 200))
def test_a_range_of_positions_agrees_with_sampling(x: int, wide: int, y: int, broad: int) -> None:
    result = angle_between(Span(F(x), F(x + wide)), Span(F(y), F(y + broad)))
    turns = [turn(F(x + i), F(y + j)) for i in range(wide + 1) for j in (0, broad)]
    turns += [turn(F(x + i), F(y + j)) for i in (0, wide) for j in range(broad + 1)]
    assert result.low is not None and result.high is not None
    assert result.low <= min(turns) and max(turns) <= result.high
    assert result.low == min(turns) or min(turns) - result.low < 1
    assert result.high == max(turns) or result.high - max(turns) < 1

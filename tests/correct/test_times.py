"""Limits of time that exclude each other in the order of a plan are kept by another order, if one keeps them."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from ringcut.checking import check
from ringcut.correct.correcting import correct
from ringcut.correct.effort import Effort
from ringcut.language.ir import Rulebook

WORDS = """
steps:
  heat: {says: heat, again: another}
  rest: {says: rest, again: another, takes: 15 min}
  touch: {says: touch, again: another}
  close: {says: close, again: another}
  open: {says: open, again: another}
"""
RULES = """
  - {rule: r0, says: s, class: major, elapsed: {from: heat, to: touch, at-least: 30 min}}
  - {rule: r1, says: s, class: major, elapsed: {from: heat, to: close, at-most: 20 min}}
"""


@pytest.mark.parametrize(
    "steps",
    [
        "heat, touch, close",
        "open, heat, touch, close",
        "heat, touch, {do: close, after: [touch]}",
        "heat, {any-order: [touch, open]}, close",
    ],
)
def test_a_step_moves_where_two_limits_exclude_each_other(steps: str, small_book: Callable[..., Rulebook]) -> None:
    """Thirty minutes until it is touched, closed at most twenty after the heat: closed first, it can be kept."""
    book = small_book(WORDS, RULES)
    plan = f"{{procedure: plan, steps: [{steps}]}}\n"
    assert check(plan.encode(), "plan.yaml", book).verdict == "conforms"  # each limit for itself
    found = correct(plan.encode(), "plan.yaml", book, [])
    assert [edit.kind for edit in found.edits] == ["moved"]
    assert found.smallest
    assert found.verdict == "conforms"
    assert found.in_place
    again = correct(found.text.encode(), "plan.yaml", book, [])
    assert (again.edits, again.verdict) == ((), "conforms")


def test_what_no_order_keeps_is_left(small_book: Callable[..., Rulebook]) -> None:
    once = "".join(
        f"  - {{rule: once-{name}, says: s, class: major, include: {name}, count: 1}}\n"
        for name in ("heat", "touch", "close")
    )
    close_last = f"{once}  - {{rule: r2, says: s, class: major, order: [heat, touch, close]}}\n"
    plan = b"{procedure: plan, steps: [heat, touch, close]}\n"
    found = correct(plan, "plan.yaml", small_book(WORDS, RULES + close_last), [], effort=Effort(5000))
    assert (found.edits, found.verdict, found.smallest) == ((), "nonconforming", False)
    assert "at most 20 min from heat to close" in found.why

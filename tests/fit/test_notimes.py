"""Limits of time that cannot be kept together."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

import pytest

from ringcut.judge.findings import Report

WORDS = """
steps:
  heat: {says: heat, again: another}
  rest: {says: rest, again: another, takes: 15 min}
  touch: {says: touch, again: another}
  close: {says: close, again: another}
"""
REST = "elapsed: {from: heat, to: touch, at-least: 30 min}"
SOON = "elapsed: {from: heat, to: close, at-most: 20 min}"
LATE = "elapsed: {from: heat, to: close, at-most: 30 min}"
AGAIN = "elapsed: {from: touch, to: close, at-least: 10 min}"


@pytest.fixture
def completed(judged_by: Callable[..., Report]) -> Callable[..., Report]:
    """The report of a plan of some steps by some rules, r0, r1, ..."""
    return partial(judged_by, WORDS)


def test_a_least_and_a_most_that_exclude_each_other_are_one_finding(completed: Callable[..., Report]) -> None:
    """Thirty minutes until it is touched, and closed twenty minutes after the heat, but after the touch."""
    report = completed("heat, touch, close", REST, SOON)
    (finding,) = report.findings
    assert report.verdict == finding.verdict == "nonconforming"
    assert "at least 30 min from heat to touch" in finding.found
    assert "at most 20 min from heat to close" in finding.found
    assert finding.needed == "times that keep r0, r1 together"


@pytest.mark.parametrize(
    ("steps", "rules", "verdict"),
    [
        ("heat, touch, close", (REST, LATE), "conforms"),
        ("heat, touch, close", (REST, LATE, AGAIN), "nonconforming"),
        ("heat, touch, rest, close", (REST, LATE), "nonconforming"),
        ("heat, close, touch", (REST, SOON), "conforms"),
        ("heat, any-order: [touch, close]", (REST, SOON), "conforms"),
        ("heat, touch", (REST,), "conforms"),
    ],
)
def test_what_lies_between_counts_and_what_may_come_later_does_not(
    steps: str, rules: tuple[str, ...], verdict: str, completed: Callable[..., Report]
) -> None:
    """The rest usually takes 15 min; what may be done in any order can be put off."""
    assert (
        completed(steps.replace("any-order: [touch, close]", "{any-order: [touch, close]}"), *rules).verdict == verdict
    )


def test_a_limit_that_is_broken_already_is_not_told_again(completed: Callable[..., Report]) -> None:
    report = completed("heat, rest, touch, close", REST, "elapsed: {from: heat, to: close, at-most: 10 min}")
    assert [finding.rule for finding in report.findings] == ["r1"]

"""Needs that limits on the same readings keep from being met."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

import pytest

from ringcut.judge.findings import Report

WORDS = """
conditions:
  air-good: {says: the air is good}
  free: {says: free air, at-start: always}
steps:
  test: {says: a test, again: another, sets: {air-good: 19 in <= oxygen <= 23 in}, readings: {
    oxygen: {kind: length, unit: in, resolution: 1 in, possible: [0 in, 30 in]}}}
  blow: {says: fresh air, makes: [air-good], again: another}
  spoil: {says: bad air, ends: [free], again: another}
  enter: {says: go in, again: another}
"""
NEED = "need: air-good, before: enter"


@pytest.fixture
def completed(judged_by: Callable[..., Report]) -> Callable[..., Report]:
    """The report of a plan of some steps by some rules, r0, r1, ..."""
    return partial(judged_by, WORDS)


def test_a_limit_that_excludes_what_a_condition_wants_is_a_conflict(completed: Callable[..., Report]) -> None:
    report = completed("test, enter", NEED, "limit: test.oxygen >= 25 in")
    (finding,) = report.findings
    assert report.verdict == finding.verdict == "nonconforming"
    assert "air good wants oxygen 19 to 23 in" in finding.found
    assert finding.needed == "values that keep r0, r1 together"


@pytest.mark.parametrize(
    ("steps", "limit"),
    [
        ("test, enter", "test.oxygen >= 23 in"),
        ("test", "test.oxygen >= 25 in"),
        ("test, blow, enter", "test.oxygen >= 25 in"),
    ],
    ids=["one value does", "nothing is needed", "something else makes it true"],
)
def test_what_can_be_met_in_some_way_is_no_conflict(steps: str, limit: str, completed: Callable[..., Report]) -> None:
    assert completed(steps, NEED, f"limit: {limit}").verdict == "conforms"


def test_of_several_doings_one_that_can_do_both_is_enough(completed: Callable[..., Report]) -> None:
    """The limit holds for every test, so none of the two can do both; without the limit both can."""
    assert completed("test, test, enter", NEED, "limit: test.oxygen >= 25 in").verdict == "nonconforming"
    assert completed("test, test, enter", NEED, "limit: test.oxygen >= 20 in").verdict == "conforms"


def test_a_condition_that_is_true_from_the_start_needs_no_reading(completed: Callable[..., Report]) -> None:
    assert completed("test, enter", "need: free, before: enter", "limit: test.oxygen >= 25 in").verdict == "conforms"

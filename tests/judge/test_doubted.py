"""A log whose times run against its list: what either way is so is said, and nothing that only one of them says."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from ringcut.checking import check
from ringcut.judge.findings import Report
from ringcut.language.ir import Rulebook

WORDS = """
conditions: {hot: {says: it is hot}, gas: {says: the air is good, lapses: 60 min},
  inside: {says: somebody is in, per: person}}
steps:
  shrink: {says: a sleeve, makes: [hot], again: another}
  cool: {says: it is cool, ends: [hot], again: another}
  move: {says: it is moved, again: another}
  test: {says: a test, makes: [gas], again: another}
  light: {says: a flame, again: another}
  other: {says: something else, again: another}
  enter: {says: in, makes: [inside], again: another}
  leave: {says: out, ends: [inside], again: another}
  below: {says: work below, traits: [in-manhole], again: another}
"""
RULES = """
  - {rule: cool-first, says: s, class: critical, judge: every, need: not hot, before: move}
  - {rule: cooled-long, says: s, class: major, elapsed: {from: shrink, to: cool, at-least: 30 min}}
  - {rule: gas-first, says: s, class: critical, judge: every, need: gas, before: light}
  - {rule: moved, says: s, class: minor, include: move}
  - {rule: back, says: s, class: minor, pattern: times-backwards}
  - {rule: out, says: s, class: minor, pattern: in-manhole-after-leaving}
"""
OK, BAD, ASKED = "conforms", "nonconforming", "undetermined"


@pytest.fixture(scope="module")
def book(compiled: Callable[[str, str], Rulebook]) -> Rulebook:
    return compiled(WORDS, RULES)


def judged(book: Rulebook, rows: str, keys: str = "") -> Report:
    steps = ", ".join(f'{{do: {row.split()[1]}, at: "{row.split()[0]}"}}' for row in rows.split(", "))
    return check(f"{{procedure: log, {keys} steps: [{steps}]}}".encode(), "here.yaml", book)


CASES = [
    # a slip in the time of shrinking, or of cooling: only by the times it was moved hot
    ("10:00 other, 13:40 shrink, 11:20 cool, 14:20 move", {"cool-first": ASKED, "cooled-long": ASKED, "moved": OK}),
    # only by the list it was moved hot
    ("11:00 shrink, 13:40 move, 11:20 cool", {"cool-first": ASKED}),
    # by both
    ("10:00 shrink, 10:40 move, 12:10 other, 11:10 other", {"cool-first": BAD, "moved": OK}),
    # a time that has nothing to do with it
    ("10:00 shrink, 10:40 cool, 12:10 other, 11:10 other, 12:30 move", {"cool-first": OK, "cooled-long": OK}),
    # a flame within the hour only if the time of the test is right, which runs back
    ("10:00 other, 11:30 test, 11:20 light", {"gas-first": ASKED}),
    # out before the work below by the time of leaving alone, and then by the list too
    ("08:00 enter, 10:30 below, 10:00 leave", {"out": ASKED}),
    ("08:00 enter, 09:00 leave, 09:30 below, 11:00 other, 10:00 other", {"out": BAD}),
    # good by the times alone: the list has the flame first
    ("10:00 other, 11:30 light, 11:20 test", {"gas-first": ASKED}),
]


@pytest.mark.parametrize(("rows", "expected"), CASES)
def test_both_ways(book: Rulebook, rows: str, expected: dict[str, str]) -> None:
    report = judged(book, rows)
    found = {each.rule: each.verdict for each in report.rules}
    assert {rule: found[rule] for rule in expected} == expected
    assert found["back"] == BAD


def test_where_the_rows_are_in_no_order_the_times_count(book: Rulebook) -> None:
    report = judged(book, "10:00 other, 13:40 shrink, 11:20 cool, 14:20 move", "sorted: no,")
    found = {each.rule: each.verdict for each in report.rules}
    assert (found["cool-first"], found["back"]) == (BAD, "not applicable")


def test_what_rests_on_it_is_one_cause_and_says_which_time(book: Rulebook) -> None:
    report = judged(book, "10:00 other, 13:40 shrink, 11:20 cool, 14:20 move")
    resting = [each for each in report.findings if each.verdict == ASKED]
    assert [each.rule for each in resting] == ["cool-first", "cooled-long"]
    assert resting[1].told_under == "cool-first"
    assert {each.cause for each in resting} == {"times run back"}
    assert {each.found for each in resting} == {"time runs back at cool (line 1), after shrink (line 1)"}
    assert "by the times as written: hot since shrink (line 1)" in resting[0].evidence
    assert {each.why_undetermined for each in resting} == {"unreadable"}

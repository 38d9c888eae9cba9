"""Conditions of persons: needed of whoever does a step, kept while they hold for somebody.

Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from ringcut.checking import check
from ringcut.judge.findings import Report
from ringcut.language.ir import Rulebook

WORDS = """
conditions: {inside: {per: person, says: a person is in the hole}, aired: {says: air is blown in}}
steps:
  enter: {says: in, makes: [inside], again: another}
  leave: {says: out, ends: [inside], again: another}
  work: {says: work below, again: another}
  close: {says: the cover on, again: another}
  blow: {says: air, makes: [aired], again: another}
  stop: {says: no air, ends: [aired], again: another}
"""
RULES = """
  - {rule: worker-inside, says: s, class: major, need: inside, before: work}
  - {rule: nobody-inside, says: s, class: major, need: not inside, before: close}
  - {rule: aired-while-inside, says: s, class: major, keep: aired, while: inside}
"""
OK, BAD, UNCLEAR = "conforms", "nonconforming", "undetermined"
NEED, NOBODY, KEEP = range(3)


@pytest.fixture
def judged(compiled: Callable[[str, str], Rulebook]) -> Callable[[str], Report]:
    """The report on a log, written as ``STEP PERSON+PERSON`` with commas between."""
    book = compiled(WORDS, RULES)

    def judged(told: str) -> Report:
        keys, bar, steps = told.rpartition("| ")
        rows = [each.partition(" ") for each in steps.split(", ")]
        typed = [f"{{do: {do}, by: [{', '.join(who.split('+'))}]}}" if who else do for do, _, who in rows]
        head = f"procedure: log, {keys.strip()}, " if bar else "procedure: log, "
        return check(f"{{{head}steps: [{', '.join(typed)}]}}".encode(), "log.yaml", book)

    return judged


@pytest.mark.parametrize(
    ("rule", "told", "verdict"),
    [
        (NEED, "enter, work", OK),
        (NEED, "enter, work Ann", OK),  # the crew entered
        (NEED, "enter Ann, work", OK),  # somebody is inside
        (NEED, "work", BAD),
        (NEED, "enter Ann, work Ann", OK),
        (NEED, "enter Ann, work Bob", BAD),  # another one entered
        (NEED, "enter Ann, work Ann+Bob", BAD),
        (NEED, "enter Ann+Bob, work Ann+Bob", OK),
        (NEED, "enter Ann+Bob, leave Bob, work Ann", OK),
        (NEED, "enter Ann+Bob, leave Bob, work Bob", BAD),
        (NEED, "enter Ann+Bob, leave, work Bob", BAD),  # the crew left
        (NEED, "enter Ann, leave Ann, enter Ann, work Ann", OK),
        (NEED, "records: milestones | enter Ann, work Bob", UNCLEAR),
        # nobody at all, whoever closes
        (NOBODY, "enter Ann, leave Ann, close Bob", OK),
        (NOBODY, "enter Ann, close Bob", BAD),
        (NOBODY, "enter Ann+Bob, leave Bob, close Bob", BAD),
        # while anybody is
        (KEEP, "blow, enter Ann, enter Bob, leave Ann, stop, leave Bob", BAD),
        (KEEP, "blow, enter Ann, enter Bob, leave Ann, leave Bob, stop", OK),
    ],
)
def test_persons(judged: Callable[[str], Report], rule: int, told: str, verdict: str) -> None:
    assert judged(told).rules[rule].verdict == verdict


def test_the_person_is_named(judged: Callable[[str], Report]) -> None:
    assert judged("enter Ann, work Ann+Bob").findings[0].found == "no enter by Bob"
    assert judged("work").findings[0].found == "no enter"

"""A step that lasts: it ends at its ``at``, or with the row that ends it (common practice, no source)."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from ringcut.checking import check
from ringcut.judge.findings import Report
from ringcut.language.ir import Rulebook

WORDS = """
conditions: {blowing: {says: air is blown in}, lit: {says: a flame}}
steps:
  blow: {says: a blower, makes: [blowing], lasting: stop, again: another}
  stop: {says: the blower off, ends: [blowing], again: another}
  light: {says: a flame, makes: [lit], again: another}
  out: {says: no flame, ends: [lit], again: another}
"""
RULES = """
  - {rule: air-while-lit, says: s, class: major, keep: blowing, while: lit}
  - {rule: air-at-end, says: s, class: major, need: blowing, before: end}
"""
OK, BAD, UNCLEAR = "conforms", "nonconforming", "undetermined"


@pytest.fixture
def judged(compiled: Callable[[str, str], Rulebook]) -> Callable[[str], Report]:
    """The report on a log, written as ``TIME STEP`` or ``BEGIN-FINISH STEP`` with commas between."""
    book = compiled(WORDS, RULES)

    def judged(told: str) -> Report:
        rows = [each.split() for each in told.split(", ")]
        return check(f"{{procedure: log, steps: [{', '.join(map(_row, rows))}]}}".encode(), "log.yaml", book)

    return judged


def _row(words: list[str]) -> str:
    begin, dash, finish = words[0].partition("-")
    started = f', started: "{begin}"' if dash else ""
    keys = "".join(f", {word.replace('=', ': ')}" for word in words[2:])
    return f'{{do: {words[1]}, at: "{finish or begin}"{started}{keys}}}' if begin != "?" else f"{{do: {words[1]}}}"


CASES = [
    # no row ends it: from its begin to its at
    ("7:00-7:45 blow, 7:20 light, 7:30 out", OK),
    ("7:00-7:25 blow, 7:20 light, 7:30 out", BAD),
    ("7:00-7:05 blow, 7:20 light, 7:30 out", BAD),
    # a row of its own ends it: its times are those of setting it up
    ("7:00-7:05 blow, 7:20 light, 7:30 out, 7:40-7:45 stop", OK),
    ("7:00-7:05 blow, 7:20 light, 7:30 out, ? stop", OK),
    ("7:00-7:05 blow, 7:20 light, 7:25-7:27 stop, 7:30 out", BAD),
    ("7:00-7:05 blow, 7:03 light, 7:30 out, 7:45 stop", BAD),  # not yet blown in
    ("7:45 stop, 7:00-7:05 blow, 7:20 light, 7:30 out", OK),  # by time, not by the list
    # the row is the end that was written already
    ("7:00-7:45 blow, 7:20 light, 7:30 out, 7:45 stop", OK),
    ("7:00-7:45 blow, 7:20 light, 7:30 out, 7:40-7:45 stop", OK),
    ("7:00-7:25 blow, 7:20 light, 7:25 stop, 7:30 out", BAD),
    # a row inside its times is a break, not the end
    ("7:00-8:00 blow, 7:10 stop, 7:20 light, 7:30 out", BAD),
    # each has a row of its own
    ("7:00-7:05 blow, 7:10 light, 7:15 out, 7:20 stop, 8:00-8:05 blow, 8:10 light, 8:15 out, 8:20 stop", OK),
    ("7:00-7:05 blow, 7:20 stop, 7:30 light, 7:35 out, 8:00-8:05 blow, 8:20 stop", BAD),
    # begun anew before the row that ends it: which of the two it ends is not written
    ("7:00-7:05 blow, 7:20 light, 7:30 out, 8:00-8:05 blow, 9:00 stop", UNCLEAR),
    ("7:00-7:40 blow, 7:20 light, 7:30 out, 8:00-8:05 blow, 9:00 stop", OK),
    ("7:00-7:05 blow, 8:00-8:05 blow, 8:10 light, 8:20 out, 9:00 stop", OK),
    # another side, another closure
    ("7:00-7:05 blow side=A, 7:20 light, 7:30 out, 7:45 stop side=B", BAD),
    ("7:00-7:05 blow side=A, 7:20 light, 7:30 out, 7:45 stop side=A", OK),
    ("7:00-7:05 blow closure=c1, 7:20 light closure=c1, 7:30 out closure=c1, 7:45 stop closure=c2", BAD),
    ("7:00-7:05 blow closure=c1, 7:20 light closure=c1, 7:30 out closure=c1, 7:45 stop closure=c1", OK),
]


@pytest.mark.parametrize(("told", "verdict"), CASES)
def test_verdict(judged: Callable[[str], Report], told: str, verdict: str) -> None:
    assert judged(told).rules[0].verdict == verdict


def test_the_row_that_ends_it_is_told_as_an_assumption(judged: Callable[[str], Report]) -> None:
    (told,) = judged("7:00-7:05 blow, 7:40-7:45 stop").assumptions
    assert told == "blow (line 1): until stop (line 1); its own times are those of setting it up"
    assert judged("7:00-7:45 blow").assumptions == ()


def test_what_cannot_be_told_is_said(judged: Callable[[str], Report]) -> None:
    report = judged("7:00-7:05 blow, 7:20 light, 7:30 out, 8:00-8:05 blow, 9:00 stop")
    (finding,) = [each for each in report.findings if each.rule == "air-while-lit"]
    assert finding.why_undetermined == "not recorded"
    assert "no time: stop" in " ".join([finding.message, *finding.evidence])


def test_entries_behind_an_end_that_was_taken_away_keep_their_places(judged: Callable[[str], Report]) -> None:
    report = judged("7:00-7:05 blow, 7:10 stop, 7:20 light, 7:30 out")
    (finding,) = [each for each in report.findings if each.rule == "air-while-lit"]
    assert "not blowing since stop (line 1)" in finding.evidence
    assert set(finding.steps) == {"light", "out", "stop"}

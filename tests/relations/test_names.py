"""What a procedure calls things that the vocabulary calls otherwise, or keeps elsewhere."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from ringcut.checking import read
from ringcut.language.ir import Rulebook
from ringcut.reading.problems import Problem, Unreadable

WORDS = """
facts:
  sheath: {choices: [lead, plastic], per: side, says: what the sheath is}
  manhole-depth: {kind: length, unit: ft, says: how deep, also: [depth]}
  deep: {kind: yes-no, means: manhole-depth > 4 ft, says: it is deep}
steps:
  test: {says: a test, readings: {gas: {kind: lfl, unit: "%LFL", says: gas, also: [lel]}}}
"""
RULE = "  - {rule: it, says: s, class: minor, include: test}"
Compiled = Callable[[str, str], Rulebook]


def _problem(compiled: Compiled, procedure: str) -> Problem:
    with pytest.raises(Unreadable) as caught:
        read(procedure.encode(), "here.yaml", compiled(WORDS, RULE))
    (problem,) = caught.value.problems
    return problem


@pytest.mark.parametrize(
    ("job", "found", "hint"),
    [
        ("deep: yes", "deep follows from other job facts", "delete it"),
        ("month: 3", "month follows from other job facts", "delete it"),
        ("Records: milestones", "Records is not a job fact", "records stands beside job, not in it"),
        ("depth: 9 ft", "depth: no such job fact", "Did you mean manhole-depth?"),
    ],
)
def test_what_is_no_job_fact_says_what_to_do(job: str, found: str, hint: str, compiled: Compiled) -> None:
    problem = _problem(compiled, f"{{procedure: log, job: {{{job}}}, steps: [test]}}")
    assert (problem.found, problem.hint) == (found, hint)


def test_a_side_that_does_not_exist_is_answered_with_those_that_do(compiled: Compiled) -> None:
    problem = _problem(compiled, "{procedure: plan, job: {sheath: {A: lead, C: lead}}, steps: [test]}")
    assert (problem.found, problem.expected) == ("C: no such side", "one of A, B")


def test_the_name_the_trade_gives_a_reading_is_answered_with_its_own(compiled: Compiled) -> None:
    problem = _problem(compiled, "{procedure: log, steps: [{do: test, lel: 0 %LFL}]}")
    assert problem.hint == "Did you mean gas?"


@pytest.mark.parametrize(
    ("steps", "do"),
    [("[{do: test, gas: 0 %LFL}]", "Take gas out; "), ("\n  - do: test\n    gas: 0 %LFL", "Delete the line; ")],
)
def test_a_reading_of_the_doing_is_taken_out_and_not_its_step(steps: str, do: str, compiled: Compiled) -> None:
    """In a line of its own step, «delete the line» was advice to leave the step out."""
    assert _problem(compiled, f"procedure: plan\njob: {{}}\nsteps: {steps}\n").hint.startswith(do)


def test_a_derived_fact_that_is_also_another_name_is_answered_with_that(book: Rulebook) -> None:
    """«opening: 14 in» was answered with «delete it», and the length was lost."""
    with pytest.raises(Unreadable) as caught:
        read(b"{procedure: plan, job: {opening: 14 in}, steps: []}", "here.yaml", book)
    hints = [each.hint for each in caught.value.problems if each.found.startswith("opening follows")]
    assert hints == ["if it is the opening-length, write opening-length; else delete it"]

"""A job with several closures, steps of the whole site, and what an entry says was not done."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from ringcut.checking import check
from ringcut.judge.findings import Report
from ringcut.language.ir import Rulebook

WORDS = """
steps:
  guard: {says: guards, scope: site}
  scuff: {says: scuff, per: side, readings: {length: {kind: length, unit: in, known: planned}}}
  close: {says: a sleeve}
  look: {says: look at it, again: another}
"""
RULES = """
  - {rule: guarded, says: guards first, class: critical, order: [guard, close]}
  - {rule: scuffed, says: scuff first, class: major, order: [scuff, close]}
  - {rule: long, says: long enough, class: minor, limit: scuff.length >= 6 in}
  - {rule: closed, says: a sleeve, class: major, include: close}
  - {rule: behind, says: nothing hangs loose, class: minor, pattern: no-successor}
  - {rule: claimed, says: n/a only where it is, class: minor, pattern: not-applicable-claimed}
"""


@pytest.fixture(scope="module")
def judged(compiled: Callable[[str, str], Rulebook]) -> Callable[[str], Report]:
    book = compiled(WORDS, RULES)
    return lambda text: check(text.encode(), "here.yaml", book)


def verdicts(report: Report) -> dict[str, str]:
    return {each.rule: each.verdict for each in report.rules}


def test_each_closure_is_judged_for_itself(judged: Callable[[str], Report]) -> None:
    report = judged("""
procedure: plan
steps:
  - guard
  - {do: scuff, closure: "1", length: 6 in}
  - {do: close, closure: "1"}
  - {do: scuff, closure: "2", length: 5 in}
  - {do: close, closure: "2"}
  - {do: close, closure: "3"}
""")
    assert verdicts(report)["guarded"] == "conforms"  # a step of the site holds for every closure
    assert verdicts(report)["scuffed"] == "nonconforming"
    found = {(finding.rule, finding.closure, finding.line) for finding in report.findings}
    assert found == {("long", "2", 7), ("scuffed", "3", 9)}


def test_a_redone_step_of_another_closure_replaces_nothing(judged: Callable[[str], Report]) -> None:
    """scuff, sleeve, scuff another closure conforms."""
    report = judged("""
procedure: plan
steps:
  - guard
  - {do: scuff, closure: "1", length: 6 in}
  - {do: close, closure: "1"}
  - {do: scuff, closure: "2", length: 7 in}
  - {do: close, closure: "2"}
""")
    assert report.verdict == "conforms"


def test_a_finding_about_a_step_of_the_site_is_told_once(judged: Callable[[str], Report]) -> None:
    report = judged("""
procedure: plan
steps:
  - {do: scuff, closure: "1", length: 6 in}
  - {do: close, closure: "1"}
  - {do: scuff, closure: "2", length: 6 in}
  - {do: close, closure: "2"}
""")
    assert [finding.cause for finding in report.findings if not finding.told_under] == ["no guard"]


def test_a_step_left_before_nothing_keeps_its_name_among_closures(judged: Callable[[str], Report]) -> None:
    """The steps that an «after» displaced were looked up by the numbers of the whole plan in one closure of it."""
    report = judged("""
procedure: plan
steps:
  - {do: look, closure: "1", id: first}
  - {do: guard, id: guards}
  - {do: scuff, closure: "2", length: 6 in, id: loose}
  - {do: close, closure: "2", after: [guards]}
  - {do: scuff, closure: "1", length: 6 in, after: [first]}
  - {do: close, closure: "1"}
""")
    loose = [finding for finding in report.findings if finding.rule == "behind"]
    assert {(finding.closure, finding.steps) for finding in loose} == {("2", ("loose",)), ("2", ("close",))}


def test_an_order_through_another_closure_still_counts(judged: Callable[[str], Report]) -> None:
    report = judged("""
procedure: plan
steps:
  - guard
  - {do: scuff, closure: "1", length: 6 in}
  - any-order: [{do: look, closure: "2"}, {do: scuff, closure: "2", length: 6 in}]
  - {do: close, closure: "1"}
  - {do: close, closure: "2"}
""")
    assert report.verdict == "conforms"


@pytest.mark.parametrize(
    ("entry", "closed", "claimed"),
    [
        ("close", "conforms", "not applicable"),
        ("{do: close, status: done}", "conforms", "not applicable"),
        ("{do: close, status: not-done, reason: rain}", "nonconforming", "not applicable"),
        ("{do: close, status: not-recorded, reason: page lost}", "undetermined", "not applicable"),
        ("{do: close, status: not-applicable, reason: none}", "nonconforming", "nonconforming"),
    ],
)
def test_only_done_counts_as_done(judged: Callable[[str], Report], entry: str, closed: str, claimed: str) -> None:
    report = judged(f"procedure: log\nsteps: [guard, {{do: scuff, length: 6 in}}, {entry}]\n")
    assert (verdicts(report)["closed"], verdicts(report)["claimed"]) == (closed, claimed)


def test_a_milestone_log_lacks_nothing_it_need_not_have(judged: Callable[[str], Report]) -> None:
    for records, expected in (("every-step", "nonconforming"), ("milestones", "undetermined")):
        report = judged(f"procedure: log\nrecords: {records}\nsteps: [close]\n")
        assert verdicts(report)["guarded"] == verdicts(report)["scuffed"] == expected
        assert all(f.why_undetermined in ("", "not recorded") for f in report.findings)
    assert report.verdict == "undetermined"


def test_a_procedure_to_which_no_rule_applies_does_not_conform(compiled: Callable[[str, str], Rulebook]) -> None:
    rule = "  - {rule: it, says: s, class: major, limit: scuff.length >= 1 in}"
    report = check(b"procedure: plan\nsteps: [guard]\n", "here.yaml", compiled(WORDS, rule))
    assert report.verdict == "not applicable"

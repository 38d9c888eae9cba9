"""One cause told once, and a total order of findings."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from ringcut.checking import check
from ringcut.judge.findings import Finding, Report
from ringcut.language.compile import compile_rulebook
from ringcut.language.ir import Rulebook
from ringcut.language.sources import read_sources
from ringcut.rulebookfiles import builtin_rulebook

WORDS = """
facts:
  pressurized: {kind: yes-no}
conditions:
  zero: {says: no pressure, at-start: not pressurized}
  bonded: {says: bonded}
  cool: {says: cool, at-start: always}
steps:
  bleed: {says: bleed, again: another}
  check: {says: check, makes: [zero], again: another}
  raise: {says: pressure, ends: [zero], again: another}
  bond: {says: bond, makes: [bonded], again: another}
  unbond: {says: unbond, ends: [bonded], again: another}
  open: {says: open, again: another}
  shrink: {says: shrink, ends: [cool], again: another}
  cool: {says: cool it, makes: [cool], again: another}
  move: {says: move, again: another}
  wet: {says: wet, again: another}
  measure: {says: a reading, again: another, readings: {size: {kind: length, unit: in}}}
"""
RULES = """
  - {rule: cooled, says: cool it, class: minor, include: cool}
  - {rule: cool-before-move, says: cool first, class: critical, need: cool, before: move}
  - {rule: cool-before-wet, says: cool first, class: major, need: cool, before: wet}
  - {rule: cool-in-the-end, says: cool at last, class: major, need: cool, before: end}
  - {rule: zero-before-open, says: zero first, class: major, need: zero, before: open}
  - {rule: zero-before-shrink, says: zero first, class: critical, need: zero, before: shrink}
  - {rule: check-in-order, says: check first, class: minor, order: [check, open], follows-from: [zero-before-open]}
  - {rule: bond-kept, says: bonded all along, class: major, keep: bonded, from: bond, until: shrink}
  - {rule: bond-at-shrink, says: bonded, class: critical, need: bonded, before: shrink}
  - {rule: size-low, says: a size, class: minor, limit: measure.size >= 1 in}
  - {rule: size-high, says: a size, class: major, limit: measure.size <= 9 in}
  - {rule: size-written, says: a size, class: minor, record: [size], of: measure}
"""


@pytest.fixture(scope="module")
def book(compiled: Callable[[str, str], Rulebook]) -> Rulebook:
    return compiled(WORDS, RULES)


@pytest.fixture(scope="module")
def judged(book: Rulebook) -> Callable[[str], Report]:
    def judged(told: str) -> Report:
        kind, steps = told.split(": ", 1)
        kind, _, unknown = kind.partition(" ")
        fact = "reference: none" if unknown else "pressurized: yes"
        text = f"{{procedure: {kind}, job: {{{fact}}}, steps: [{steps}]}}"
        return check(text.encode(), "here.yaml", book)

    return judged


UNCOOLED = {"cool-before-move", "cool-before-wet", "cool-in-the-end"}


def heads(report: Report) -> list[Finding]:
    return [finding for finding in report.findings if not finding.told_under]


GOOD = "plan: check, bond, open, shrink, cool, move, wet"


def test_the_good_plan_conforms(judged: Callable[[str], Report]) -> None:
    report = judged(GOOD)
    assert (report.verdict, report.findings) == ("conforms", ())


@pytest.mark.parametrize(
    ("procedure", "head", "others"),
    [
        # an absent step: under the gravest, not under the slight include rule that demands it
        ("plan: check, bond, open, shrink, move, wet", "cool-before-move", UNCOOLED ^ {"cool-before-move", "cooled"}),
        # a condition that no present step makes is the same cause as its absent maker: the gravest first
        ("plan: bond, open, shrink, cool", "zero-before-shrink", {"zero-before-open", "check-in-order"}),
        # a condition lost at one place
        ("plan: check, bond, open, unbond, shrink, cool", "bond-at-shrink", {"bond-kept"}),
        # one step before another
        ("plan: bond, open, check, shrink, cool", "zero-before-open", {"check-in-order"}),
    ],
)  # fmt: skip
def test_one_cause_has_one_head(judged: Callable[[str], Report], procedure: str, head: str, others: set[str]) -> None:
    report = judged(procedure)
    found = [finding.rule for finding in heads(report)]
    assert found == [head]
    assert set(heads(report)[0].also) == others
    assert {finding.rule for finding in report.findings} == {head} | others
    assert report.counts.causes == 1


def test_what_cannot_be_said_for_the_same_cause_has_a_head_of_its_own(judged: Callable[[str], Report]) -> None:
    """One reading that is missing: not written, and so two limits cannot be said."""
    report = judged("log: cool, measure")
    assert [(each.rule, each.also) for each in heads(report)] == [("size-written", ()), ("size-high", ("size-low",))]
    assert {each.group for each in report.findings} == {1}
    assert report.counts.causes == 1


def test_a_fact_that_is_not_known_is_one_cause(judged: Callable[[str], Report]) -> None:
    report = judged("plan unknown: bond, open, shrink, cool")
    unknown = [finding for finding in report.findings if finding.verdict == "undetermined"]
    assert [(finding.rule, finding.told_under) for finding in unknown] == [
        ("zero-before-shrink", ""),
        ("zero-before-open", "zero-before-shrink"),
    ]
    assert {finding.cause for finding in unknown} == {"fact pressurized unknown"}


def test_the_verdicts_of_the_single_rules_do_not_change(judged: Callable[[str], Report]) -> None:
    report = judged("plan: check, bond, open, shrink, move, wet")
    bad = {each.rule for each in report.rules if each.verdict == "nonconforming"}
    assert bad == {"cooled", "cool-before-move", "cool-before-wet", "cool-in-the-end"}
    assert report.counts.nonconforming == 4 and report.counts.critical == 1
    assert report.worst_class == "critical"


def test_two_causes_stay_two(judged: Callable[[str], Report]) -> None:
    report = judged("plan: check, bond, open, raise, unbond, shrink, cool")
    assert [finding.rule for finding in heads(report)] == ["zero-before-shrink", "bond-at-shrink"]
    assert report.counts.causes == 2


def test_two_places_of_one_rule_are_two_findings(judged: Callable[[str], Report]) -> None:
    report = judged("log: cool, {do: measure, size: 1/2 in}, {do: measure, size: 1/4 in}")
    assert [(finding.rule, finding.found) for finding in heads(report)] == [
        ("size-low", "size 1/2 in"),
        ("size-low", "size 1/4 in"),
    ]


def test_a_step_that_comes_too_late_for_several_is_told_once(book: Rulebook) -> None:
    """Voltage checked behind four things that bare hands did is one cause, and every one of the four is named."""
    lines = "procedure: log\njob: {pressurized: yes}\nsteps:\n  - bond\n  - open\n  - open\n  - check\n"
    findings = check(lines.encode(), "log.yaml", book).findings
    (told,) = [each for each in findings if each.rule == "zero-before-open"]
    assert told.line == 5
    assert told.evidence == (
        "check (line 7) comes only after open (line 5)",
        "check (line 7) comes only after open (line 6)",
    )


def test_a_reading_that_two_uses_wait_for_is_told_once(compiled: Callable[[str, str], Rulebook]) -> None:
    rule = "  - {rule: size-at-use, says: s, class: minor, limit: measure.size >= 1 in, of: open}"
    book = compiled(WORDS, rule)
    for steps in ("measure, open, open", "measure, {do: open, side: A}, {do: open, side: B}"):
        (told,) = check(f"{{procedure: log, steps: [{steps}]}}".encode(), "log.yaml", book).findings
        assert (told.verdict, told.side, told.cause) == ("undetermined", "", "reading measure.size #0 missing")
    apart = check(b"procedure: log\nsteps:\n  - measure\n  - open\n  - measure\n  - open\n", "log.yaml", book)
    assert [each.line for each in apart.findings] == [4, 6]


def test_without_the_fact_a_plan_with_the_steps_still_conforms(judged: Callable[[str], Report]) -> None:
    assert judged(GOOD.replace("plan", "plan unknown")).verdict == "conforms"


def test_nonconforming_comes_before_undetermined_and_grave_before_slight(judged: Callable[[str], Report]) -> None:
    report = judged("log: open, shrink, measure, move, {do: measure, size: 10 in}")
    told = [(finding.verdict, finding.class_) for finding in heads(report)]
    order = [(v, c) for v in ("nonconforming", "undetermined") for c in ("critical", "major", "minor")]
    assert [order.index(each) for each in told] == sorted(order.index(each) for each in told)


def test_the_same_input_gives_the_same_report(judged: Callable[[str], Report]) -> None:
    told = "log: open, shrink, measure, move, {do: measure, size: 10 in}"
    assert judged(told) == judged(told)


def test_a_missing_fact_is_told_as_that_and_not_as_the_rules_own_remedy() -> None:
    built_in = compile_rulebook(read_sources(builtin_rulebook()))
    plan = b"procedure: plan\njob: {sheath: lead, location: manhole}\nsteps: [open-manhole]\n"
    told = [each for each in check(plan, "p", built_in).findings if each.cause == "fact work unknown"]
    assert told
    assert {each.found for each in told} == {"the job does not say: work"}
    assert all(each.remedy.startswith("Write work") for each in told)


def test_where_a_step_of_the_site_is_missing_is_told_in_the_closure_it_was_counted_in(
    compiled: Callable[[str, str], Rulebook],
) -> None:
    """The grave finding of one closure named an innocent line of it, counted in another closure's steps."""
    book = compiled(
        """
conditions:
  guarded: {says: guarded}
steps:
  guard: {says: guard, scope: site, makes: [guarded], again: another}
  scuff: {says: scuff, again: another}
  close: {says: a sleeve, again: another}
  look: {says: look at it, again: another}
""",
        """
  - {rule: before-scuff, says: guard first, class: major, need: guarded, before: scuff}
  - {rule: before-close, says: guard first, class: critical, need: guarded, before: close}
""",
    )
    report = check(
        b"""procedure: plan
steps:
  - {do: scuff, closure: "1"}
  - {do: look, closure: "2"}
  - {do: close, closure: "2"}
""",
        "here",
        book,
    )
    (head,) = heads(report)
    assert (head.rule, head.closure, head.also) == ("before-close", "2", ("before-scuff",))
    assert head.in_common == "no guard before scuff (line 3)"

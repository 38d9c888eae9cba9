"""Findings as they are told: one line a cause, sides with one number together, what has not happened yet apart."""

from __future__ import annotations

import msgspec
import pytest

from ringcut.archive.results import LogReport
from ringcut.archive.telling import arranged, short_cause
from ringcut.judge.findings import Counts, Digests, Finding

NOT_YET = "no time: no shrink-sleeve yet; the log is not finished"
SO_FAR = "no time: kept so far; the log is not finished"


def finding(rule: str, verdict: str = "nonconforming", **more: str) -> Finding:
    made = Finding(rule, "major", verdict, line=3, cause="one", found="4 in", needed="at least 5 in")
    changed: Finding = msgspec.structs.replace(made, **more)
    return changed


def report(*findings: Finding, ends_after: str = "") -> LogReport:
    return LogReport(
        file="f", procedure="log", reference="R", verdict="undetermined", worst_class="", counts=Counts(), judged=(),
        not_covered=(), uncovered=False, findings=findings, rules=(), to_measure=(), warnings=(), assumptions=(),
        digests=Digests("", "", "", ""), as_of="", rulebook="", ends_after=ends_after,
    )  # fmt: skip


def test_both_sides_with_one_number_are_one_line() -> None:
    (line,) = arranged(report(finding("bond", side="A"), finding("bond", side="B"))).broken
    assert line.head.side == "A, B"


@pytest.mark.parametrize("other", [{"found": "3 in"}, {"needed": "at least 6 in"}, {"cause": "two"}, {"closure": "2"}])
def test_what_differs_is_told_apart(other: dict[str, str]) -> None:
    assert len(arranged(report(finding("bond", side="A"), finding("bond", side="B", **other))).broken) == 2


def test_what_has_not_happened_yet_is_apart_from_what_cannot_be_said() -> None:
    told = arranged(
        report(
            finding("shrunk", "undetermined", cause=NOT_YET), finding("air-kept", "undetermined", cause=SO_FAR),
            finding("repaired", "undetermined", cause="no repair-conductors"), finding("bond", "undetermined"),
            finding("broken"), ends_after="open-manhole (line 4)",
        )
    )  # fmt: skip
    assert (told.unfinished, told.so_far) == (("shrunk", "repaired"), ("air-kept",))
    assert [line.head.rule for line in told.cannot_say] == ["bond"]
    assert [line.head.rule for line in told.broken] == ["broken"]


def test_in_a_finished_log_an_absent_step_is_a_line_of_its_own() -> None:
    told = arranged(report(finding("repaired", "undetermined", cause="no repair-conductors")))
    assert (told.unfinished, len(told.cannot_say)) == ((), 1)


@pytest.mark.parametrize(
    ("cause", "short"),
    [
        (NOT_YET, "the log is not finished"),
        (SO_FAR, "the log is not finished"),
        ("no shrink-sleeve", "shrink-sleeve not recorded"),
        ("reading hold-test.isolated #7 missing", "isolated of hold-test not there"),
        ("reading assemble-sleeve.channel-angle #7 A missing", "channel angle of assemble-sleeve not there"),
        ("fact shield-type unknown", "the job does not say: shield type"),
        ("gas-good lost at #37", "gas good had ended, not recorded anew"),
        ("not solvent-wet B lost at #44", "solvent wet, not recorded as ended"),
        ("#2 before #16", "test-atmosphere comes only after assemble-sleeve"),
        ("bond: bond length 1/8 in", "bond"),
    ],
)
def test_causes_of_many_logs_are_counted_without_their_rows(cause: str, short: str) -> None:
    """Symptom: a table of causes had «torch lit lost at» and «#5 before», of which nobody knew what they meant."""
    found = "test-atmosphere (line 12) comes only after assemble-sleeve (line 40)"
    assert short_cause(finding("bond", "undetermined", cause=cause, found=found)) == short


def test_a_cause_has_the_gravest_class_that_it_concerns() -> None:
    """Symptom: a log had «1 critical» beside its verdict, and only a minor line below, which told of the same cause."""
    told = msgspec.structs.replace(finding("guards-set"), class_="minor")
    under = msgspec.structs.replace(finding("hole-guarded"), class_="critical", told_under="guards-set")
    (line,) = arranged(report(told, under)).broken
    assert (line.head.rule, line.class_) == ("guards-set", "critical")

"""The exit code of a report and of several files."""

from __future__ import annotations

import pytest

from ringcut.judge.findings import Counts, Digests, Report
from ringcut_cli.exits import Exit, exit_for, worst


def report(verdict: str, counts: Counts, uncovered: bool = False) -> Report:
    return Report(
        file="", procedure="plan", reference="", verdict=verdict, worst_class="", counts=counts, judged=(),
        not_covered=(), uncovered=uncovered, findings=(), rules=(), to_measure=(), warnings=(), assumptions=(),
        digests=Digests("", "", "", ""), as_of="", rulebook="",
    )  # fmt: skip


@pytest.mark.parametrize(
    ("verdict", "counts", "fail_on", "code"),
    [
        ("conforms", Counts(conforms=1), "minor", Exit.CONFORMS),
        ("under concession", Counts(under_concession=1), "minor", Exit.CONFORMS),
        ("undetermined", Counts(undetermined=1), "critical", Exit.UNDETERMINED),
        ("not applicable", Counts(), "minor", Exit.UNDETERMINED),
        ("nonconforming", Counts(nonconforming=1, minor=1), "minor", Exit.NONCONFORMING),
        ("nonconforming", Counts(nonconforming=1, minor=1), "major", Exit.CONFORMS),
        ("nonconforming", Counts(nonconforming=1, major=1), "major", Exit.NONCONFORMING),
        ("nonconforming", Counts(nonconforming=1, critical=1), "major", Exit.NONCONFORMING),
        ("nonconforming", Counts(nonconforming=1, minor=1, undetermined=1), "major", Exit.UNDETERMINED),
    ],
)
def test_fail_on_never_turns_what_is_unknown_into_a_pass(
    verdict: str, counts: Counts, fail_on: str, code: Exit
) -> None:
    assert exit_for(report(verdict, counts), fail_on) == code


def test_outside_what_is_covered_a_light_finding_is_no_pass() -> None:
    assert exit_for(report("nonconforming", Counts(nonconforming=1, minor=1), True), "major") == Exit.UNDETERMINED


@pytest.mark.parametrize(
    ("ends", "code"),
    [
        ([], Exit.CONFORMS),
        ([Exit.CONFORMS, Exit.UNDETERMINED], Exit.UNDETERMINED),
        ([Exit.UNDETERMINED, Exit.NONCONFORMING], Exit.NONCONFORMING),
        ([Exit.NONCONFORMING, Exit.BAD_INPUT, Exit.CONFORMS], Exit.BAD_INPUT),
        ([Exit.BAD_INPUT, Exit.INTERNAL], Exit.INTERNAL),
    ],
)
def test_of_several_files_the_gravest_counts(ends: list[Exit], code: Exit) -> None:
    assert worst(ends) == code

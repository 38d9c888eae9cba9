"""Findings as they are told: one line a cause, sides with one number together, what has not happened yet apart."""

from __future__ import annotations

from pathlib import Path

import msgspec
import pytest
from tests.bulk.adversarial import logs

from ringcut.archive.quoting import unknown_fact
from ringcut.archive.results import LogReport
from ringcut.archive.telling import arranged, short_cause
from ringcut.archive.work import Bench, Settings, pieces
from ringcut.judge.findings import Counts, Digests, Finding
from ringcut.report.outline import outline
from ringcut.rulebookfiles import builtin_rulebook

NOT_YET = "no time: no shrink-sleeve yet; the log is not finished"
SO_FAR = "no time: kept so far; the log is not finished"


def finding(rule: str, verdict: str = "nonconforming", **more: str | int) -> Finding:
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


@pytest.mark.parametrize("other", [{"found": "3 in"}, {"needed": "at least 6 in"}, {"side": "A"}, {"closure": "2"}])
def test_what_differs_is_told_apart(other: dict[str, str]) -> None:
    assert len(arranged(report(finding("bond", side="A"), finding("bond", **{"side": "B"} | other))).broken) == 2


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
    told = msgspec.structs.replace(finding("guards-set", group=1), class_="minor")
    under = msgspec.structs.replace(finding("hole-guarded", group=1), class_="critical", told_under="guards-set")
    (line,) = arranged(report(told, under)).broken
    assert (line.head.rule, line.class_) == ("guards-set", "critical")


def test_what_one_mend_heals_is_one_line_whatever_was_found_where() -> None:
    """Symptom: of seven findings with one cause, a step too early, the check told one and the audit seven."""
    early = finding(
        "zero-until-cool", group=1, found="7 comes only after 9", cause="#9 before #7", in_common="place of 9"
    )
    under = finding(
        "sleeve-trimmed", group=1, found="8 comes only after 9", cause="#9 before #8", told_under=early.rule
    )
    (line,) = arranged(report(under, early)).broken
    assert (line.head.rule, line.rules) == ("zero-until-cool", ("zero-until-cool", "sleeve-trimmed"))
    assert (line.common, line.elsewhere) == ("place of 9", ("3 sleeve-trimmed: 8 comes only after 9",))


def test_equal_words_of_two_causes_are_two_lines() -> None:
    """Symptom: a bond never placed, asked for by two steps that nothing mends together, was one line in the audit."""
    told = arranged(report(finding("one", "undetermined", group=1), finding("two", "undetermined", group=2)))
    assert [line.head.rule for line in told.cannot_say] == ["one", "two"]


def test_an_audit_tells_the_causes_that_a_check_tells(compiled: Path, tmp_path: Path) -> None:
    lines = tmp_path / "logs.jsonl"
    lines.write_bytes(b"\n".join(logs(60, 5)) + b"\n")
    bench = Bench(Settings(builtin_rulebook(), "2026-06-01", cache=compiled))
    found = [each.report for piece in pieces([(lines, "logs.jsonl")]) for each in bench.done(piece).items]
    finished = [each for each in found if each and not each.ends_after and not each.together]
    assert len(finished) > 20 and sum(len(each.findings) for each in finished) > 200
    for each in finished:
        known = [one for one in each.findings if not unknown_fact(one.cause)]
        shown = arranged(msgspec.structs.replace(each, findings=tuple(known)))
        check = outline(msgspec.structs.replace(each, findings=tuple(known)))
        heads = [told.head.rule for class_ in check.broken.values() for told in class_]
        assert [line.head.rule for line in shown.broken] == heads
        assert len(shown.cannot_say) == len(check.cannot_say)
        assert all(line.class_ == line.head.class_ for line in shown.broken)

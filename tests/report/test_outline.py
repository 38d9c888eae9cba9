"""The arrangement of a report: nothing is lost, nothing is told twice."""

from __future__ import annotations

import hypothesis.strategies as st
import pytest
from hypothesis import given

from ringcut.judge.findings import CLASSES, Counts, Digests, Finding, Notice, Report
from ringcut.report.outline import ORDER_SHOWN, SIGNALS, Told, outline, shown_order


def report(*findings: Finding, warnings: tuple[Notice, ...] = ()) -> Report:
    return Report(
        file="", procedure="plan", reference="", verdict="", worst_class="", counts=Counts(), judged=(),
        not_covered=(), uncovered=False, findings=findings, rules=(), to_measure=(), warnings=warnings, assumptions=(),
        digests=Digests("", "", "", ""), as_of="", rulebook="",
    )  # fmt: skip


def told(found: Report) -> list[Told]:
    parts = outline(found)
    return [each for items in (*parts.broken.values(), parts.cannot_say, parts.conceded) for each in items]


FINDINGS = st.builds(
    Finding,
    rule=st.sampled_from("abc"),
    class_=st.sampled_from(CLASSES),
    verdict=st.sampled_from(["nonconforming", "undetermined", "under concession"]),
    told_under=st.sampled_from(["", "a", "b"]),
    cause=st.sampled_from(["one", "two"]),
    line=st.integers(1, 9),
)


@given(st.lists(FINDINGS, max_size=8))
def test_every_finding_is_told_or_named_under_a_head_of_its_own_verdict(findings: list[Finding]) -> None:
    items = told(report(*findings))
    shown = [finding for each in items for finding in (each.head, *each.places)]
    heads = {(each.head.rule, each.head.verdict) for each in items}
    assert len(shown) == len([finding for finding in findings if finding in shown])
    for finding in findings:
        assert finding in shown or (finding.told_under, finding.verdict) in heads


def test_what_is_told_under_a_conceded_finding_is_not_lost() -> None:
    """Symptom to keep out: a concession on one rule silenced another that the same cause breaks."""
    head = Finding(rule="a", class_="major", verdict="under concession", also=("b",))
    under = Finding(rule="b", class_="critical", verdict="nonconforming", told_under="a")
    assert [each.head.rule for each in told(report(head, under))] == ["b", "a"]


def test_the_parts_go_by_class_and_signal_word() -> None:
    found = report(
        Finding(rule="a", class_="minor", verdict="nonconforming"),
        Finding(rule="b", class_="critical", verdict="nonconforming"),
        warnings=tuple(Notice(signal, signal.lower()) for signal in reversed(SIGNALS)),
    )
    parts = outline(found)
    assert [each.head.rule for each in parts.broken["critical"]] == ["b"]
    assert parts.broken["major"] == ()
    assert tuple(notice.signal for notice in parts.warnings) == SIGNALS


@pytest.mark.parametrize("length", [0, 3, ORDER_SHOWN])
def test_a_short_order_is_shown_whole(length: int) -> None:
    order = tuple(f"s{number}" for number in range(length))
    assert shown_order(Finding(rule="a", class_="minor", verdict="", example_order=order)) == order


def test_of_a_long_order_the_part_that_matters_is_shown() -> None:
    order = tuple(f"s{number}" for number in range(50))
    near = Finding(rule="a", class_="minor", verdict="", example_order=order, steps=("s20", "s22"))
    far = Finding(rule="a", class_="minor", verdict="", example_order=order, steps=("s5", "s40"))
    assert shown_order(near) == ("", "s19", "s20", "s21", "s22", "s23", "")
    assert shown_order(far) == ("", "s4", "s5", "s6", "", "s39", "s40", "s41", "")

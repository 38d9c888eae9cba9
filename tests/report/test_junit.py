"""JUnit: failures, what cannot be said as skipped, what cannot be read as errors."""

from __future__ import annotations

import xml.etree.ElementTree as ElementTree

import msgspec
import pytest

from ringcut.judge.findings import Report
from ringcut.report import junit
from ringcut.report.published import NotRead, Trouble


def parsed(*lines: str) -> ElementTree.Element:
    return ElementTree.fromstring((junit.BEGIN + "".join(lines) + junit.END).encode())


def test_a_case_a_rule_that_applies(broken: Report) -> None:
    (suite,) = parsed(*junit.suite(broken))
    verdicts = {each.rule: each.verdict for each in broken.rules if each.verdict != "not applicable"}
    seen = {}
    for case in suite:
        tags = {child.tag for child in case}
        seen[case.get("name")] = "nonconforming" if "failure" in tags else "undetermined" if tags else "conforms"
    assert seen == verdicts
    assert int(suite.get("failures", "")) == list(verdicts.values()).count("nonconforming") > 0
    assert int(suite.get("skipped", "")) == list(verdicts.values()).count("undetermined") > 0


def test_a_failure_says_what_was_found_and_needed(broken: Report) -> None:
    (suite,) = parsed(*junit.suite(broken))
    (case,) = [each for each in suite if each.get("name") == "adhesive-bond-length"]
    failure = case.find("failure")
    assert failure is not None
    assert failure.get("type") == "major"
    assert "1/8 in short" in (failure.get("message") or "")


def test_what_cannot_be_read_is_an_error() -> None:
    (suite,) = parsed(*junit.unread_suite(NotRead("a.csv", (Trouble("a.csv", 3, 0, "no order", "an order", ""),))))
    assert suite.get("errors") == "1"


@pytest.mark.parametrize("text", ['"><evil/>', "]]>", "&amp;", "\x00\x1b[2J\ufffe", "\ud800"])
def test_hostile_text_stays_text(text: str, broken: Report) -> None:
    hostile: Report = msgspec.structs.replace(broken, reference=text, file=text)
    (suite,) = parsed(*junit.suite(hostile))
    assert "evil" not in {element.tag for element in suite.iter()}

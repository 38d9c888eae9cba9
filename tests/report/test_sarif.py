"""SARIF 2.1.0 (OASIS, 2020): kinds, levels, rules, places. Clause numbers are those of the standard."""

from __future__ import annotations

import json
from typing import Any

import msgspec
import pytest

from ringcut.judge.findings import Report
from ringcut.report import sarif
from ringcut.report.published import NotRead, Trouble

KINDS = {
    "nonconforming": "fail",
    "undetermined": "open",
    "conforms": "pass",
    "not applicable": "notApplicable",
}


@pytest.fixture(scope="module")
def told(broken: Report) -> tuple[list[dict[str, Any]], sarif.Rules]:
    rules = sarif.Rules()
    return list(sarif.results(broken, rules)), rules


def test_every_rule_has_a_result_of_its_kind(broken: Report, told: tuple[list[dict[str, Any]], sarif.Rules]) -> None:
    """3.27.9."""
    worst: dict[str, str] = {}
    order = ["pass", "notApplicable", "open", "fail"]
    for result in told[0]:
        rule = result["ruleId"]
        worst[rule] = max(worst.get(rule, "pass"), result["kind"], key=order.index)
    assert worst == {each.rule: KINDS[each.verdict] for each in broken.rules}


def test_only_a_failure_has_a_level(told: tuple[list[dict[str, Any]], sarif.Rules]) -> None:
    """3.27.10: if kind is not fail, level shall be none."""
    assert {result["level"] for result in told[0] if result["kind"] != "fail"} == {"none"}
    assert {result["level"] for result in told[0] if result["kind"] == "fail"} <= {"error", "warning"}


def test_rule_indexes_point_at_their_rule(told: tuple[list[dict[str, Any]], sarif.Rules]) -> None:
    """3.27.6."""
    listed = told[1].listed()
    assert all(listed[result["ruleIndex"]]["id"] == result["ruleId"] for result in told[0])
    assert len({each["id"] for each in listed}) == len(listed)


def test_places_are_lines_and_cells(broken: Report) -> None:
    """3.30.5: lines count from 1, so that a file as a whole has no region; a cell is a logical location."""
    first = msgspec.structs.replace(broken.findings[0], file="my log.csv", line=28, column=10, letter="J")
    whole = msgspec.structs.replace(broken.findings[1], line=0, column=0, letter="")
    changed: Report = msgspec.structs.replace(broken, findings=(first, whole))
    one, two, *_ = sarif.results(changed, sarif.Rules())
    place = one["locations"][0]
    assert place["physicalLocation"] == {"artifactLocation": {"uri": "my%20log.csv"}, "region": {"startLine": 28}}
    assert place["logicalLocations"] == [{"name": "28:J", "kind": "cell"}]
    assert "region" not in two["locations"][0]["physicalLocation"]


@pytest.mark.parametrize(
    ("file", "uri"),
    [
        ("logs/Job #1.csv", "logs/Job%20%231.csv"),
        ("week.xlsx#Job 1", "week.xlsx"),
        ("8:05.csv", "8%3A05.csv"),
        ("C:\\logs\\a b.csv", "file:///C:/logs/a%20b.csv"),
    ],
)
def test_a_file_is_a_uri_reference(file: str, uri: str) -> None:
    """3.4.3, RFC 3986: a file whose name has # in it was cut there."""
    (told,) = sarif.notification(NotRead("a", (Trouble(file, 0, 0, "x", "", ""),)))
    assert told["locations"][0]["physicalLocation"]["artifactLocation"]["uri"] == uri


def test_a_concession_is_an_accepted_suppression(broken: Report) -> None:
    """3.35."""
    given = msgspec.structs.replace(broken.findings[0], verdict="under concession", concession="no stock; M. Example")
    changed: Report = msgspec.structs.replace(broken, findings=(given,))
    result = next(iter(sarif.results(changed, sarif.Rules())))
    assert result["kind"] == "fail"
    assert result["suppressions"] == [
        {"kind": "external", "status": "accepted", "justification": "no stock; M. Example"}
    ]


def test_a_run_that_could_not_read_everything_says_so(told: tuple[list[dict[str, Any]], sarif.Rules]) -> None:
    lost = list(sarif.notification(NotRead("a.csv", (Trouble("a.csv", 3, 0, "no order", "an order", ""),))))
    end = sarif.run_end("1", told[1], lost)
    assert end["invocations"][0]["executionSuccessful"] is False
    assert end["invocations"][0]["toolExecutionNotifications"][0]["message"]["text"] == "no order. an order"
    json.dumps([told[0], end])

"""``ringcut audit --format sarif`` against the published schema of SARIF 2.1.0 in ``tests/report/data``."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from click.testing import Result
from jsonschema import Draft7Validator

from ringcut_cli.audit.running import Run as Running

Run = Callable[..., Result]
TESTS = Path(__file__).parents[1]
SHEETS = TESTS / "archive" / "data"
CHECKED = Draft7Validator(
    json.loads((TESTS / "report" / "data" / "sarif" / "sarif-schema-2.1.0.json").read_text("utf-8")),
    format_checker=Draft7Validator.FORMAT_CHECKER,
)
JOB = {"work": "trouble-opening", "sheath": "lead", "construction": "single", "core": "paper", "location": "aerial",
       "pressurized": "no"}  # fmt: skip
CONCESSION = """concessions:
  - {job: J-0, rule: adhesive-bond-length, reason: "no stock", approved-by: M. Example, granted: 2026-03-01,
     expires: 2026-04-30}
"""


def short(number: int) -> str:
    """An invented log with a short bond, whose odd digits all logs have in common."""
    steps = [
        {"do": "open-sheath", "at": "2026-03-04T08:00:00-06:00", "by": "R. Example", "opening-length": "14.37 in"},
        {"do": "measure-diameters", "at": "2026-03-04T08:30:00-06:00", "by": "R. Example",
         "smallest": "2.037 in", "largest": "2.713 in"},
        {"do": "trim-sleeve", "at": "2026-03-04T08:40:00-06:00", "by": "R. Example", "sleeve-length": "27.31 in"},
        {"do": "assemble-sleeve", "at": "2026-03-04T09:00:00-06:00", "by": "R. Example", "bond-length": "4.37 in"},
    ]  # fmt: skip
    job = JOB | {"reference": f"J-{number}"}
    return json.dumps({"procedure": "log", "records": "milestones", "job": job, "steps": steps})


@pytest.fixture
def told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, run: Run) -> dict[str, Any]:
    """The output over a sheet, many lines, a bad one, a name with signs in it, and a concession."""
    monkeypatch.chdir(tmp_path)
    for name in ("contractor-c.yaml", "workorders.csv"):
        shutil.copy(SHEETS / name, tmp_path)
    shutil.copy(SHEETS / "contractor-c.csv", tmp_path / "Week 10 #2 100%.csv")
    (tmp_path / "8:05 logs.jsonl").write_text("\n".join([*(short(number) for number in range(12)), "{"]) + "\n")
    (tmp_path / "concessions.yaml").write_text(CONCESSION)
    result = run(
        "audit", "Week 10 #2 100%.csv", "8:05 logs.jsonl", "--columns", "contractor-c.yaml", "--jobs", "workorders.csv",
        "--concessions", "concessions.yaml", "--as-of", "2026-04-01", "--format", "sarif",
    )  # fmt: skip
    found: dict[str, Any] = json.loads(result.stdout)
    return found


def results(told: dict[str, Any]) -> list[dict[str, Any]]:
    (only,) = told["runs"]
    found: list[dict[str, Any]] = only["results"]
    return found


def test_it_fits_the_published_schema(told: dict[str, Any]) -> None:
    assert [error.message for error in CHECKED.iter_errors(told)] == []
    assert {each["kind"] for each in results(told)} == {"pass", "fail", "open", "review", "notApplicable"}
    assert [each for each in results(told) if "suppressions" in each]
    assert told["runs"][0]["invocations"][0]["executionSuccessful"] is False


def test_level_and_kind_agree(told: dict[str, Any]) -> None:
    """3.27.10: a kind other than fail has the level none; and none says that severity does not apply, as to a fail."""
    assert {each["level"] for each in results(told) if each["kind"] != "fail"} == {"none"}
    assert {each["level"] for each in results(told) if each["kind"] == "fail"} <= {"error", "warning"}


def test_files_are_named_by_uri_references(told: dict[str, Any]) -> None:
    """RFC 3986, 4.2: no bare #, %, blank, and no colon before the first slash."""
    files = {
        place["physicalLocation"]["artifactLocation"]["uri"] for each in results(told) for place in each["locations"]
    }
    assert files == {"Week%2010%20%232%20100%25.csv", "8%3A05%20logs.jsonl"}


@pytest.mark.parametrize("wrong", [{"kind": "undetermined"}, {"level": "critical"}, {"ruleIndex": "1"}])
def test_the_schema_would_see_what_is_wrong(told: dict[str, Any], wrong: dict[str, str]) -> None:
    results(told)[0].update(wrong)
    assert not CHECKED.is_valid(told)


def test_a_run_that_was_stopped_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, run: Run) -> None:
    (tmp_path / "logs.jsonl").write_text(short(1) + "\n")

    def stopping(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(Running, "_take", stopping)
    found = json.loads(run("audit", tmp_path / "logs.jsonl", "--format", "sarif").stdout)
    assert [error.message for error in CHECKED.iter_errors(found)] == []
    (invocation,) = found["runs"][0]["invocations"]
    assert invocation["executionSuccessful"] is False
    assert "ended before its end" in invocation["toolExecutionNotifications"][0]["message"]["text"]

"""The edition in force: a plan is judged by that of the day judged for, a log by that of its own day. All invented."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import Result

Run = Callable[..., Result]

EDITION = """rulebook: Northfield district
edition: "{number}"
based-on: base-practice
in-force-from: {day}
change:
  - {{rule: adhesive-bond-length, shortest: {shortest}, reason: cold}}
"""
LOG = """procedure: log
records: milestones
job: {{date: {day}, work: sheath-repair, sheath: lead, location: manhole}}
steps:
  - {{do: assemble-sleeve, at: "10:00", bond-length: 5-1/2 in}}
"""


@pytest.fixture
def house(tmp_path: Path) -> Path:
    for number, day, shortest in (("1", "2026-03-01", "6 in"), ("2", "2026-09-01", "5-1/4 in")):
        text = EDITION.format(number=number, day=day, shortest=shortest)
        (tmp_path / f"northfield-{number}.yaml").write_text(text, encoding="utf-8")
    return tmp_path / "northfield-1.yaml"


@pytest.mark.parametrize("time", [', at: "10:00"', ""], ids=["timed", "only dated"])
@pytest.mark.parametrize(
    ("day", "verdict"), [("2026-02-28", "conforms"), ("2026-03-01", "nonconforming"), ("2026-09-01", "conforms")]
)
def test_a_log_is_judged_by_the_edition_of_its_day(
    day: str, verdict: str, time: str, run: Run, house: Path, tmp_path: Path
) -> None:
    """Symptom: a log with the date of its job and no times was judged by the edition of today."""
    log = tmp_path / "log.yaml"
    log.write_text(LOG.format(day=day).replace(', at: "10:00"', time), encoding="utf-8")
    result = run("check", log, "--rulebook", house, "--as-of", "2026-03-15", "--format", "json")
    rules = {each["rule"]: each["verdict"] for each in json.loads(result.stdout)["rules"]}
    assert rules["adhesive-bond-length"] == verdict

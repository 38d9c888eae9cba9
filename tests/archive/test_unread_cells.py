"""What is written and cannot be read, or can hardly be right: not known to be missing, and asked about in its cell."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.archive.small import Small, verdicts

from ringcut.archive.results import Item
from ringcut.archive.work import Bench, Piece, Settings
from ringcut.rulebookfiles import builtin_rulebook

COLUMNS = """
shape: long
columns: {WO: reference, Date: date, Task: task, Item: reading-name, Value: value, Unit: unit}
readings: {Gauge: [read-pressure.gauge-pressure, confirm-zero.gauge-pressure], Ways: identify-cable.ways,
  Bond B: assemble-sleeve.bond-length}
sides: {A: [], B: []}
dates: year-first
clock: "24"
time-means: finished
records: every-step
job: {work: sheath-repair, sheath: polyethylene, construction: single, pressurized: yes, location: building}
"""


def audited(small: Small, rows: str, answers: Path | None = None) -> Item:
    (small.folder / "s.csv").write_text(f"WO,Date,Task,Item,Value,Unit\n{rows}")
    (small.folder / "c.yaml").write_text(COLUMNS)
    settings = Settings(
        builtin_rulebook(), "2026-06-02", columns=(small.folder / "c.yaml",), answers=answers, cache=small.cache
    )
    (item,) = Bench(settings).done(Piece(small.folder / "s.csv", "s.csv")).items
    assert item.report is not None
    return item


@pytest.mark.parametrize(
    ("row", "verdict"),
    [
        ("S-1,2026-06-01,confirm zero,Gauge,20.7,psia", "undetermined"),
        ("S-1,2026-06-01,confirm zero,Gauge,#REF!,psi", "undetermined"),
        ("S-1,2026-06-01,confirm zero,,,", "nonconforming"),
        ("S-1,2026-06-01,confirm zero,Gauge,0,psi", "conforms"),
    ],
)
def test_a_reading_that_is_written_and_not_taken_is_not_said_to_be_missing(
    row: str, verdict: str, small: Small
) -> None:
    """Symptom: 20.7 psia, which was not taken, was «no gauge pressure», and the log nonconforming for it."""
    item = audited(small, f"{row}\n")
    assert item.report is not None
    assert {each.rule: each.verdict for each in item.report.rules}["zero-recorded"] == verdict
    told = [each for each in item.report.findings if each.rule == "zero-recorded"]
    assert [each.why_undetermined for each in told if each.verdict == "undetermined"] == (
        ["unreadable"] if verdict == "undetermined" else []
    )
    asks = [ask for ask in item.asks if "zero-recorded" in ask.rules]
    assert [(ask.row, ask.column) for ask in asks] == ([(2, "E")] if verdict == "undetermined" else [])


def test_what_a_unit_of_its_own_cannot_mean_is_said(small: Small) -> None:
    """Symptom: «a gauge pressure (psi or kPa). write what the gauge shows ...», and not what was wrong with it."""
    item = audited(small, "S-1,2026-06-01,confirm zero,Gauge,20.7,psia\n")
    (ask,) = [each for each in item.asks if each.text == "20.7"]
    assert ask.question.startswith("20.7 psia is an absolute pressure, and a gauge pressure (psi or kPa) is expected")


def test_the_reading_before_is_one_of_the_same_name(small: Small) -> None:
    """Symptom: «42 under Gauge; 2 before», where the two ways of finding the cable stood before."""
    rows = "S-1,2026-06-01,identify cable,Ways,2,\nS-1,2026-06-01,read pressure,Gauge,42,psi\n"
    (ask,) = [each for each in audited(small, rows).asks if each.text == "42"]
    assert "before" not in ask.question
    before = "S-1,2026-06-01,read pressure,Gauge,6.2,psi\n"
    (ask,) = [each for each in audited(small, before + rows).asks if each.text == "42"]
    assert "6.2 before" in ask.question


def test_a_reading_that_can_hardly_be_right_is_asked_about_in_its_cell(small: Small) -> None:
    """Symptom: it could not be said, at the cell of the task, and nobody was asked; an answer settles it."""
    row = "S-1,2026-06-01,sleeve on,Bond B,52,mm\n"
    item = audited(small, row)
    assert item.report is not None
    (odd,) = [each for each in item.report.findings if each.rule in ("implausible-reading", "unit-mixed-up")]
    assert (odd.line, odd.letter) == (2, "E")
    (ask,) = [each for each in item.asks if odd.rule in each.rules]
    assert (ask.row, ask.column, ask.text) == (2, "E", "52")
    assert ask.question == "bond length 2.05 in, and as a rule it is 3 in to 12 in. What was it?"
    again = audited(small, row, small.answered([item], {"as a rule": "132 mm"}))
    assert again.report is not None
    assert odd.rule not in {each.rule for each in again.report.findings}


@pytest.mark.parametrize(
    ("remark", "verdict"),
    [
        ("70/70 F, 6.0/6.0 psi, 30 min", "undetermined"),
        ("see photo", "nonconforming"),
        ("", "nonconforming"),
    ],
)
def test_a_reading_that_a_remark_may_tell_is_not_said_to_be_missing(remark: str, verdict: str, small: Small) -> None:
    """Symptom: the temperatures and the time of a hold test stood in its remark, and were found not written down."""
    small.columns = small.columns.replace("milestones", "every-step").replace("pressurized: no", "pressurized: yes")
    (item,) = small.audited(f'K-1,2026-05-04,09:00,TL,hold test,"{remark}"')
    assert item.report is not None
    assert {each.rule: each.verdict for each in item.report.rules}["hold-recorded"] == verdict
    asks = [ask for ask in item.asks if "hold-recorded" in ask.rules]
    assert all(remark in ask.question for ask in asks)
    assert bool(asks) == (verdict == "undetermined")


def test_a_fact_that_was_taken_and_breaks_a_rule_is_asked_for(small: Small) -> None:
    """Symptom: no hose clamps were taken off, which nobody had said were there, and nothing told that they were taken
    to be."""
    small.columns = small.columns.replace("sheath-repair, sheath: polyethylene", "auxiliary-repair").replace(
        "milestones", "every-step"
    )
    rows = "K-1,2026-05-04,09:00,TL,clean residue,"
    items = small.audited(rows)
    assert verdicts(items)["hose-clamps-off"] == "nonconforming"
    (ask,) = [ask for item in items for ask in item.asks if "old hose clamps" in ask.question]
    assert ask.question.endswith("yes or no? It was taken as yes, for hose-clamps-off.")
    found = verdicts(small.audited(rows, small.answered(items, {"old hose clamps": "no"})))
    assert found["hose-clamps-off"] == "not applicable"

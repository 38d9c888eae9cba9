"""A unit that a column file leaves out is told once, to its author; one that a crew left out is asked of the crew."""

from __future__ import annotations

from pathlib import Path

import pytest

from ringcut.archive.results import Audited
from ringcut.archive.work import Bench, Piece, Settings
from ringcut.rulebookfiles import builtin_rulebook

COLUMNS = """
columns: {WO: reference, Date: date, Task: task, Bond A: {reading: assemble-sleeve.bond-length, side: A},
  Bond B: {reading: assemble-sleeve.bond-length, side: B}, Zero: confirm-zero.gauge-pressure}
records: milestones
job: {work: sheath-repair, sheath: polyethylene, construction: single, pressurized: no, location: building}
"""
ROWS = """WO,Date,Task,Bond A,Bond B,Zero
J-1,2026-03-04,Sleeve on,5.5,5.25 in,
J-1,2026-03-04,Confirm zero,,,0
J-2,2026-03-04,Sleeve on,5.5,5,
"""


@pytest.fixture
def audited(tmp_path: Path, compiled: Path) -> Audited:
    (tmp_path / "u.csv").write_text(ROWS)
    (tmp_path / "u.yaml").write_text(COLUMNS)
    bench = Bench(Settings(builtin_rulebook(), "2026-06-01", columns=(tmp_path / "u.yaml",), cache=compiled))
    return bench.done(Piece(tmp_path / "u.csv", "u.csv"))


def test_a_column_without_a_unit_is_told_once(audited: Audited) -> None:
    assert audited.file is not None
    noted = [(each.place.letter, each.says) for each in audited.file.noted if each.kind == "column"]
    assert noted == [
        ("D", "2 numbers and no unit: not taken. Say it in the column file, as unit: in"),
        ("F", "1 number and no unit: not taken. Say it in the column file, as unit: psi"),
    ]
    assert [each.where for each in audited.file.not_taken if each.kind == "column-unit"] == ["2:D", "3:F", "4:D"]


def test_no_crew_is_asked_for_it(audited: Audited) -> None:
    """Only the number beside another that has a unit is for the crew to say."""
    asked = [(ask.row, ask.column) for item in audited.items for ask in item.asks if ask.column]
    assert asked == [(4, "E")]


def test_what_waits_for_it_is_still_undetermined(audited: Audited) -> None:
    found = {
        (item.report.reference, each.side): each.why_undetermined
        for item in audited.items
        if item.report is not None
        for each in item.report.findings
        if each.rule == "adhesive-bond-length"
    }
    assert found == {("J-1", "A"): "unreadable", ("J-2", ""): "unreadable"}

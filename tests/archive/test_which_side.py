"""Sides that nobody has explained: nothing is taken for both, and what is asked can be answered from the row."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.archive.small import Small

from ringcut.archive.results import Item
from ringcut.archive.work import Bench, Piece, Settings
from ringcut.rulebookfiles import builtin_rulebook

REST = """
dates: year-first
clock: "24"
time-means: finished
records: milestones
job: {work: sheath-repair, sheath: polyethylene, construction: single, pressurized: no, location: building}
"""
ROWS = """columns: {WO: reference, Date: date, Task: task, Side: side, Bond A: assemble-sleeve.bond-length,
  Bond: assemble-sleeve.bond-length}
"""
HEAD = "WO,Date,Task,Side,Bond A,Bond\n"
LONG = """shape: long
columns: {WO: reference, Date: date, Task: task, Item: reading-name, Value: value, Unit: unit}
readings: {Grip 1: assemble-sleeve.bond-length, Grip 2: assemble-sleeve.bond-length}
"""
LONG_ROWS = """WO,Date,Task,Item,Value,Unit
S-1,2026-06-01,sleeve on,Grip 1,5.25,in
S-1,2026-06-01,sleeve on,Grip 2,4.5,in
"""


def audited(small: Small, columns: str, sheet: str, answers: Path | None = None) -> Item:
    (small.folder / "s.csv").write_text(sheet)
    (small.folder / "c.yaml").write_text(columns + REST)
    settings = Settings(
        builtin_rulebook(), "2026-06-02", columns=(small.folder / "c.yaml",), answers=answers, cache=small.cache
    )
    (item,) = Bench(settings).done(Piece(small.folder / "s.csv", "s.csv")).items
    assert item.report is not None
    return item


def verdicts(item: Item) -> dict[tuple[str, str], str]:
    assert item.report is not None
    found = {(each.rule, each.side): each.verdict for each in item.report.findings}
    return found | {(each.rule, ""): each.verdict for each in item.report.rules if (each.rule, "") not in found}


def test_a_row_of_a_side_that_nobody_knows_is_of_neither(small: Small) -> None:
    """Symptom: 5.25 in of a side N, of which nobody had said which it is, stood for both sides, and both conformed;
    of two such rows the later one was taken alone, and 4.5 in of the other was never looked at."""
    rows = "S-1,2026-06-01,sleeve on,N,,4.5 in\nS-1,2026-06-01,sleeve on,S,,5.25 in\n"
    item = audited(small, ROWS, HEAD + rows)
    assert item.report is not None
    assert not [each for each in item.report.measured if each.rule == "adhesive-bond-length"]
    assert item.report.verdict == "undetermined"
    assert [each.question for each in item.asks] == [
        'Which side is "N": A (the office side) or B?', 'Which side is "S": A (the office side) or B?',
    ]  # fmt: skip
    file = small.answered([item], {'"N"': "A", '"S"': "B"})
    found = verdicts(audited(small, ROWS, HEAD + rows, file))
    assert found["adhesive-bond-length", "A"] == "nonconforming"
    assert ("adhesive-bond-length", "B") not in found


def test_what_does_not_differ_by_side_is_known_of_it_all_the_same(small: Small) -> None:
    item = audited(small, ROWS, f"{HEAD}S-1,2026-06-01,fv,N,,\nS-1,2026-06-01,sleeve on,N,5.25 in,\n")
    assert item.report is not None
    measured = [(each.rule, each.side) for each in item.report.measured]
    assert ("adhesive-bond-length", "A") not in measured, "that it was done is known of no side"
    assert "check foreign voltage" not in item.report.not_recorded


def test_two_readings_under_two_names_are_asked_for_by_side(small: Small) -> None:
    """Symptom: «which side is which, nobody has said. What should stand here?» A crew that wrote A was told that A is
    no length, and one that wrote the length again was asked again."""
    item = audited(small, LONG, LONG_ROWS)
    (ask,) = [each for each in item.asks if "Grip 1" in each.question]
    assert ask.question == (
        'Row 2 has Grip 1 "5.25" and row 3 Grip 2 "4.5", and not which is of which side. Bond length (bare sheath '
        "under the sleeve beyond the outermost layer): (1) side A (the office side); (2) side B? Answer in this "
        "order, with ; between."
    )
    assert "adhesive-bond-length" in ask.rules
    file = small.answered([item], {"Grip 1": "4.5 in; 5.25 in"})
    item = audited(small, LONG, LONG_ROWS, file)
    assert verdicts(item)["adhesive-bond-length", "A"] == "nonconforming"
    assert not [each for each in item.asks if "Grip 1" in each.question]


@pytest.mark.parametrize(("said", "verdict"), [("4.5 in", "nonconforming"), ("5.5 in", "conforms")])
def test_a_value_under_the_heading_of_the_other_side_is_asked_for(small: Small, said: str, verdict: str) -> None:
    """Symptom: «side B in the row, side A in the heading. What should stand here?» could not be answered: whatever
    stood there was under the wrong heading again."""
    sheet = f"{HEAD}S-1,2026-06-01,sleeve on,A,5.25 in,\nS-1,2026-06-01,sleeve on,B,5.5 in,\n"
    item = audited(small, ROWS, sheet)
    (ask,) = [each for each in item.asks if "side B" in each.question]
    assert ask.question == (
        'The row says side B, and "5.5 in" stands under Bond A. What was read on side B: bond length (bare sheath '
        "under the sleeve beyond the outermost layer)?"
    )
    item = audited(small, ROWS, sheet, small.answered([item], {"side B": said}))
    found = verdicts(item)
    assert found.get(("adhesive-bond-length", "B"), found["adhesive-bond-length", ""]) == verdict
    assert not [each for each in item.asks if "side B" in each.question]

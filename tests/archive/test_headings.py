"""Headings: taken apart, and put together where they stand in two rows."""

from __future__ import annotations

import pytest

from ringcut.archive.cells import row_of
from ringcut.archive.columnfile import read_columns
from ringcut.archive.columns import Column, ColumnFile
from ringcut.archive.headings import joined_rows, take_apart
from ringcut.archive.lexicon import RulebookLexicon
from ringcut.archive.spreadsheets import Reading, read_spreadsheet
from ringcut.reading.problems import Unreadable
from ringcut.reading.raw import RawStep

SHEET = """\
Week 18,,,,,
Order,Torch,Bond (in),,Marks,
,,A,B,,Notes
X-1,x,5.5,5.25,x,wet
Order,Torch,Bond (in),,Marks,
,,A,B,,Notes
X-2,x,5,5,x,
"""
COLUMNS = """\
shape: ticks
records: milestones
sorted: yes
marks: {done: [x]}
columns:
  Order: reference
  Torch: {step: light-torch}
  Bond (in) A: {reading: assemble-sleeve.bond-length}
  Bond (in) B: {reading: assemble-sleeve.bond-length}
  Marks: {step: mark-sheath}
  Notes: note
"""


def read(lexicon: RulebookLexicon, more: str) -> Reading:
    return read_spreadsheet(
        SHEET.encode(), "t.csv", lexicon, read_columns((COLUMNS + more).encode(), "c.yaml", lexicon)
    )


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ('Bond "A" (in)', ("Bond", "A", "in")),
        ("Bond (in) A", ("Bond", "A", "in")),
        ("Bond (in)", ("Bond", "", "in")),
        ("Bond side B", ("Bond", "B", "")),
        ("Bond (extra) A", ("Bond (extra)", "A", "")),
        ("LEL/O2", ("LEL/O2", "", "")),
    ],
)
def test_a_heading_taken_apart(text: str, parts: tuple[str, str, str]) -> None:
    assert take_apart(text, {}) == parts


@pytest.mark.parametrize("more", ["heading-rows: 2\n", "heading-rows: 2\nheading-row: 2\n"])
def test_a_heading_of_two_rows(more: str, lexicon: RulebookLexicon) -> None:
    found = read(lexicon, more)
    assert [log.reference for log in found.logs] == ["X-1", "X-2"]
    steps = [step for step in found.logs[0].raw.steps if isinstance(step, RawStep)]
    assert [step.do.text for step in steps] == ["light-torch", "assemble-sleeve", "mark-sheath"]
    assert [(side.text, value.text) for side, value in steps[1].readings[0].sides] == [
        ("A", "5.5 in"),
        ("B", "5.25 in"),
    ]
    assert steps[0].note and steps[0].note.text == "wet"
    assert [(left.line, left.because) for left in found.tables[0].left_out] == [
        (5, "heading again"),
        (6, "heading again"),
    ]
    assert found.noted == ()


def test_a_heading_of_two_rows_that_is_read_as_one_says_so(lexicon: RulebookLexicon) -> None:
    noted = {each.text: each.says for each in read(lexicon, "").noted}
    assert noted["Bond (in) A"] == "in the column file, but not in this heading; it is with heading-rows: 2"
    few = "shape: ticks\ncolumns: {Bond (in) A: {step: light-torch}, Bond (in) B: {step: light-torch}}\n"
    with pytest.raises(Unreadable, match="write heading-rows: 2"):
        read_spreadsheet(SHEET.encode(), "t.csv", lexicon, read_columns(few.encode(), "c.yaml", lexicon))


def test_what_stands_above_several_goes_to_each_of_them_and_no_further() -> None:
    spec = ColumnFile(columns={"Lower": Column("note"), "Only": Column("note")})
    rows = [row_of(1, ["G", "", "", "Only", ""]), row_of(2, ["a", "b", "Lower", "", "c"])]
    joined = joined_rows(rows, spec.column)
    assert joined is not None
    assert [cell.text for cell in joined.cells] == ["G a", "G b", "Lower", "Only", "Only"]


def test_a_leave_out_of_no_column_is_told(lexicon: RulebookLexicon) -> None:
    noted = read(lexicon, "heading-rows: 2\nleave-out: [{column: Ordre, says: Sum}]\n").noted
    assert [(each.text, each.kind) for each in noted] == [("Ordre", "column")]
    assert "no row is left out by it" in noted[0].says

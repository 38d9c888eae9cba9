"""When a step was begun beside when it was finished, in one cell or in two."""

from __future__ import annotations

import pytest

from ringcut.archive.begun import turn
from ringcut.archive.cells import Cell
from ringcut.archive.columnfile import read_columns
from ringcut.archive.hours import read_span
from ringcut.archive.lexicon import RulebookLexicon
from ringcut.archive.spreadsheets import Reading, read_spreadsheet
from ringcut.reading.raw import RawStep

COLUMNS = """\
records: milestones
dates: year-first
fill-down: [Date]
columns: {WO: reference, Date: date, Start: started, Time: time, Task: task}
tasks: [{say: Cool, do: cool-closure}, {say: Shrunk, do: shrink-sleeve}]
"""


@pytest.mark.parametrize(
    ("cell", "clock", "between"),
    [
        ("9:15-9:40", "", ""),
        ("11:50-12:10", "", ""),
        ("12:50-1:05", "12", "noon"),
        ("12:50-1:05", "mixed", "noon"),
        ("12:50-1:05", "", "unclear"),
        ("12:50-1:05", "24", "backwards"),
        ("23:50-0:10", "", "midnight"),
        ("2350-0010", "24", "midnight"),
        ("10:00-9:40", "24", "backwards"),
        ("10:00 AM-9:40 AM", "12", "backwards"),
        ("20:00-06:00", "24", "backwards"),
    ],
)
def test_what_lies_between_two_times(cell: str, clock: str, between: str) -> None:
    span = read_span(Cell(cell, 1, 1))
    assert span is not None and turn(*span, clock) == between


def read(rows: str, clock: str, lexicon: RulebookLexicon) -> Reading:
    columns = read_columns(f"{COLUMNS}clock: {clock}\n".encode(), "c.yaml", lexicon)
    return read_spreadsheet(f"WO,Date,Start,Time,Task\n{rows}".encode(), "t.csv", lexicon, columns)


def times(found: Reading) -> list[tuple[str, str]]:
    steps = [step for step in found.logs[0].raw.steps if isinstance(step, RawStep)]
    return [(step.started.text if step.started else "", step.at.text if step.at else "") for step in steps]


@pytest.mark.parametrize(
    ("rows", "clock", "expected", "kinds"),
    [
        ("X-1,2026-05-04,,2350-0010,Cool\n", "24", [("2026-05-04T23:50", "2026-05-05T00:10")], {"midnight"}),
        ("X-1,2026-05-04,,2300-2340,Cool\nX-1,,,2350-0010,Shrunk\n", "24",
         [("2026-05-04T23:00", "2026-05-04T23:40"), ("2026-05-04T23:50", "2026-05-05T00:10")], {"midnight"}),
        ("X-1,2026-05-04,,12:50-1:05,Cool\n", "12", [("2026-05-04T12:50", "2026-05-04T13:05")], {"noon"}),
        ("X-1,2026-05-04,23:50,0:10,Cool\n", "24", [("2026-05-04T23:50", "2026-05-05T00:10")], {"midnight"}),
        ("X-1,2026-05-04,23:00,23:40,Cool\nX-1,2026-05-04,23:50,0:10,Shrunk\n", "24",
         [("2026-05-04T23:00", "2026-05-04T23:40"), ("2026-05-04T23:50", "2026-05-05T00:10")], {"midnight"}),
        ("X-1,2026-05-04,7:00,13:20,Cool\n", "24", [("2026-05-04T07:00", "2026-05-04T13:20")], set()),
        ("X-1,2026-05-04,1:00,13:20,Cool\n", "24", [("2026-05-04T13:00", "2026-05-04T13:20")], set()),
    ],
)  # fmt: skip
def test_a_beginning_is_put_before_its_end(
    rows: str, clock: str, expected: list[tuple[str, str]], kinds: set[str], lexicon: RulebookLexicon
) -> None:
    found = read(rows, clock, lexicon)
    assert times(found) == expected
    told = {each.kind for each in found.assumptions}
    assert told & {"midnight", "noon"} == kinds


@pytest.mark.parametrize(
    ("row", "clock", "expected"),
    [
        ("X-1,2026-05-04,,1000-0940,Cool\n", "24", [("", "")]),
        ("X-1,2026-05-04,10:00,9:40,Cool\n", "24", [("", "2026-05-04T09:40")]),
    ],
)
def test_an_end_before_its_beginning_is_told_and_not_taken(
    row: str, clock: str, expected: list[tuple[str, str]], lexicon: RulebookLexicon
) -> None:
    found = read(row, clock, lexicon)
    assert times(found) == expected
    assert [each.kind for each in found.not_taken] == ["time"]

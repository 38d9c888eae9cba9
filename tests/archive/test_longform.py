"""Sheets with a row a reading: the same word of several items, values that are marks, rows of one doing together."""

from __future__ import annotations

import pytest

from ringcut.archive.columnfile import read_columns
from ringcut.archive.lexicon import RulebookLexicon
from ringcut.archive.spreadsheets import Reading, read_spreadsheet
from ringcut.reading.raw import RawStep

COLUMNS = """\
shape: long
dates: year-first
clock: 24
records: milestones
columns: {WO: reference, Time: time, Item: task, Reading: reading-name, Value: value, Unit: unit, End: side}
tasks:
  - {say: Scuff, do: scuff-lead}
  - {say: Trim, do: trim-sleeve}
  - {say: Gas, do: test-atmosphere}
  - {say: Torch, do: light-torch}
  - {say: Cool, do: cool-closure}
readings:
  Done: status
  Ticket no: ignore
  Length: [scuff-lead.scuffed-length, trim-sleeve.sleeve-length]
  LEL: test-atmosphere.combustible-gas
  O2: test-atmosphere.oxygen
  Cool: [cool-closure.minutes, cool-closure.by-hand]
"""


def read(rows: str, lexicon: RulebookLexicon) -> Reading:
    spec = read_columns(COLUMNS.encode(), "c.yaml", lexicon)
    return read_spreadsheet(f"WO,Time,Item,Reading,Value,Unit,End\n{rows}".encode(), "t.csv", lexicon, spec)


def told(found: Reading) -> list[str]:
    steps = [step for step in found.logs[0].raw.steps if isinstance(step, RawStep)]
    return [
        " ".join(
            [
                step.do.text,
                *(f"{each.name.text}={each.value.text}" for each in step.readings if each.value),
                *([step.status.text] if step.status else []),
            ]
        )
        for step in steps
    ]


@pytest.mark.parametrize(
    ("rows", "expected"),
    [
        ("X-1,8:00,Scuff,Length,7,in,\nX-1,8:05,Trim,Length,15,in,\n",
         ["scuff-lead scuffed-length=7 in", "trim-sleeve sleeve-length=15 in"]),
        ("X-1,8:00,Torch,Done,yes,,\nX-1,8:05,Torch,Done,no,,\n", ["light-torch", "light-torch not-done"]),
        ("X-1,8:00,Torch,Ticket no,no,,\n", ["light-torch"]),
        ("X-1,8:00,Gas,LEL,0,%LFL,\nX-1,8:00,Gas,O2,20.9,%,\n",
         ["test-atmosphere combustible-gas=0 %LFL oxygen=20.9 %"]),
        ("X-1,8:00,Cool,Cool,yes,,\n", ["cool-closure by-hand=yes"]),
        ("X-1,8:00,Cool,Cool,35,min,\n", ["cool-closure minutes=35 min"]),
        ("X-1,8:00,Gas,LEL,N/A,,\n", ["test-atmosphere not-applicable"]),
        ("X-1,8:00,Gas,LEL,,,\n", ["test-atmosphere not-recorded"]),
        ("X-1,8:00,Torch,Done,,,\n", ["light-torch not-recorded"]),
        ("X-1,8:00,Gas,LEL,0,%LFL,\nX-1,8:00,Gas,O2,n/a,,\n", ["test-atmosphere combustible-gas=0 %LFL"]),
    ],
)  # fmt: skip
def test_rows_are_read(rows: str, expected: list[str], lexicon: RulebookLexicon) -> None:
    found = read(rows, lexicon)
    assert told(found) == expected
    assert found.not_taken == ()


@pytest.mark.parametrize(
    ("row", "step", "says"),
    [
        ("X-1,8:00,Torch,LEL,0,%LFL,\n", ["light-torch"], "LEL is read at test-atmosphere; this row is Torch"),
        ("X-1,8:00,Torch,Length,7,in,\n", ["light-torch"], "Length is read at scuff-lead, trim-sleeve"),
        ("X-1,8:00,Torch,Volts,0,V,\n", ["light-torch"], "does not say which reading this is"),
        ("X-1,8:00,Trim,Length,15,,\n", ["trim-sleeve"], "15 what?"),
        ("X-1,8:00,Torch,Done,maybe,,\n", ["light-torch not-recorded"], "does not say what this mark means"),
    ],
)
def test_a_row_brings_no_step_of_another_item(row: str, step: list[str], says: str, lexicon: RulebookLexicon) -> None:
    found = read(row, lexicon)
    assert told(found) == step
    (refused,) = found.not_taken
    assert says in f"{refused.says} {refused.likelier}"


def test_an_item_that_nobody_knows_is_asked_for_and_not_its_reading_too(lexicon: RulebookLexicon) -> None:
    found = read("X-1,8:00,Sniff,LEL,0,%LFL,\nX-1,8:05,Torch,Done,yes,,\n", lexicon)
    assert told(found) == ["light-torch"]
    assert [(each.where, each.kind) for each in found.not_taken] == [("2:C", "task")]

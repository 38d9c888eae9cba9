"""Cells of reading columns: two readings with signs and units, alternatives of a step, marks in their place."""

from __future__ import annotations

import pytest

from ringcut.archive.columnfile import read_columns
from ringcut.archive.lexicon import RulebookLexicon
from ringcut.archive.spreadsheets import Reading, read_spreadsheet
from ringcut.reading.problems import Unreadable
from ringcut.reading.raw import RawStep

COLUMNS = """\
dates: year-first
clock: 24
records: milestones
columns:
  WO: reference
  Task: task
  LEL/O2:
    reading: test-atmosphere.combustible-gas..oxygen
    units: {combustible-gas: "%LFL", test-atmosphere.oxygen: "%"}
  Read:
    reading: [check-foreign-voltage.voltage, wrap-aluminum-tape.width..reach, cool-closure.minutes,
              cool-closure.by-hand]
    units: {voltage: V, minutes: min}
    words: {by hand: "yes", touch for {n}: "{n} min"}
    otherwise: note
  Notes: note
tasks:
  - {say: Gas, do: test-atmosphere}
  - {say: FV, do: check-foreign-voltage}
  - {say: Alu, do: wrap-aluminum-tape}
  - {say: Cool, do: cool-closure}
  - {say: Torch, do: [light-torch, preheat-lead]}
"""


def read(rows: str, lexicon: RulebookLexicon, columns: str = COLUMNS) -> Reading:
    spec = read_columns(columns.replace("touch for {n}", '"touch for {n}"').encode(), "c.yaml", lexicon)
    return read_spreadsheet(f"WO,Task,LEL/O2,Read,Notes\n{rows}".encode(), "t.csv", lexicon, spec)


def readings(found: Reading) -> dict[str, str]:
    (step,) = [step for step in found.logs[0].raw.steps if isinstance(step, RawStep)]
    return {each.name.text: each.value.text for each in step.readings if each.value}


@pytest.mark.parametrize(
    ("row", "expected"),
    [
        ("Gas,>40/20.1,", {"combustible-gas": ">40 %LFL", "oxygen": "20.1 %"}),
        ("Gas,<1/20.9,", {"combustible-gas": "<1 %LFL", "oxygen": "20.9 %"}),
        ("Gas,0/20.9,", {"combustible-gas": "0 %LFL", "oxygen": "20.9 %"}),
        ("Gas,0 %LFL / 20.9 %,", {"combustible-gas": "0 %LFL", "oxygen": "20.9 %"}),
        ("Alu,,4 in/2 in", {"width": "4 in", "reach": "2 in"}),
        ("Alu,,4/2 in", {"width": "4 in", "reach": "2 in"}),
        ("FV,,0.3", {"voltage": "0.3 V"}),
        ("Cool,,35", {"minutes": "35 min"}),
        ("Cool,,by hand", {"by-hand": "yes"}),
        ("Cool,,touch for 40", {"minutes": "40 min"}),
    ],
)
def test_a_cell_is_read(row: str, expected: dict[str, str], lexicon: RulebookLexicon) -> None:
    found = read(f"X-1,{row},\n", lexicon)
    assert readings(found) == expected
    assert found.not_taken == ()


def test_one_bad_reading_of_two_costs_the_cell(lexicon: RulebookLexicon) -> None:
    found = read("X-1,Gas,0/209,,\n", lexicon)
    assert readings(found) == {}
    assert [(each.where, each.likelier) for each in found.not_taken] == [("2:C", "20.9?")]


def test_a_mark_for_the_only_reading_of_a_row_says_it_of_the_step(lexicon: RulebookLexicon) -> None:
    found = read("X-1,Gas,N/A,,meter at shop\n", lexicon)
    (step,) = [step for step in found.logs[0].raw.steps if isinstance(step, RawStep)]
    assert step.status and step.reason
    assert (step.status.text, step.reason.text) == ("not-applicable", "meter at shop")


@pytest.mark.parametrize("row", ["Torch,N/A,,", "Cool,N/A,35,", "Torch,,N/A,"])
def test_a_mark_beside_other_work_is_noted_and_no_status(row: str, lexicon: RulebookLexicon) -> None:
    found = read(f"X-1,{row}\n", lexicon)
    steps = [step for step in found.logs[0].raw.steps if isinstance(step, RawStep)]
    assert all(step.status is None for step in steps)
    assert [(each.kind, each.text) for each in found.noted] == [("no-reading", "N/A")]


@pytest.mark.parametrize(
    ("cell", "value", "told"),
    [("16.5", "16.5 in", "decimals"), ("16;5", "", ""), ("1.650", "", ""), ("16,5", "16.5 in", "decimal-comma")],
)
def test_a_point_among_decimal_commas_is_told_or_asked(
    cell: str, value: str, told: str, lexicon: RulebookLexicon
) -> None:
    columns = (
        "decimal: comma\ncolumns: {WO: reference, Task: task, Cut (in): {reading: trim-sleeve.sleeve-length}}\n"
        "tasks: [{say: Cut, do: trim-sleeve}]\n"
    )
    spec = read_columns(columns.encode(), "c.yaml", lexicon)
    found = read_spreadsheet(f'WO,Task,Cut (in)\nX-1,Cut,"{cell}"\n'.encode(), "t.csv", lexicon, spec)
    (step,) = [step for step in found.logs[0].raw.steps if isinstance(step, RawStep)]
    assert [each.value.text for each in step.readings if each.value] == ([value] if value else [])
    assert told in [each.kind for each in found.assumptions] if told else len(found.not_taken) == 1


SIDES = """\
records: milestones
columns:
  WO: reference
  Task: task
  Bond (in):
    reading: assemble-sleeve.bond-length..bond-length
    words: {"office {a}, field {b}": "{a} / {b}"}
  Side: side
"""


@pytest.mark.parametrize(
    ("cell", "expected"),
    [
        ("5-1/2 / 4-7/8", [("A", "5-1/2 in"), ("B", "4-7/8 in")]),
        ("5.5/4.9", [("A", "5.5 in"), ("B", "4.9 in")]),
        ("5 1/2 to 6", [("A", "5 1/2 in"), ("B", "6 in")]),
        ('5-1/2"; 140 mm', [("A", '5-1/2 "'), ("B", "140 mm")]),
        ('"office 5-1/2, field 4-7/8"', [("A", "5-1/2 in"), ("B", "4-7/8 in")]),
    ],
)
def test_both_sides_may_stand_in_one_cell(cell: str, expected: list[tuple[str, str]], lexicon: RulebookLexicon) -> None:
    spec = read_columns(SIDES.encode(), "c.yaml", lexicon)
    found = read_spreadsheet(f"WO,Task,Bond (in)\nX-1,assemble sleeve,{cell}\n".encode(), "t.csv", lexicon, spec)
    assert not found.not_taken
    (step,) = [step for step in found.logs[0].raw.steps if isinstance(step, RawStep)]
    (reading,) = step.readings
    assert [(side.text, value.text) for side, value in reading.sides] == expected


@pytest.mark.parametrize(
    ("rest", "kind"), [("5-1/2,", "two-readings"), ("5-1/2 / 5,A", "side"), ("6,", "two-readings")]
)
def test_one_number_is_not_two_sides(rest: str, kind: str, lexicon: RulebookLexicon) -> None:
    """5-1/2 is no 5 at one side and 1/2 at the other."""
    spec = read_columns(SIDES.encode(), "c.yaml", lexicon)
    rows = f"WO,Task,Bond (in),Side\nX-1,assemble sleeve,{rest}\n"
    (refused,) = read_spreadsheet(rows.encode(), "t.csv", lexicon, spec).not_taken
    assert (refused.where, refused.kind) == ("2:C", kind)


def test_what_has_no_sides_cannot_stand_twice(lexicon: RulebookLexicon) -> None:
    columns = SIDES.replace("assemble-sleeve.bond-length..bond-length", "confirm-zero.gauge-pressure..gauge-pressure")
    with pytest.raises(Unreadable, match="gauge-pressure has no sides"):
        read_columns(columns.encode(), "c.yaml", lexicon)

"""What a column file does not say is told as assumed, or asked for; nothing is taken in silence."""

from __future__ import annotations

import pytest

from ringcut.archive.columnfile import read_columns
from ringcut.archive.lexicon import RulebookLexicon
from ringcut.archive.spreadsheets import Reading, read_spreadsheet
from ringcut.reading.raw import RawStep

COLUMNS = "columns: {WO: reference, Date: date, Time: time, Task: task}\n"
TASKS = (
    "tasks: [{say: Shrunk, do: shrink-sleeve}, {say: Cooled, do: cool-closure}, {say: Looked, do: inspect-sleeve}]\n"
)


def read(rows: str, lexicon: RulebookLexicon, said: str = "") -> Reading:
    spec = read_columns((COLUMNS + TASKS + said).encode(), "c.yaml", lexicon)
    return read_spreadsheet(f"WO,Date,Time,Task\n{rows}".encode(), "t.csv", lexicon, spec)


def told(found: Reading) -> dict[str, str]:
    return {each.subject: each.says for each in found.assumptions}


def times(found: Reading) -> list[str]:
    steps = [step for step in found.logs[0].raw.steps if isinstance(step, RawStep)]
    return [step.at.text if step.at else "" for step in steps]


def test_what_is_left_out_and_needed_is_told(lexicon: RulebookLexicon) -> None:
    found = read("X-1,2026-05-04,7:10,Shrunk\n", lexicon)
    assert set(told(found)) == {"records", "time-means", "clock"}
    assert found.logs[0].raw.keys["records"].text == "milestones"


def test_what_is_said_is_not_told(lexicon: RulebookLexicon) -> None:
    found = read("X-1,2026-05-04,7:10,Shrunk\n", lexicon, "records: every-step\ntime-means: finished\nclock: 24\n")
    assert told(found) == {}
    assert found.logs[0].raw.keys["records"].text == "every-step"


def test_times_that_are_certain_need_no_clock(lexicon: RulebookLexicon) -> None:
    assert "clock" not in told(read("X-1,2026-05-04,7:10 AM,Shrunk\nX-1,2026-05-04,13:20,Cooled\n", lexicon))


@pytest.mark.parametrize(
    ("clock", "placed", "asked"),
    [("", ["07:20", "", "13:20"], ["3:C"]), ("clock: 12\n", ["07:20", "13:15", "13:20"], []),
     ("clock: 24\n", ["07:20", "01:15", "13:20"], [])],
)  # fmt: skip
def test_a_time_that_goes_back_is_asked_for_where_the_clock_is_not_said(
    clock: str, placed: list[str], asked: list[str], lexicon: RulebookLexicon
) -> None:
    rows = "X-1,2026-05-04,7:20,Shrunk\nX-1,2026-05-04,1:15,Cooled\nX-1,2026-05-04,13:20,Looked\n"
    found = read(rows, lexicon, clock)
    assert [time.partition("T")[2] for time in times(found)] == placed
    assert [each.where for each in found.not_taken] == asked
    assert all(each.likelier == "13:15?" for each in found.not_taken)


def test_an_order_of_dates_that_nobody_said_is_not_put_on_the_column_file(lexicon: RulebookLexicon) -> None:
    found = read("X-1,20/4/2026,7:10 AM,Shrunk\n", lexicon)
    assert told(found)["Date"] == "20/4/2026 is 20 April 2026: in no other order is it a date"
    found = read("X-1,20/4/2026,7:10 AM,Shrunk\n", lexicon, "dates: day-first\n")
    assert told(found)["Date"] == "20/4/2026 is 20 April 2026: day first, by the column file"


def test_a_row_without_a_date_among_dated_ones_says_what_is_missing(lexicon: RulebookLexicon) -> None:
    rows = "X-1,2026-05-04,7:10,Shrunk\nX-1,,7:40,Cooled\n"
    found = read(rows, lexicon, "clock: 24\n")
    assert times(found) == ["2026-05-04T07:10", ""]
    (refused,) = found.not_taken
    assert (refused.where, refused.says) == (
        "3:C", "no date in this row, and Date is not under fill-down in the column file",
    )  # fmt: skip
    assert times(read(rows, lexicon, "clock: 24\nfill-down: [Date]\n")) == ["2026-05-04T07:10", "2026-05-04T07:40"]


def test_the_order_of_ticks_and_what_their_times_mean_are_told(lexicon: RulebookLexicon) -> None:
    columns = "shape: ticks\ncolumns: {WO: reference, Shrunk: {step: shrink-sleeve}, Cool: {step: cool-closure}}\n"
    spec = read_columns(columns.encode(), "c.yaml", lexicon)
    ticked = read_spreadsheet(b"WO,Shrunk,Cool\nX-1,y,y\n", "t.csv", lexicon, spec)
    assert set(told(ticked)) == {"records", "sorted"}
    timed = read_spreadsheet(b"WO,Shrunk,Cool\nX-1,7:10 AM,y\n", "t.csv", lexicon, spec)
    assert set(told(timed)) == {"records", "sorted", "time-means"}

"""Noon and midnight in the order of rows."""

from __future__ import annotations

import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringcut.archive.cells import Cell
from ringcut.archive.clock import Timed, put_on_one_clock
from ringcut.archive.hours import Hour, read_hour
from ringcut.archive.ledger import Ledger

DAY = datetime.date(2026, 3, 4)


def timed(texts: list[str], own_dates: bool = False) -> list[Timed]:
    rows = []
    for line, text in enumerate(texts, start=1):
        cell = Cell(text, line, 4)
        hour = read_hour(cell)
        assert isinstance(hour, Hour)
        rows.append(Timed(line, cell, hour, DAY, own_dates or line == 1, f"task {line}"))
    return rows


@pytest.mark.parametrize(
    ("texts", "clock", "expected", "assumed"),
    [
        (["12:10", "1:05", "2:20"], "mixed", ["12:10", "13:05", "14:20"], ["noon"]),
        (["12:10", "1:05"], "24", ["12:10", "01:05"], []),
        (["12:10", "1:05"], "", ["12:10", "01:05"], ["not-said"]),
        (["12:10", "01:05 AM"], "mixed", ["12:10", "01:05"], []),
        (["23:30", "00:20", "1:45"], "24", ["23:30", "2026-03-05T00:20", "2026-03-05T01:45"], ["midnight"]),
        (["9:00", "8:50"], "mixed", ["09:00", "08:50"], []),
        (["11:00", "10:00"], "mixed", ["11:00", "10:00"], []),
        (["9:10", "9:10"], "24", ["09:10", "09:10"], ["same-minute"]),
    ],
)
def test_one_clock(texts: list[str], clock: str, expected: list[str], assumed: list[str]) -> None:
    rows, ledger = timed(texts), Ledger("x.csv")
    put_on_one_clock(rows, clock, ledger)
    assert [row.text.removeprefix("2026-03-04T") for row in rows] == expected
    assert [each.kind for each in ledger.assumptions()] == assumed


def test_a_date_of_its_own_is_never_moved() -> None:
    rows, ledger = timed(["23:30", "00:20"], own_dates=True), Ledger("x.csv")
    put_on_one_clock(rows, "24", ledger)
    assert rows[1].text == "2026-03-04T00:20"
    assert ledger.assumptions() == ()


@given(st.lists(st.integers(0, 23 * 60 + 59), min_size=1, max_size=12))
def test_marked_times_of_rows_with_dates_stay_as_written(minutes: list[int]) -> None:
    texts = [f"{each // 60:02}:{each % 60:02}" for each in minutes]
    rows = timed(texts, own_dates=True)
    put_on_one_clock(rows, "24", Ledger("x.csv"))
    assert [row.text for row in rows] == [f"2026-03-04T{text}" for text in texts]


@given(st.lists(st.integers(1, 240), min_size=1, max_size=8), st.integers(6 * 60, 10 * 60))
def test_a_working_day_without_am_and_pm_is_put_back_in_order(gaps: list[int], start: int) -> None:
    """Oracle: the times before am and pm were left away, gaps of up to four hours, ended before midnight."""
    true = [start]
    for gap in gaps:
        true.append(true[-1] + gap)
    true = [each for each in true if each < 23 * 60 + 59]
    texts = [f"{(each // 60 - 1) % 12 + 1}:{each % 60:02}" for each in true]
    rows = timed(texts)
    put_on_one_clock(rows, "12", Ledger("x.csv"))
    assert [int(row.at) for row in rows] == true


def test_many_rows_of_one_minute_are_told_once() -> None:
    """Symptom: of ten rows at 9:00 each pair was told."""
    ledger = Ledger("f")
    put_on_one_clock(timed(["8:00", "9:00", "9:00", "9:00", "10:00", "10:00"]), "24", ledger)
    (told,) = [each for each in ledger.assumptions() if each.kind == "same-minute"]
    assert told.rows == (2, 3, 4, 5, 6)
    assert told.says == (
        "9:00 3 times: same minute, list order kept: task 2 to task 4 (2-4), "
        "10:00 twice: same minute, list order kept: task 5, then task 6 (5-6)"
    )

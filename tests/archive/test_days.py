"""Dates, in the order that the column file states and in no other."""

from __future__ import annotations

import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st
from openpyxl.utils.datetime import to_excel

from ringcut.archive.cells import Cell
from ringcut.archive.days import Day, NoDay, read_day


@pytest.mark.parametrize(
    ("text", "order", "date", "mattered"),
    [
        ("3/4/26", "month-first", "2026-03-04", "month-first"),
        ("3/4/26", "day-first", "2026-04-03", "day-first"),
        ("05.03.2026", "day-first", "2026-03-05", "day-first"),
        ("13/3/2026", "", "2026-03-13", "day-first"),
        ("3/3/2026", "", "2026-03-03", ""),
        ("2026-03-04", "day-first", "2026-03-04", ""),
        ("4 Mar 2026", "", "2026-03-04", ""),
        ("4-Mar-26", "", "2026-03-04", ""),
        ("Wed, March 4th, 2026", "", "2026-03-04", ""),
        # the numbers of days that openpyxl reads back: 1 January 2026, 1 July 2026
        ("46023", "", "2026-01-01", ""),
        ("46204.0", "day-first", "2026-07-01", ""),
    ],
)
def test_date_is_read(text: str, order: str, date: str, mattered: str) -> None:
    found = read_day(Cell(text, 1, 1), order)
    assert isinstance(found, Day)
    assert (found.date.isoformat(), found.order) == (date, mattered)


@pytest.mark.parametrize(
    ("text", "order", "says"),
    [
        ("3/4/26", "", "does not say which comes first"),
        ("13/03/2026", "month-first", "day first, unlike all others"),
        ("31/31/2026", "month-first", "no such day"),
        ("2/30/2026", "month-first", "no such day"),
        ("last week", "month-first", "is no date"),
        ("4-Foo-26", "", "no month"),
        ("=TODAY()", "month-first", "formula"),
        ("20260", "", "is no date"),
        ("99999", "", "is no date"),
    ],
)
def test_what_is_no_date_is_told(text: str, order: str, says: str) -> None:
    found = read_day(Cell(text, 1, 1), order)
    assert isinstance(found, NoDay) and says in found.says


@given(st.dates(datetime.date(2000, 1, 1), datetime.date(2068, 12, 31)), st.booleans())
def test_a_date_written_in_an_order_reads_back_in_it(date: datetime.date, month_first: bool) -> None:
    text = date.strftime("%m/%d/%Y" if month_first else "%d/%m/%Y")
    found = read_day(Cell(text, 1, 1), "month-first" if month_first else "day-first")
    assert isinstance(found, Day) and found.date == date


@given(st.dates(datetime.date(2000, 1, 1), datetime.date(2069, 12, 31)))
def test_the_number_of_a_day_is_that_day(date: datetime.date) -> None:
    """Against the library that reads workbooks."""
    found = read_day(Cell(str(int(to_excel(date))), 1, 1), "")  # type: ignore[no-untyped-call]
    assert isinstance(found, Day) and (found.date, found.serial) == (date, True)

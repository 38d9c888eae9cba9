"""Times of day as crews write them."""

from __future__ import annotations

import pytest

from ringcut.archive.cells import Cell
from ringcut.archive.hours import Hour, NoHour, read_hour, read_span


@pytest.mark.parametrize(
    ("text", "time", "marked", "form"),
    [
        ("7:10", "07:10", False, "plain"),
        ("7:40 AM", "07:40", True, "plain"),
        ("12:05 a.m.", "00:05", True, "plain"),
        ("1:05p", "13:05", True, "plain"),
        ("2 pm", "14:00", True, "plain"),
        ("00:20", "00:20", True, "plain"),
        ("23:30:15", "23:30:15", True, "plain"),
        ("7h05", "07:05", False, "plain"),
        ("noon", "12:00", True, "plain"),
        ("715", "07:15", False, "digits"),
        ("1420 hrs", "14:20", True, "digits"),
        ("8.05", "08:05", False, "dotted"),
        ("0.3125", "07:30", True, "fraction"),
        (".548611", "13:10", True, "fraction"),
        ("2026-03-04T07:10:00-05:00", "07:10", True, "plain"),
        ("3/4/26 7:10", "07:10", False, "plain"),
    ],
)
def test_time_is_read(text: str, time: str, marked: bool, form: str) -> None:
    found = read_hour(Cell(text, 1, 1))
    assert isinstance(found, Hour)
    assert (found.text, found.marked, found.form) == (time, marked, form)


def test_day_and_zone_beside_it_are_kept() -> None:
    found = read_hour(Cell("2026-03-04T07:10:00z", 1, 1))
    assert isinstance(found, Hour) and (found.day, found.zone) == ("2026-03-04", "Z")


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("8.5", "half an hour"),
        ("0.25", "fraction of a day"),
        ("46085.3125", "spreadsheet's number"),
        ("7:15-7:30", "two times"),
        ("25:00", "no time of day"),
        ("13:05 pm", "no time of day"),
        ("7:75", "no time of day"),
        ("about 9", "no time of day"),
        ("=A1", "formula"),
        ("#REF!", "formula"),
    ],
)
def test_what_is_no_time_is_told(text: str, says: str) -> None:
    found = read_hour(Cell(text, 1, 1))
    assert isinstance(found, NoHour) and says in found.says


@pytest.mark.parametrize(
    ("text", "span"),
    [
        ("0915-0940", ("09:15", "09:40")),
        ("9:15 to 9:40 AM", ("09:15", "09:40")),
        ("7:10–13:05", ("07:10", "13:05")),
        ("3/4/26 7:10 - 7:40", ("07:10", "07:40")),
        ("2026-03-04T07:10:00-05:00", None),
        ("7:10", None),
        ("5-1/4", None),
        ("2026-03-04", None),
        ("7:15-7:30-7:40", None),
    ],
)
def test_two_times_in_a_cell(text: str, span: tuple[str, str] | None) -> None:
    found = read_span(Cell(text, 1, 1))
    assert (found and tuple(each.text for each in found)) == span

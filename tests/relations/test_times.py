"""Times of a log: RFC 3339 examples, times of day, midnight, zones."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from fractions import Fraction

import pytest

from ringcut.checking import read
from ringcut.language.ir import Rulebook
from ringcut.reading.problems import Unreadable
from ringcut.relations.procedure import Procedure
from ringcut.relations.times import read_time, read_zone

HOUR = 3600


def utc(text: str) -> Fraction:
    return Fraction(int(datetime.fromisoformat(text).replace(tzinfo=UTC).timestamp()))


def seconds(text: str) -> Fraction:
    found = read_time(text)
    assert found is not None and not found.bare
    return found.seconds


def test_rfc_3339_examples() -> None:
    """RFC 3339, 5.8."""
    assert seconds("1996-12-19T16:39:57-08:00") == seconds("1996-12-20T00:39:57Z") == utc("1996-12-20T00:39:57")
    assert seconds("1985-04-12T23:20:50.52Z") == utc("1985-04-12T23:20:50") + Fraction("0.52")
    assert seconds("1937-01-01T12:00:27.87+00:20") == utc("1937-01-01T11:40:27") + Fraction("0.87")
    leap = read_time("1990-12-31T23:59:60Z")
    assert leap is not None and leap.leap and leap.seconds == utc("1991-01-01T00:00:00")
    assert read_time("1990-12-31T15:59:60-08:00") is not None


@pytest.mark.parametrize(
    "text",
    ["2026-02-30T10:00:00Z", "2026-03-04T25:00:00Z", "2026-03-04T12:30:60Z", "25:00", "12:60", "24:01", "13:00 pm",
     "0:30 am", "yesterday", "12.30", "2026-03-04", "", "12:30:61", "١٢:٣٠"],
)  # fmt: skip
def test_no_times(text: str) -> None:
    assert read_time(text) is None


@pytest.mark.parametrize(
    ("text", "expected"),
    [("7:05", 425), ("07:05", 425), ("2:05 pm", 845), ("2:05PM", 845), ("12:00 am", 0), ("12:30 p.m.", 750),
     ("24:00", 1440), ("0:00", 0)],
)  # fmt: skip
def test_times_of_day(text: str, expected: int) -> None:
    found = read_time(text)
    assert found is not None and found.bare and found.seconds == expected * 60


def test_zones() -> None:
    day, summer = datetime(2026, 1, 15).date(), datetime(2026, 7, 15).date()
    assert [read_zone(text, day) for text in ("-05:00", "UTC", "Z", "+0530")] == [-5 * HOUR, 0, 0, 19800]
    assert [read_zone("America/Chicago", each) for each in (day, summer)] == [-6 * HOUR, -5 * HOUR]
    assert read_zone("Nowhere/Town", day) is None


@pytest.fixture(scope="module")
def log(compiled: Callable[[str, str], Rulebook]) -> Callable[..., Procedure]:
    book = compiled("steps: {a: {says: a step, again: another}}", "  []")

    def log(*times: str, keys: str = "") -> Procedure:
        steps = "\n".join(f'  - {{do: a, at: "{time}"}}' if time else "  - a" for time in times)
        return read(f"procedure: log\n{keys}\nsteps:\n{steps}\n".encode(), "log.yaml", book)

    return log


def minutes(procedure: Procedure) -> list[int]:
    first = procedure.occurrences[0].finish or Fraction(0)
    return [int(((each.finish or Fraction(0)) - first) / 60) for each in procedure.occurrences]


def test_midnight_is_passed_and_told(log: Callable[..., Procedure]) -> None:
    night = log("23:30", "0:20", "1:45")
    assert minutes(night) == [0, 50, 135]
    assert len(night.assumptions) == 1 and "midnight" in night.assumptions[0]


def test_a_time_a_little_before_the_one_above_is_the_same_day(log: Callable[..., Procedure]) -> None:
    assert minutes(log("10:00", "9:50")) == [0, -10]


def test_rows_in_no_order_pass_no_midnight(log: Callable[..., Procedure]) -> None:
    """In a list without order an early time below a late one says nothing of the next day."""
    assert minutes(log("20:00", "7:00", keys="sorted: no")) == [0, -780]


def test_bare_times_with_date_and_zone_stand_beside_full_ones(log: Callable[..., Procedure]) -> None:
    keys = 'job: {date: 2026-03-04, timezone: "-05:00"}'
    both = log("10:00", "2026-03-04T15:30:00Z", keys=keys)
    assert minutes(both) == [0, 30]
    assert both.day == "2026-03-04"


def test_the_day_is_that_of_the_first_entry_in_the_job_s_zone(log: Callable[..., Procedure]) -> None:
    assert log("2026-03-05T03:00:00Z", keys='job: {date: 2026-03-04, timezone: "-05:00"}').day == "2026-03-04"


def test_full_times_without_an_offset_are_of_the_job_s_zone(log: Callable[..., Procedure]) -> None:
    """A sheet of a job in a named zone was told with every time six hours early, and ran back beside one with Z."""
    keys = "job: {date: 2026-03-02, timezone: America/Chicago}"
    found = log("2026-03-02T07:54", "2026-03-02T14:00:00Z", "08:10", keys=keys)
    assert [each.finish for each in found.occurrences] == [
        utc("2026-03-02T13:54:00"),
        utc("2026-03-02T14:00:00"),
        utc("2026-03-02T14:10:00"),
    ]


def test_a_job_s_zone_counts_without_its_date(log: Callable[..., Procedure]) -> None:
    """Symptom: times with a Z were shown, and the day taken, as of UTC, whatever zone the job named without a date."""
    found = log("2026-03-05T03:00:00Z", "2026-03-05T04:30", keys="job: {timezone: America/Chicago}")
    assert (found.day, found.zone) == ("2026-03-04", -6 * 3600)
    assert [each.finish for each in found.occurrences] == [utc("2026-03-05T03:00:00"), utc("2026-03-05T10:30:00")]


def test_a_zone_that_there_is_not_is_told_without_a_date_too(log: Callable[..., Procedure]) -> None:
    with pytest.raises(Unreadable, match="timezone: America/Nowhere"):
        log("2026-03-05T03:00:00Z", keys="job: {timezone: America/Nowhere}")

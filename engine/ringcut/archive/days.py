"""Dates as people and spreadsheets write them, read only in the order that the column file states."""

from __future__ import annotations

import datetime
import re

import msgspec

from ringcut.archive.cells import Cell

MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
NAMES = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip

_NUMBERS = re.compile(r"(\d{1,4})([/.-])(\d{1,2})\2(\d{1,4})")
_NAMED = re.compile(
    r"(?:(?:mon|tue|wed|thu|fri|sat|sun)[a-z]*\.?,? )?"
    r"(?:(?P<day>\d{1,2})(?:st|nd|rd|th)?[ -](?P<month>[a-z]{3})[a-z]*\.?"
    r"|(?P<month2>[a-z]{3})[a-z]*\.?[ -](?P<day2>\d{1,2})(?:st|nd|rd|th)?),?[ -](?P<year>\d{4}|\d\d)"
)
_LONGEST = 100
_FIRST = datetime.date(1899, 12, 30)
"""Day 0 of the numbers by which spreadsheets count days, as they count from March 1900 on."""
_SERIAL = range((datetime.date(2000, 1, 1) - _FIRST).days, (datetime.date(2070, 1, 1) - _FIRST).days)
_PLACES = {"month-first": (1, 0, 2), "day-first": (0, 1, 2), "year-first": (2, 1, 0)}
"""For each order, where day, month and year stand."""


class Day(msgspec.Struct, frozen=True):
    """A date, and how it was read: ``order`` where the order mattered, ``typed`` where the spreadsheet made
    it."""

    date: datetime.date
    order: str = ""
    typed: bool = False
    serial: bool = False
    """It is the number that a spreadsheet counts the day by."""


class NoDay(msgspec.Struct, frozen=True):
    """Why a cell is no date, and the date it would be in another order."""

    says: str
    likelier: datetime.date | None = None
    order: str = ""


def spoken(date: datetime.date) -> str:
    """``4 March 2026``."""
    return f"{date.day} {NAMES[date.month - 1]} {date.year}"


def read_day(cell: Cell, order: str) -> Day | NoDay:
    """The date in a cell; ``order`` is month-first, day-first, year-first or empty where the column file does
    not say."""
    if isinstance(cell.moment, datetime.datetime):
        return Day(cell.moment.date(), typed=True)
    text = " ".join(cell.text[:_LONGEST].split())
    if cell.kind == "formula" or text.startswith(("=", "#")):
        return NoDay("a formula that was not computed")
    named = _NAMED.fullmatch(text.casefold())
    if named:
        return _named(named)
    if re.fullmatch(r"\d{5}(?:\.0+)?", text) and int(text[:5]) in _SERIAL:
        return Day(_FIRST + datetime.timedelta(days=int(text[:5])), serial=True)
    numbers = _NUMBERS.fullmatch(text)
    if not numbers:
        return NoDay(f"{text[:40]!r} is no date")
    if len(numbers[1]) == 4:
        date = _date(numbers[1], numbers[3], numbers[4])
        return Day(date) if date else NoDay("no such day")
    return _ordered(numbers, order)


def _named(found: re.Match[str]) -> Day | NoDay:
    month = found["month"] or found["month2"]
    if month not in MONTHS:
        return NoDay(f"{month} is no month")
    date = _date(found["year"], str(MONTHS.index(month) + 1), found["day"] or found["day2"])
    return Day(date) if date else NoDay("no such day")


def _ordered(numbers: re.Match[str], order: str) -> Day | NoDay:
    parts = (numbers[1], numbers[3], numbers[4])
    ways = {}
    for name, (day, month, year) in _PLACES.items():
        date = _date(parts[year], parts[month], parts[day])
        if date:
            ways[name] = date
    if order in ways:
        return Day(ways[order], order)
    others = [name for name in ways if name != "year-first"] or list(ways)
    if order:
        if not others:
            return NoDay("no such day")
        return NoDay(f"{others[0].replace('-', ' ')}, unlike all others", ways[others[0]], others[0])
    if len({ways[name] for name in others}) == 1:
        # 5/5 is one day in either order, and proves neither
        return Day(ways[others[0]], others[0] if len(others) == 1 else "")
    if not others:
        return NoDay("no such day")
    either = " or ".join(spoken(ways[name]) for name in others)
    return NoDay(f"{either}? The column file does not say which comes first")


def _date(year: str, month: str, day: str) -> datetime.date | None:
    if len(year) not in (2, 4):
        return None
    try:
        return datetime.date(int(year) + (2000 if len(year) == 2 else 0), int(month), int(day))
    except ValueError:
        return None

"""Times of day as a time column has them: 7:40 AM, 715, 8.05, a fraction of a day; and what cannot be told
apart."""

from __future__ import annotations

import datetime
import re
from fractions import Fraction
from typing import Literal

import msgspec

from ringcut.archive.cells import Cell

Form = Literal["plain", "digits", "dotted", "fraction"]

_CLOCK = re.compile(
    r"(?P<hour>\d{1,2})[:h](?P<minute>\d\d)(?::(?P<second>\d\d))? ?(?P<half>[ap]\.?m?\.?)?", re.IGNORECASE
)
_HOUR = re.compile(r"(?P<hour>\d{1,2}) ?(?P<half>[ap]\.?m\.?)", re.IGNORECASE)
_DIGITS = re.compile(r"(?P<hour>\d{1,2})(?P<minute>\d\d) ?(?:h|hrs?|hours)?(?P<half> ?[ap]\.?m\.?)?", re.IGNORECASE)
_DOTTED = re.compile(r"(?P<hour>\d{1,2})\.(?P<minute>\d\d)(?P<half> ?[ap]\.?m\.?)?", re.IGNORECASE)
_FRACTION = re.compile(r"0?\.(\d{3,17})")
_STAMP = re.compile(
    r"(?P<day>\d{4}-\d\d-\d\d)[Tt ](?P<hour>\d\d):(?P<minute>\d\d)(?::(?P<second>\d\d)(?:\.\d+)?)?"
    r" ?(?P<zone>[Zz]|[+-]\d\d:\d\d)?"
)
_HALF = re.compile(r"(?P<day>\S+) (?P<time>\d{1,2}:\d\d(?::\d\d)?(?: ?[ap]\.?m\.?)?)", re.IGNORECASE)
_SPAN = re.compile(
    r"(?P<first>.*\d.*?) ?(?:-|\u2013|\u2014|\bto\b|\buntil\b) ?(?P<last>[^\u2013\u2014-]*\d[^\u2013\u2014-]*)"
)
_LONGEST = 100
_NEAR = Fraction(1, 5)


class Hour(msgspec.Struct, frozen=True):
    """A time of day in minutes. ``marked``: morning or afternoon is certain. ``day`` and ``zone``: written
    beside it."""

    minutes: Fraction
    marked: bool = False
    form: Form = "plain"
    day: str = ""
    zone: str = ""

    @property
    def text(self) -> str:
        """``07:15``, with seconds where there are any."""
        return clock_text(self.minutes)


class NoHour(msgspec.Struct, frozen=True):
    """Why a cell is no time of day."""

    says: str
    likelier: str = ""


def clock_text(minutes: Fraction) -> str:
    """Minutes since midnight as ``HH:MM`` or ``HH:MM:SS``."""
    seconds = int(minutes * 60) % 86400
    text = f"{seconds // 3600:02}:{seconds // 60 % 60:02}"
    return f"{text}:{seconds % 60:02}" if seconds % 60 else text


def read_hour(cell: Cell) -> Hour | NoHour:
    """The time of day in a cell."""
    moment = cell.moment
    if isinstance(moment, datetime.datetime):
        time = moment.time()
        return Hour(_minutes(time.hour, time.minute, time.second), True, day=moment.date().isoformat())
    if isinstance(moment, datetime.time):
        return Hour(_minutes(moment.hour, moment.minute, moment.second), moment.hour == 0 or moment.hour > 12)
    text = " ".join(cell.text[:_LONGEST].split())
    if cell.kind in ("formula", "error") or text.startswith(("=", "#")):
        return NoHour("a formula that was not computed")
    if text.casefold() in ("noon", "12 noon"):
        return Hour(Fraction(720), True)
    return _stamp(text) or _with_day(text) or _plain(text) or _number(text) or _no_hour(text)


def read_span(cell: Cell) -> tuple[Hour, Hour] | None:
    """Two times of day in a cell, as ``0915-0940`` or ``9:15 to 9:40 AM``; None where it is anything else."""
    text = " ".join(cell.text[:_LONGEST].split())
    found = _SPAN.fullmatch(text) if cell.moment is None and isinstance(read_hour(cell), NoHour) else None
    if not found:
        return None
    first = read_hour(msgspec.structs.replace(cell, text=found["first"]))
    last = read_hour(msgspec.structs.replace(cell, text=found["last"]))
    if isinstance(first, NoHour) or isinstance(last, NoHour) or "fraction" in (first.form, last.form):
        return None
    if first.day and not last.day:
        if last.minutes < first.minutes:
            return None
        last = msgspec.structs.replace(last, day=first.day)
    return first, last


def _minutes(hour: int, minute: int, second: int = 0) -> Fraction:
    return Fraction(hour * 60 + minute) + Fraction(second, 60)


def _stamp(text: str) -> Hour | None:
    found = _STAMP.fullmatch(text)
    if not found:
        return None
    hour, minute, second = int(found["hour"]), int(found["minute"]), int(found["second"] or 0)
    if hour > 23 or minute > 59 or second > 59:
        return None
    return Hour(_minutes(hour, minute, second), True, day=found["day"], zone=(found["zone"] or "").upper())


def _with_day(text: str) -> Hour | None:
    found = _HALF.fullmatch(text)
    hour = _plain(found["time"]) if found else None
    return msgspec.structs.replace(hour, day=found["day"]) if found and hour else None


def _plain(text: str) -> Hour | None:
    found = _CLOCK.fullmatch(text) or _HOUR.fullmatch(text)
    return _made(found, "plain") if found else None


def _made(found: re.Match[str], form: Form) -> Hour | None:
    parts = found.groupdict()
    hour, minute, second = int(parts["hour"]), int(parts.get("minute") or 0), int(parts.get("second") or 0)
    half = (parts.get("half") or "").strip().casefold()[:1]
    if minute > 59 or second > 59 or hour > 23 or (half and not 1 <= hour <= 12):
        return None
    if half:
        hour = hour % 12 + (12 if half == "p" else 0)
    marked = bool(half) or hour == 0 or hour > 12
    return Hour(_minutes(hour, minute, second), marked, form)


def _number(text: str) -> Hour | None:
    """715, 8.05 and a fraction of a day; three decimals and more are no hour and minute."""
    fraction = _FRACTION.fullmatch(text)
    if fraction:
        minutes = Fraction(text if text.startswith("0") else "0" + text) * 1440
        nearest = Fraction(round(minutes))
        return Hour(nearest, True, "fraction") if abs(minutes - nearest) < _NEAR and nearest < 1440 else None
    dotted = _DOTTED.fullmatch(text)
    if dotted and text not in ("0.25", "0.50", "0.75"):
        return _made(dotted, "dotted")
    digits = _DIGITS.fullmatch(text)
    return _made(digits, "digits") if digits else None


def _no_hour(text: str) -> NoHour:
    said = repr(text[:40])
    if re.fullmatch(r"0?\.(?:5|25|50|75)", text):
        noon = clock_text(Fraction(text if text.startswith("0") else "0" + text) * 1440)
        return NoHour(f"{said} is {noon} as a fraction of a day, or hours and minutes")
    if re.fullmatch(r"\d{1,2}\.\d", text):
        return NoHour(f"{said} is half an hour, or minutes with a lost zero")
    if re.fullmatch(r"\d{5}(?:\.\d+)?", text):
        return NoHour(f"{said} looks like a spreadsheet's number for a day and time")
    if len(re.findall(r"\d{1,2}:\d\d", text)) > 1:
        return NoHour(f"{said} holds two times")
    return NoHour(f"{said} is no time of day")

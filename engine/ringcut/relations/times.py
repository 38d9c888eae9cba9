"""Times of a log: RFC 3339, or a bare time of day with the job's date and time zone."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, timedelta
from fractions import Fraction

STAMP = re.compile(r"(\d{4})-(\d\d)-(\d\d)[Tt ](\d\d):(\d\d)(?::(\d\d)(\.\d+)?)?\s*([Zz]|[+-]\d\d:\d\d)?", re.ASCII)
CLOCK = re.compile(r"(\d{1,2}):(\d\d)(?::(\d\d)(\.\d+)?)?\s*([AaPp]\.?[Mm]\.?)?", re.ASCII)
OFFSET = re.compile(r"(?:UTC)?([+-])(\d\d):?(\d\d)|Z|UTC", re.ASCII)
DAY = 86400


class Instant:
    """A time as read: ``seconds`` since 1970-01-01T00:00:00Z (or of the day, where ``bare``).

    ``local``: a full time without an offset, read as of UTC until the log's own zone is known.
    """

    def __init__(
        self, seconds: Fraction, bare: bool, leap: bool = False, offset: int = 0, *, local: bool = False
    ) -> None:
        self.seconds, self.bare, self.leap, self.offset, self.local = seconds, bare, leap, offset, local


def read_time(text: str) -> Instant | None:
    """A time; None where it is none. A leap second (:60) reads as the second after :59 (RFC 3339.

    5.6 and appendix D).
    """
    match = STAMP.fullmatch(text.strip())
    if match:
        year, month, day, hour, minute = (int(match[i]) for i in range(1, 6))
        second = int(match[6] or 0)
        try:
            base = datetime(year, month, day, hour, minute, min(second, 59), tzinfo=UTC)
        except ValueError:
            return None
        offset = _offset(match[8]) if match[8] else 0
        if second > 60 or second == 60 and not _ends_a_month(base - timedelta(seconds=offset or 0)):
            return None
        whole = int(base.timestamp()) + (1 if second == 60 else 0)
        return Instant(
            whole + Fraction("0" + (match[7] or ".0")) - (offset or 0),
            False,
            second == 60,
            offset or 0,
            local=not match[8],
        )
    match = CLOCK.fullmatch(text.strip())
    if not match:
        return None
    hour, minute, second = int(match[1]), int(match[2]), int(match[3] or 0)
    half = (match[5] or "").lower().replace(".", "")
    if half and not 1 <= hour <= 12 or hour > 24 or minute > 59 or second > 59 or hour == 24 and minute + second:
        return None
    if half:
        hour = hour % 12 + (12 if half == "pm" else 0)
    return Instant(hour * 3600 + minute * 60 + second + Fraction("0" + (match[4] or ".0")), True)


def _ends_a_month(moment: datetime) -> bool:
    """Whether a leap second may follow: the last second of a month in UTC."""
    return (moment + timedelta(seconds=1)).strftime("%d %H:%M:%S") == "01 00:00:00"


def _offset(text: str) -> int | None:
    match = OFFSET.fullmatch(text.strip().upper())
    if not match:
        return None
    if not match[1]:
        return 0
    seconds = int(match[2]) * 3600 + int(match[3]) * 60
    return -seconds if match[1] == "-" else seconds


def read_zone(text: str, day: date) -> int | None:
    """A time zone, as an offset (``-05:00``, ``UTC``) or a name of the tz database.

    In seconds east of UTC on that day.
    """
    fixed = _offset(text)
    if fixed is not None:
        return fixed
    from zoneinfo import ZoneInfo

    try:
        zone = ZoneInfo(text.strip())
    except (KeyError, ValueError, OSError):
        return None
    offset = datetime(day.year, day.month, day.day, 12, tzinfo=zone).utcoffset()
    return int(offset.total_seconds()) if offset is not None else None


def read_date(text: str) -> date | None:
    """A date, ISO 8601 only: 2026-03-01."""
    match = re.fullmatch(r"\d{4}-\d\d-\d\d", text.strip())
    try:
        return date.fromisoformat(text.strip()) if match else None
    except ValueError:
        return None


class Clock:
    """Turns the times of one log into seconds on one clock, telling what was assumed.

    ``named``: the zone of a job without a date, which has its offset by the first full time.
    """

    def __init__(
        self, day: date | None, zone: int | None, assumptions: list[str], rows_in_order: bool = True, named: str = ""
    ) -> None:
        self.rows_in_order, self.named = rows_in_order, named
        self.day, self.zone, self.assumptions = day, zone, assumptions
        self.midnight = int(datetime(day.year, day.month, day.day, tzinfo=UTC).timestamp()) if day else 0
        self.shift = 0
        self.last: Fraction | None = None
        self.first_day: date | None = None
        self.mixed: set[bool] = set()
        self.zone_given = zone is not None

    @property
    def several_days(self) -> bool:
        """Whether bare times have passed midnight, so that of one alone nobody can say its day."""
        return self.shift > 0

    def seconds(self, instant: Instant, label: str, *, listed: bool = True) -> Fraction:
        """Seconds on the log's clock. A bare time more than 12 h before the one above is taken as the next day.

        Not so where the rows are in no order, or where it has no row (not ``listed``).
        """
        self.mixed.add(instant.bare)
        if not instant.bare:
            if self.zone is None and self.named:
                self.zone, self.zone_given = read_zone(self.named, _day(instant.seconds + instant.offset)), True
            self.zone = instant.offset if self.zone is None else self.zone
            found = instant.seconds - (self.zone if instant.local and self.zone_given and self.zone else 0)
            local = found + (self.zone or 0)
            self._note_day(local)
            return found
        found = self.midnight + self.shift + instant.seconds
        if not listed:
            return found - (self.zone or 0)
        if self.rows_in_order and self.last is not None and found < self.last - DAY // 2:
            self.shift += DAY
            found += DAY
            self.assumptions.append(f"{label}: past midnight, so the next day")
        self.last = found
        self._note_day(found)
        return found - (self.zone or 0)

    def _note_day(self, local: Fraction) -> None:
        if self.first_day is None and (self.day is not None or False in self.mixed):
            self.first_day = _day(local)


def _day(local: Fraction) -> date:
    return (datetime(1970, 1, 1) + timedelta(seconds=int(local))).date()

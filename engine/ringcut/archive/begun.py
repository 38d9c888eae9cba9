"""When a step was begun, put beside when it was finished: noon and midnight between the two are seen and told, and a
step that would be finished before it was begun has no beginning that is taken."""

from __future__ import annotations

from fractions import Fraction
from typing import Literal

from ringcut.archive.clock import MIDNIGHT_REACH, Timed
from ringcut.archive.entries import Entry
from ringcut.archive.hours import Hour, clock_text
from ringcut.archive.ledger import Ledger

_DAY = Fraction(1440)
_HALF = Fraction(720)

Turn = Literal["", "noon", "midnight", "unclear", "backwards"]


def turn(first: Hour, last: Hour, clock: str) -> Turn:
    """What lies between two times of one cell; empty where they follow each other as they stand. ``unclear``: only if
    the second is of the afternoon, which nobody has said."""
    if last.minutes >= first.minutes:
        return ""
    if not last.marked and last.minutes < _HALF and last.minutes + _HALF >= first.minutes and clock != "24":
        return "noon" if clock else "unclear"
    return "midnight" if last.minutes + _DAY - first.minutes <= MIDNIGHT_REACH else "backwards"


def begun(entry: Entry, ledger: Ledger) -> str:
    """When an entry was begun, on the clock of its end: the last such time before it; empty where it is not taken."""
    if not entry.started:
        return ""
    hour, cell = entry.started
    timed = entry.timed
    if timed is None:
        return hour.text
    day = timed.at // _DAY * _DAY
    ways = [day + hour.minutes, day + hour.minutes - _DAY]
    if not hour.marked and hour.minutes < _HALF:
        ways.append(day + hour.minutes + _HALF)
    before = [way for way in ways if way <= timed.at and timed.at - way <= MIDNIGHT_REACH]
    if not before:
        before = [way for way in ways[:1] if way <= timed.at]
    if not before:
        ledger.refuse("time", cell, f"begun {hour.text}, and finished {clock_text(timed.at)}, before that")
        return ""
    best = max(before)
    if best < day and timed.date:
        says = f"{cell.text.strip()} before {timed.cell.text.strip()}, so begun the day before"
        ledger.assume("midnight", timed.line, says, "Time")
    own = Timed(timed.line, cell, Hour(hour.minutes, zone=timed.hour.zone), timed.date, False, at=best)
    return own.text if timed.date else clock_text(best)

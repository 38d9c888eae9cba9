"""A line cut at its times only: the quick way to a log whose every entry one person did.

A piece is what stands from one time to the next: the rest of an entry and the beginning of the following one. Nothing
is read here. Pieces are looked up among those of earlier lines, which were cut and read whole (see ``chains``), and
what was not met there goes that way.
"""

from __future__ import annotations

from datetime import date
from operator import itemgetter
from typing import NamedTuple

from ringcut.bulk.cutting import split_reference

_STYLES = (('"steps":[{', "},{", '"at":"', '","by":"'), ('"steps": [{', "}, {", '"at": "', '", "by": "'))
"""How keys and entries are set apart, without blanks and with them."""
_DATE, _MINUTE, _CLOCK = len("2026-03-01"), len("T14:05"), len("T14:05:00")


class Strip(NamedTuple):
    """The pieces of a line."""

    head: str
    """From the beginning to the key ``steps``, without the reference."""
    tail: str
    reference: str
    hand: str
    """Who did it all."""
    day: str
    """The date of the first entry."""
    zone: str
    first: str
    """What stands before the first time."""
    pieces: list[str]
    """What stands between one time, with who did it, and the next; as many as entries."""
    times: list[int]
    """In seconds, never running backwards."""
    between: str
    """What stands between entries."""


_MINUTES = {f"T{hour:02}:{minute:02}": 3600 * hour + 60 * minute for hour in range(24) for minute in range(60)}
_SECONDS = {f":{second:02}": second for second in range(60)}
"""Seconds by the two parts of a clock as written: small tables are quicker than one of every second of a day."""


class _Days(dict[str, int]):
    """Seconds to the beginning of a day, by dates as written; what is none is a KeyError."""

    def __missing__(self, text: str) -> int:
        if len(self) == MOST_DAYS:
            self.clear()
        if text[4:5] != "-" or text[7:8] != "-":
            raise KeyError(text)
        try:
            found = self[text] = 86_400 * date.fromisoformat(text).toordinal()
        except ValueError as error:
            raise KeyError(text) from error
        return found


MOST_DAYS = 4_000
_days = _Days()


def strip(line: bytes) -> Strip | None:
    """The pieces of a line; None where it is no log of one day and one person, or its times run backwards."""
    try:
        text = line.decode()
    except UnicodeDecodeError:
        return None
    steps, between, at, by = _STYLES[0]
    begin = text.find(steps)
    if begin < 0:
        steps, between, at, by = _STYLES[1]
        begin = text.find(steps)
    end = text.rfind("}]")
    if begin < 0 or end < begin:
        return None
    inside = text[begin + len(steps) : end]
    start = inside.find(at) + len(at)
    name = inside.find(by, start) + len(by)
    day, said = inside[start : start + _DATE], inside[start + _DATE + _CLOCK : inside.find('"', name) + 1]
    if start < len(at) or not said:
        return None
    first, *pieces = inside.split(at + day)
    try:
        times = _times(pieces, day, at, inside.count(said))
    except KeyError:
        return None
    if times is None or sorted(times) != times:
        return None
    zone, _, hand = said[:-1].rpartition(by)
    rest = itemgetter(slice(_CLOCK + len(said), None))
    head, reference = split_reference(text[:begin])
    tail = text[end + 2 :].rstrip()
    return Strip(head, tail, reference, hand, day, zone, first, list(map(rest, pieces)), times, between)


def _times(pieces: list[str], day: str, at: str, entries: int) -> list[int] | None:
    """The times of pieces that begin with the clock of one day; pieces of later days are cut off the last one.

    None where these are not as many as the entries. Raises KeyError.
    """
    times = _clocks(pieces)
    midnight = _days[day]
    while len(pieces) < entries:
        last = pieces.pop()
        start = last.find(at) + len(at)
        day = last[start : start + _DATE]
        begun, *later = last.split(at + day)
        if start < len(at):
            return None
        since = _days[day] - midnight
        times += [since + clock for clock in _clocks(later)]
        pieces += [begun, *later]
    return times if len(pieces) == entries else None


def _clocks(pieces: list[str]) -> list[int]:
    return [_MINUTES[piece[:_MINUTE]] + _SECONDS[piece[_MINUTE:_CLOCK]] for piece in pieces]

"""A line cut at its times only: the quick way to a log whose every entry one person did.

A piece is what stands from one time to the next: the rest of an entry and the beginning of the following one. Nothing
is read here. Pieces are looked up among those of earlier lines, which were cut and read whole (see ``chains``), and
what was not met there goes that way.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from functools import lru_cache
from operator import itemgetter
from struct import Struct
from typing import NamedTuple

import msgspec

from ringcut.bulk.cutting import HAND, STAMP, split_reference

_STYLES = (
    (b'"steps":[{', b"},{", b'"at":"', b'","by":"', f'"at":"{STAMP}","by":"{HAND}"'),
    (b'"steps": [{', b"}, {", b'"at": "', b'", "by": "', f'"at": "{STAMP}", "by": "{HAND}"'),
)
"""How keys and entries are set apart, without blanks and with them; what stands for a time and who did it."""
_DATE, _CLOCK = len("2026-03-01"), len("14:05:00")


class Strip(msgspec.Struct, frozen=True, gc=False):
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
    first: bytes
    """What stands before the first time."""
    pieces: list[bytes]
    """What stands between one time, with who did it, and the next; as many as entries."""
    times: list[int]
    """In seconds, never running backwards."""
    between: bytes
    """What stands between entries."""
    joint: str
    """What stands for a time and who did it in the text of an entry that is cut whole."""


class _Days(dict[str, int]):
    """Seconds to the beginning of a day, by dates as written. Raises ValueError for what is none."""

    def __missing__(self, text: str) -> int:
        if len(self) == MOST_DAYS:
            self.clear()
        if text[4:5] != "-" or text[7:8] != "-":
            raise ValueError(text)
        found = self[text] = 86_400 * date.fromisoformat(text).toordinal()
        return found


MOST_DAYS = 4_000
_days = _Days()


def strip(line: bytes) -> Strip | None:
    """The pieces of a line; None where it is no log of one day and one person, or its times run backwards."""
    steps, between, at, by, joint = _STYLES[0]
    begin = line.find(steps)
    if begin < 0:
        steps, between, at, by, joint = _STYLES[1]
        begin = line.find(steps)
    end = line.rfind(b"}]")
    if begin < 0 or end < begin:
        return None
    inside = line[begin + len(steps) : end]
    start = inside.find(at) + len(at)
    name = inside.find(by, start) + len(by)
    said = inside[start + _DATE + 1 + _CLOCK : inside.find(b'"', name) + 1]
    one = _one(said, by)
    if one is None or start < len(at):
        return None
    zone, hand, rest = one
    pieces = inside.split(_before_clocks(inside, start, at))
    first = pieces.pop(0)
    try:
        head, tail = line[:begin].decode(), line[end + 2 :].rstrip().decode()
        day = inside[start : start + _DATE].decode()
        times = _times(pieces, day, at, inside.count(said))
    except ValueError:
        return None
    if sorted(times) != times:
        return None
    head, reference = split_reference(head)
    return Strip(head, tail, reference, hand, day, zone, first, list(map(rest, pieces)), times, between, joint)


def _before_clocks(text: bytes, start: int, at: bytes) -> bytes:
    """What stands before each clock of a day: the key, and the date that begins at ``start``."""
    return at + text[start : start + _DATE] + b"T"


@lru_cache(maxsize=1000)
def _one(said: bytes, by: bytes) -> tuple[str, str, Callable[[bytes], bytes]] | None:
    """The zone and the person said after each clock, and what cuts both off a piece; None where that is no plain text.

    What was read whole has another person in that place, so that nothing else would see what is wrong with this one.
    """
    zone, _, hand = said[:-1].partition(by)
    try:
        person = hand.decode()
    except UnicodeDecodeError:
        return None
    if not person or not said.endswith(b'"') or b'"' in zone + hand or "\\" in person or not person.isprintable():
        return None
    return zone.decode("ascii", "replace"), person, itemgetter(slice(_CLOCK + len(said), None))


def _times(pieces: list[bytes], day: str, at: bytes, entries: int) -> list[int]:
    """The times of pieces that begin with the clock of one day; pieces of later days are cut off the last one.

    Raises ValueError where these are not as many as the entries.
    """
    midnight = _days[day]
    times = list(_clocks(pieces))
    while 0 < len(pieces) < entries:
        last = pieces.pop()
        start = last.find(at) + len(at)
        begun, *later = last.split(_before_clocks(last, start, at))
        if start < len(at) or not later:
            raise ValueError(last)
        since = _days[last[start : start + _DATE].decode()] - midnight
        times += [since + clock for clock in _clocks(later)]
        pieces += [begun, *later]
    if len(pieces) != entries:
        raise ValueError(day)
    return times


class _Lanes(NamedTuple):
    """What reads so many clocks at once: each is a lane of eight bytes, as ``14:05:00``, in one long number."""

    digits: int
    """The low half of each digit, which is its value."""
    pairs: int
    """Hours from bit 48 of a lane, minutes from bit 24, seconds from bit 0."""
    room: int
    """What a pair lacks to 128 if it is the least that is too large."""
    over: int
    """The bit that is then set."""
    day: int
    """As many bits as the seconds of a day need."""
    shape: bytes
    """How the clocks look with every digit 0."""
    pack: Callable[..., bytes]
    """Of texts the first eight bytes each."""
    unpack: Callable[[bytes], tuple[int, ...]]


@lru_cache
def _lanes(count: int) -> _Lanes:
    def each(*lane: int) -> int:
        return int.from_bytes(bytes(lane) * count, "big")

    return _Lanes(
        digits=each(15, 15, 0, 15, 15, 0, 15, 15),
        pairs=each(0, 255, 0, 0, 255, 0, 0, 255),
        room=each(0, 128 - 24, 0, 0, 128 - 60, 0, 0, 128 - 60),
        over=each(0, 128, 0, 0, 128, 0, 0, 128),
        day=each(0, 0, 0, 0, 0, 1, 255, 255),
        shape=b"00:00:00" * count,
        pack=Struct("8s" * count).pack,
        unpack=Struct(f">{count}Q").unpack,
    )


_SHAPE = bytes(ord("0") if chr(each).isdigit() and each < 128 else each for each in range(256))
_TENS = 10 + (1 << 8)
"""Brings ten times a digit and the digit after it together, in the place of the first."""
_WEIGHTS = (1 << 46) + (60 << 46 - 24) + (3600 >> 48 - 46)
"""Bring seconds, minutes and hours of a lane to bit 46, in seconds; nothing else of any lane reaches that far up."""


def _clocks(pieces: Sequence[bytes]) -> tuple[int, ...]:
    """The seconds since midnight of the clocks that pieces begin with, all in a few steps. Raises ValueError."""
    lanes = _lanes(len(pieces))
    clocks = lanes.pack(*pieces)
    if clocks.translate(_SHAPE) != lanes.shape:
        raise ValueError(clocks)
    digits = int.from_bytes(clocks, "big") & lanes.digits
    pairs = digits * _TENS >> 8 & lanes.pairs
    if pairs + lanes.room & lanes.over:
        raise ValueError(clocks)
    return lanes.unpack((pairs * _WEIGHTS >> 46 & lanes.day).to_bytes(len(clocks), "big"))

"""The picture of a log laid out: each step with room for its name, a longer wait with more, and very long ones cut.

All numbers are units of the drawing. A step that a finding is about is marked.
"""

from __future__ import annotations

from bisect import bisect_right

import msgspec

from ringcut.archive.results import LogReport
from ringcut.archive.timeline import Stop
from ringcut.judge.findings import NONCONFORMING

LEFT, RIGHT = 172.0, 16.0
"""Room for the names of the tracks, and behind the last step."""
STEP = 15.0
"""Between two steps at least, so that names written upwards do not touch."""
MINUTE = 0.6
LONGEST = 60.0
"""Minutes of a wait that are drawn to scale; a longer one is cut, and told."""
NARROWEST = 800.0
LETTER, BOLD = 6.5, 7.5
"""Room for a letter of a step's name, at most; a wide one makes up for a narrow one."""
APART = 36.0
"""Between two clock times that are written."""


class Drawn(msgspec.Struct, frozen=True):
    """A step in the picture."""

    stop: Stop
    number: int
    x: float
    clock: str
    """Its time where it is written: where there is room for it."""
    marked: bool
    """A finding is about it."""

    @property
    def name(self) -> str:
        """What is written at it."""
        cross = "\u2715 " if self.marked else ""
        return f"{cross}{self.number} {self.stop.step.replace('-', ' ')}"


class Wait(msgspec.Struct, frozen=True):
    """A wait that is cut: where, and how long it was, in words."""

    x: float
    says: str


class Bar(msgspec.Struct, frozen=True):
    """A stretch of a track."""

    x: float
    width: float
    known: bool


class Band(msgspec.Struct, frozen=True):
    """A track with its bars."""

    name: str
    side: str
    bars: tuple[Bar, ...]


class Picture(msgspec.Struct, frozen=True):
    """Everything that is drawn, and how wide."""

    width: float
    steps: tuple[Drawn, ...]
    bands: tuple[Band, ...]
    waits: tuple[Wait, ...]
    by_clock: bool

    @property
    def names(self) -> float:
        """Room for the longest name of a step, written downwards."""
        return max(len(each.name) * (BOLD if each.marked else LETTER) for each in self.steps)


def picture(report: LogReport) -> Picture | None:
    """The picture of a log; None where none was asked for, or it has no step."""
    line = report.timeline
    if line is None or not line.stops:
        return None
    stops = line.stops
    widths = [_width(one, other) for one, other in zip(stops, stops[1:], strict=False)]
    more = max(NARROWEST / sum(widths), 1.0) if widths else 1.0
    places = [LEFT + STEP]
    for width in widths:
        places.append(places[-1] + width * more)
    end = places[-1] + STEP
    ats = [stop.at for stop in stops]

    def x(at: float) -> float:
        if at <= ats[0]:
            return places[0] if at == ats[0] else LEFT
        if at >= ats[-1]:
            return places[-1]
        after = bisect_right(ats, at)
        share = (at - ats[after - 1]) / (ats[after] - ats[after - 1])
        return places[after - 1] + share * (places[after] - places[after - 1])

    bands = [
        Band(
            track.name,
            track.side,
            tuple(
                Bar(round(x(each.start), 1), round(x(each.end) - x(each.start), 1), each.known)
                for each in track.stretches
            ),
        )
        for track in line.tracks
    ]
    waits = [
        Wait(round((places[number] + places[number + 1]) / 2, 1), _long(other.minutes - one.minutes))
        for number, (one, other) in enumerate(zip(stops, stops[1:], strict=False))
        if _waited(one, other) > LONGEST
    ]
    return Picture(
        round(end + RIGHT, 1), tuple(_drawn(report, stops, places)), tuple(bands), tuple(waits), line.by_clock
    )


def _width(one: Stop, other: Stop) -> float:
    return STEP + MINUTE * min(_waited(one, other), LONGEST)


def _waited(one: Stop, other: Stop) -> float:
    return other.minutes - one.minutes if one.minutes >= 0 and other.minutes > one.minutes else 0.0


def _long(minutes: float) -> str:
    hours, rest = divmod(round(minutes), 60)
    return f"{hours} h {rest} min" if rest and hours < 10 else f"{hours} h"


def _drawn(report: LogReport, stops: tuple[Stop, ...], places: list[float]) -> list[Drawn]:
    told, last = [], -APART
    about = {(each.line, each.steps[0]) for each in report.findings if each.verdict == NONCONFORMING and each.steps}
    for number, (stop, place) in enumerate(zip(stops, places, strict=True), start=1):
        written = bool(stop.clock) and place - last >= APART
        last = place if written else last
        alone = sum((each.line, each.step) == (stop.line, stop.step) for each in stops) == 1
        marked = alone and (stop.line, stop.step) in about
        told.append(Drawn(stop, number, round(place, 1), stop.clock if written else "", marked))
    return told

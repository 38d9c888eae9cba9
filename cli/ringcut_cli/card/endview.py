"""The end view: bar and channel around the cable on the face of a clock, seen from A, 12 is 0 degrees."""

from __future__ import annotations

from fractions import Fraction
from math import cos, radians, sin

from ringcut.draft.pieces import Drawing
from ringcut.reading.measures import show
from ringcut_cli.card.shapes import Arc, Circle, Line, Picture, Rect, Shape, Text, Turned

SIZE = 300.0
MIDDLE = SIZE / 2
CABLE, SLEEVE, FACE, HOURS = 52.0, 66.0, 104.0, 120.0
"""Radii of the cable, the sleeve, the face of the clock and its numbers."""


def end_view(drawing: Drawing) -> Picture | None:
    """The picture; None where neither bar nor channel has an angle."""
    bar, channel = drawing.bar_angle, drawing.channel_angle
    if bar is None and channel is None:
        return None
    shapes: list[Shape] = [Circle("face", MIDDLE, MIDDLE, FACE)]
    shapes += _hours()
    shapes += [Circle("sleeve-round", MIDDLE, MIDDLE, SLEEVE), Circle("cable-round", MIDDLE, MIDDLE, CABLE)]
    told = []
    if bar is not None:
        shapes.append(_block("bar", bar, CABLE, 8, 30))
        told.append(f"bar at {angle_words(bar)}")
    if channel is not None:
        shapes.append(_block("channel", channel, SLEEVE, 16, 22))
        told.append(f"channel at {angle_words(channel)}")
    if bar is not None and channel is not None:
        shapes += _between(bar, channel)
    return Picture(SIZE, SIZE, tuple(shapes), f"End view, seen from A towards B: {', '.join(told)}.")


def angle_words(angle: Fraction) -> str:
    """An angle by the clock and in degrees."""
    clock, degrees = show(angle, "angle", "o'clock"), show(angle, "angle", "deg")
    return clock if clock == degrees else f"{clock} ({degrees})"


def point(angle: float, radius: float) -> tuple[float, float]:
    """Where an angle lies on a circle: clockwise from the top."""
    return MIDDLE + radius * sin(radians(angle)), MIDDLE - radius * cos(radians(angle))


def _hours() -> list[Shape]:
    shapes: list[Shape] = []
    for hour in range(1, 13):
        x1, y1 = point(30 * hour, FACE)
        x2, y2 = point(30 * hour, FACE - (10 if hour % 3 == 0 else 5))
        shapes.append(Line("tick", x1, y1, x2, y2))
        if hour % 3 == 0:
            x, y = point(30 * hour, HOURS + 4)
            shapes.append(Text("hour", x, y + 6, str(hour)))
    return shapes


def _block(kind: str, angle: Fraction, radius: float, thick: float, wide: float) -> Turned:
    """A block that lies on a circle at an angle."""
    return Turned(kind, MIDDLE - wide / 2, MIDDLE - radius - thick, wide, thick, float(angle), MIDDLE, MIDDLE)


def _between(bar: Fraction, channel: Fraction) -> list[Shape]:
    """The angle between the two, the short way around, inside the cable."""
    turn = float((channel - bar) % 360)
    short = min(turn, 360 - turn)
    words = f"{show(Fraction(min((channel - bar) % 360, (bar - channel) % 360)), 'angle', 'deg')}"
    shapes: list[Shape] = []
    if short > 0:
        (x1, y1), (x2, y2) = point(float(bar), 30), point(float(channel), 30)
        shapes = [Line("spoke", MIDDLE, MIDDLE, *point(float(each), CABLE)) for each in (bar, channel)]
        shapes.append(Arc("between", x1, y1, 30, x2, y2, turn <= 180))
    wide = 9.0 * len(words)
    return [
        *shapes,
        Rect("behind", MIDDLE - wide / 2, MIDDLE - 10, wide, 20),
        Text("value", MIDDLE, MIDDLE + 5, words),
    ]

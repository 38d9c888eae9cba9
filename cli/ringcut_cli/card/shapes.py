"""The few shapes that drawings are made of. Positions are pixels; every text comes from numbers of the drawing."""

from __future__ import annotations

import msgspec


class Rect(msgspec.Struct, frozen=True, tag=True):
    """A rectangle; ``kind`` is its class in the style sheet."""

    kind: str
    x: float
    y: float
    width: float
    height: float


class Line(msgspec.Struct, frozen=True, tag=True):
    """A straight line."""

    kind: str
    x1: float
    y1: float
    x2: float
    y2: float


class Circle(msgspec.Struct, frozen=True, tag=True):
    """A circle."""

    kind: str
    x: float
    y: float
    radius: float


class Turned(msgspec.Struct, frozen=True, tag=True):
    """A rectangle that is turned clockwise by ``angle`` degrees around a point."""

    kind: str
    x: float
    y: float
    width: float
    height: float
    angle: float
    around_x: float
    around_y: float


class Arc(msgspec.Struct, frozen=True, tag=True):
    """Part of a circle from one point to another, clockwise where ``clockwise``; never more than half of it."""

    kind: str
    x1: float
    y1: float
    radius: float
    x2: float
    y2: float
    clockwise: bool


class Text(msgspec.Struct, frozen=True, tag=True):
    """A text; ``anchor`` is start, middle or end."""

    kind: str
    x: float
    y: float
    says: str
    anchor: str = "middle"


Shape = Rect | Line | Circle | Turned | Arc | Text


class Picture(msgspec.Struct, frozen=True):
    """Shapes on a sheet of a size in pixels; ``says`` tells in words what is to be seen.

    ``thicker``: what is drawn thicker than it is, for the caption.
    """

    width: float
    height: float
    shapes: tuple[Shape, ...]
    says: str
    thicker: str = "layers"

"""What a drawing of a closure is made of, as numbers: pieces and dimensions along the cable, angles around it.

Lengths are exact, in metres along the cable from the middle of the opening; the first side (A) is negative.
"""

from __future__ import annotations

from fractions import Fraction

import msgspec

PLACES = ("opening", "inner-sheath", "old-step", "damage")
"""What may lie in the middle: an opening down to the core, the inner sheath laid bare for a dam, the step of an old
auxiliary between lead and polyethylene, damage that is covered as it is."""


class Piece(msgspec.Struct, frozen=True):
    """A part of the closure from ``start`` to ``end``; ``by_place``: its place is known and its width is not."""

    kind: str
    start: Fraction
    end: Fraction
    side: str = ""
    by_place: bool = False

    @property
    def length(self) -> Fraction:
        """Metres along the cable."""
        return self.end - self.start


class Length(msgspec.Struct, frozen=True):
    """A dimension of the plan, ``words`` as people say it."""

    kind: str
    start: Fraction
    end: Fraction
    words: str
    side: str = ""


class Drawing(msgspec.Struct, frozen=True):
    """One closure. ``low`` and ``high``: how far the pieces reach; angles in degrees clockwise, seen from A."""

    closure: str
    sides: tuple[str, ...]
    diameter: Fraction | None
    pieces: tuple[Piece, ...]
    lengths: tuple[Length, ...]
    bar_angle: Fraction | None = None
    channel_angle: Fraction | None = None
    lacking: tuple[str, ...] = ()

    @property
    def low(self) -> Fraction:
        """The end towards the first side."""
        return min((piece.start for piece in self.pieces), default=Fraction(0))

    @property
    def high(self) -> Fraction:
        """The end towards the second side."""
        return max((piece.end for piece in self.pieces), default=Fraction(0))

    @property
    def apart(self) -> Fraction | None:
        """Degrees between bar and channel on the circle, 0 to 180."""
        if self.bar_angle is None or self.channel_angle is None:
            return None
        gap = abs(self.bar_angle - self.channel_angle) % 360
        return min(gap, 360 - gap)

    @property
    def place(self) -> Piece | None:
        """What lies in the middle."""
        return next((each for each in self.pieces if each.kind in PLACES), None)

    def of(self, kind: str, side: str = "") -> Piece | None:
        """The piece of a kind, on a side where it has one."""
        return next((each for each in self.pieces if each.kind == kind and each.side == side), None)

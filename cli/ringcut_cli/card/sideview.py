"""The side view: a closure along the cable to one scale, with its dimensions below, A on the left.

Lengths are to scale, and so is the cable's height where its diameter is known and not too thin to be seen. Layers are
thinner than any line, so each is drawn with the same thickness. Seen so, 3 o'clock faces the reader and 12 is at the
top.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from math import cos, radians

from ringcut.draft.pieces import Drawing, Length, Piece
from ringcut_cli.card.shapes import Line, Picture, Rect, Shape, Text

LAYERS = (
    ("muslin", "polyethylene-tape"),
    ("pads",),
    ("bar",),
    ("clamp-tape", "tie"),
    ("rubber-tape",),
    ("aluminum-tape",),
    ("bond",),
    ("sleeve",),
    ("next-sleeve",),
    ("channel",),
)
"""Kinds of pieces from the cable outwards."""
ROWS = (
    ("opening", "opening"),
    ("inner-sheath", "inner sheath laid bare"),
    ("old-step", "step between lead and polyethylene"),
    ("damage", "damage"),
    ("overlap", "rubber tape beyond the opening"),
    ("aluminum-reach", "aluminum tape beyond the opening"),
    ("pads", "pads"),
    ("bar", "bar"),
    ("bond", "adhesive bond, each side"),
    ("scuffed", "scuffed sheath, each side"),
    ("sleeve", "sleeve"),
    ("next-sleeve", "next sleeve"),
    ("sleeve-overlap", "sleeve over sleeve"),
    ("covered", "all sleeves together"),
    ("channel", "channel"),
)
"""Kinds of dimensions and their words, a row each."""
THICK, ROW, TOP, EDGE, LETTER = 6.0, 40.0, 34.0, 6.0, 7.6
"""Pixels: a layer, a row of dimensions, the room on top, at the sides, and for a letter."""
WIDE_LETTER = 1.0
"""By how much of a letter an m is wider than one."""
THINNEST = 7.0
"""Pixels of half the height of a cable that would be thinner; twice that where its diameter is not known."""


def side_view(drawing: Drawing, width: float) -> Picture | None:
    """The picture at a width in pixels; None where there is nothing along the cable."""
    return _Side(drawing, width).picture() if drawing.pieces else None


class _Side:
    """One picture in the making."""

    def __init__(self, drawing: Drawing, width: float) -> None:
        self.drawing, self.width = drawing, width
        reach = max(abs(drawing.low), abs(drawing.high)) * Fraction(107, 100)
        self.scale = (width / 2 - EDGE) / float(reach)
        self.reach = reach
        self.radius = self._radius()
        self.layers = [kinds for kinds in LAYERS if any(drawing_has(drawing, kind) for kind in kinds)]
        self.axis = TOP + self.radius + THICK * (len(self.layers) + 1)
        self.shapes: list[Shape] = []

    def picture(self) -> Picture:
        self._cable()
        for depth, kinds in enumerate(self.layers):
            for piece in self.drawing.pieces:
                if piece.kind in kinds:
                    self._layer(piece, depth)
        self._clamps()
        self._ends()
        bottom = self._dimensions(2 * self.axis - TOP + 16)
        thicker = "layers" if self._is_to_scale() else "the cable and its layers"
        return Picture(self.width, bottom, tuple(self.shapes), self._says(), thicker)

    def at(self, place: Fraction) -> float:
        """Pixels from the left for metres from the middle."""
        return self.width / 2 + float(place) * self.scale

    def _radius(self) -> float:
        """Half the height of the cable in pixels: to scale, but never too thin to be seen."""
        if self.drawing.diameter is None:
            return 2 * THINNEST
        return max(float(self.drawing.diameter) * self.scale / 2, THINNEST)

    def _is_to_scale(self) -> bool:
        diameter = self.drawing.diameter
        return diameter is not None and self.radius == float(diameter) * self.scale / 2

    # the cable and what lies on it

    def _cable(self) -> None:
        place = self.drawing.place
        left, right = (place.start, place.end) if place else (Fraction(0), Fraction(0))
        top, high = self.axis - self.radius, 2 * self.radius
        self._box("sheath", -self.reach, left, top, high)
        self._box("sheath", right, self.reach, top, high)
        if place:
            inset = 0 if place.kind in ("old-step", "damage") else 2
            self._box(place.kind, left, right, top + inset, high - 2 * inset)
        for wire in (-1, 0, 1) if place and place.kind == "opening" else ():
            y = self.axis + wire * self.radius / 2
            self.shapes.append(Line("wire", self.at(left), y, self.at(right), y))
        for piece in self.drawing.pieces:
            if piece.kind == "scuffed":
                self._box("scuffed", piece.start, piece.end, top, high)

    def _layer(self, piece: Piece, depth: int) -> None:
        inner = self.radius + THICK * depth
        if piece.kind in ("sleeve", "next-sleeve"):
            # from the sheath on, as an outline, so that what it covers stays to be seen
            self._box(piece.kind, piece.start, piece.end, self.axis - inner - THICK, 2 * (inner + THICK))
        elif piece.kind in ("bar", "channel"):
            self._strip(piece, inner)
        elif piece.kind == "bond":
            outer = inner + THICK
            self._box("bond", piece.start, piece.end, self.axis - outer, outer - self.radius)
            self._box("bond", piece.start, piece.end, self.axis + self.radius, outer - self.radius)
        else:
            kind = f"{piece.kind} by-place" if piece.by_place else piece.kind
            self._box(kind, piece.start, piece.end, self.axis - inner - THICK, THICK)
            self._box(kind, piece.start, piece.end, self.axis + inner, THICK)

    def _strip(self, piece: Piece, inner: float) -> None:
        """A bar or channel at its height around the cable; what lies on the far side is drawn broken."""
        angle = self.drawing.bar_angle if piece.kind == "bar" else self.drawing.channel_angle
        turned = 0.0 if angle is None else float(angle)
        middle = self.axis - cos(radians(turned)) * (inner + THICK / 2)
        kind = f"{piece.kind} behind-cable" if 180 < turned < 360 else piece.kind
        self._box(kind, piece.start, piece.end, middle - THICK / 2, THICK)

    def _clamps(self) -> None:
        for piece in self.drawing.pieces:
            if piece.kind == "clamp":
                x = self.at(piece.start)
                self.shapes.append(Rect("clamp", x - 3, self.axis - self.radius - 5, 6, 2 * self.radius + 10))

    def _ends(self) -> None:
        first, second = self.drawing.sides
        self.shapes += [
            Text("side", EDGE, 20, f"{first} ◂", "start"),
            Text("side", self.width - EDGE, 20, f"▸ {second}", "end"),
        ]

    def _box(self, kind: str, start: Fraction, end: Fraction, y: float, height: float) -> None:
        if end > start:
            self.shapes.append(Rect(kind, self.at(start), y, float(end - start) * self.scale, height))

    # dimensions

    def _dimensions(self, y: float) -> float:
        for kind, words in ROWS:
            row = [each for each in self.drawing.lengths if each.kind == kind]
            if row:
                self.shapes.append(Text("row", EDGE, y + 12, words, "start"))
                for each in row:
                    self._dimension(each, y + 26)
                y += ROW
        return y + 4

    def _dimension(self, length: Length, y: float) -> None:
        left, right = self.at(length.start), self.at(length.end)
        self.shapes += [Line("measure", left, y, right, y), *_marks(left, right, y)]
        room = room_of(length.words) + 4
        middle = (left + right) / 2
        if right - left >= room:
            self.shapes += [
                Rect("behind", middle - room / 2, y - 9, room, 18),
                Text("value", middle, y + 5, length.words),
            ]
        elif self._is_beside_left(length, left, room):
            self.shapes.append(Text("value", left - 5, y + 5, length.words, "end"))
        else:
            self.shapes.append(Text("value", right + 5, y + 5, length.words, "start"))

    def _is_beside_left(self, length: Length, left: float, room: float) -> bool:
        """A text too long for its line stands outwards of it, where there is room for it."""
        outwards = length.side == self.drawing.sides[0]
        return left - room > 0 if outwards else self.at(length.end) + room > self.width

    def _says(self) -> str:
        told = [f"{each.kind.replace('-', ' ')} {each.side} {each.words}" for each in self.drawing.lengths]
        said = ", ".join(" ".join(each.split()) for each in told)
        return f"Side view to scale, {self.drawing.sides[0]} on the left: {said}."


def _marks(left: float, right: float, y: float) -> Iterable[Line]:
    return (Line("measure", x, y - 6, x, y + 6) for x in (left, right))


def room_of(words: str) -> float:
    """Pixels that a dimension takes: an m is wider than other letters."""
    return LETTER * (len(words) + words.count("m") * WIDE_LETTER)


def drawing_has(drawing: Drawing, kind: str) -> bool:
    """Whether a drawing has a piece of a kind."""
    return any(piece.kind == kind for piece in drawing.pieces)

"""The pictures of a card: one scale for all pieces, and every shape inside its sheet."""

from __future__ import annotations

from fractions import Fraction
from math import hypot

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringcut.draft.pieces import Drawing, Length, Piece
from ringcut.reading.measures import show
from ringcut_cli.card.endview import CABLE, MIDDLE, SLEEVE, angle_words, end_view, point
from ringcut_cli.card.shapes import Rect, Text, Turned
from ringcut_cli.card.sideview import LETTER, room_of, side_view

INCH = Fraction("0.0254")
lengths = st.integers(1, 400).map(lambda number: Fraction(number, 8) * INCH)


def drawing(opening: Fraction, over: Fraction, bond: Fraction, spare: Fraction, *angles: Fraction) -> Drawing:
    half, end = opening / 2, opening / 2 + over + bond
    pieces = [
        Piece("opening", -half, half),
        Piece("rubber-tape", -half - over, half + over),
        Piece("bond", -end, -half - over, "A"),
        Piece("bond", half + over, end, "B"),
        Piece("sleeve", -end - spare, end + spare),
    ]
    told = tuple(
        Length(each.kind, each.start, each.end, show(each.length, "length", "in"), each.side) for each in pieces
    )
    first, second = angles or (None, None)
    return Drawing("", ("A", "B"), 2 * INCH, tuple(pieces), told, first, second)


def drawn(picture_of: Drawing, width: float) -> dict[str, list[Rect]]:
    picture = side_view(picture_of, width)
    assert picture is not None
    found: dict[str, list[Rect]] = {}
    for shape in picture.shapes:
        if isinstance(shape, Rect):
            found.setdefault(shape.kind, []).append(shape)
    return found


@given(opening=lengths, over=lengths, bond=lengths, spare=lengths, width=st.sampled_from([340.0, 700.0]))
def test_widths_are_to_one_scale(
    opening: Fraction, over: Fraction, bond: Fraction, spare: Fraction, width: float
) -> None:
    rects = drawn(drawing(opening, over, bond, spare), width)
    pairs = {
        "opening": opening,
        "rubber-tape": opening + 2 * over,
        "bond": bond,
        "sleeve": opening + 2 * (over + bond + spare),
    }
    scales = [rects[kind][0].width / float(length) for kind, length in pairs.items()]
    assert scales == pytest.approx([scales[0]] * 4)
    left, right = rects["bond"][0], rects["bond"][2]
    assert left.x + left.width == pytest.approx(rects["rubber-tape"][0].x)
    assert right.x == pytest.approx(rects["rubber-tape"][0].x + rects["rubber-tape"][0].width)


def test_the_height_of_the_cable_is_to_the_same_scale() -> None:
    rects = drawn(drawing(14 * INCH, INCH, 5 * INCH, INCH), 700)
    sheath, opening = rects["sheath"][0], rects["opening"][0]
    assert sheath.height / 2 == pytest.approx(opening.width / 14)


@given(opening=lengths, over=lengths, bond=lengths, spare=lengths, width=st.sampled_from([340.0, 700.0]))
def test_nothing_leaves_the_sheet(
    opening: Fraction, over: Fraction, bond: Fraction, spare: Fraction, width: float
) -> None:
    picture = side_view(drawing(opening, over, bond, spare), width)
    assert picture is not None
    for shape in picture.shapes:
        if isinstance(shape, Rect) and shape.kind != "behind":
            assert shape.x >= -0.01 and shape.x + shape.width <= width + 0.01
            assert shape.y >= 0 and shape.y + shape.height <= picture.height
        elif isinstance(shape, Text) and shape.kind == "value":
            room = room_of(shape.says)
            start = {"start": shape.x, "middle": shape.x - room / 2, "end": shape.x - room}[shape.anchor]
            assert start >= -LETTER and start + room <= width + LETTER


@given(st.integers(0, 719).map(lambda halves: Fraction(halves, 2)))
def test_an_angle_lies_where_the_hand_of_a_clock_points(angle: Fraction) -> None:
    x, y = point(float(angle), 10)
    assert hypot(x - MIDDLE, y - MIDDLE) == pytest.approx(10)
    if 0 < angle < 180:
        assert x > MIDDLE
    if angle < 90 or angle > 270:
        assert y < MIDDLE


def test_bar_and_channel_are_turned_to_their_angles() -> None:
    found = end_view(drawing(INCH, INCH, INCH, INCH, Fraction(0), Fraction(210)))
    assert found is not None
    turned = {shape.kind: shape for shape in found.shapes if isinstance(shape, Turned)}
    assert (turned["bar"].angle, turned["channel"].angle) == (0, 210)
    # before it is turned each lies on top of its circle
    assert turned["bar"].y + turned["bar"].height == MIDDLE - CABLE
    assert turned["channel"].y + turned["channel"].height == MIDDLE - SLEEVE
    assert "150 deg" in [shape.says for shape in found.shapes if isinstance(shape, Text)]
    assert found.says == "End view, seen from A towards B: bar at 12 o'clock (0 deg), channel at 7 o'clock (210 deg)."


def test_without_angles_there_is_no_end_view() -> None:
    assert end_view(drawing(INCH, INCH, INCH, INCH)) is None


def test_an_angle_that_no_clock_shows_is_told_in_degrees() -> None:
    assert angle_words(Fraction(105)) == "3:30 (105 deg)"
    assert angle_words(Fraction(1001, 10)) == "100.1 deg"


@pytest.mark.parametrize(("across", "opening", "thicker"), [
    (6, 1, "layers"), (1, 14, "layers"), (1, 200, "the cable and its layers"),
])  # fmt: skip
def test_a_thick_cable_is_to_scale_and_a_thin_one_is_said_to_be_thicker(
    across: int, opening: int, thicker: str
) -> None:
    """A thick cable under a short sleeve was drawn thinner than it is, and nothing said so."""
    one = msgspec.structs.replace(drawing(opening * INCH, INCH, 5 * INCH, INCH), diameter=across * INCH)
    picture = side_view(one, 700)
    assert picture is not None
    assert picture.thicker == thicker
    rects = drawn(one, 700)
    is_to_scale = rects["sheath"][0].height == pytest.approx(rects["opening"][0].width / opening * across)
    assert is_to_scale == (thicker == "layers")

"""Tape lengths against numeric integration of the curve that a tape follows."""

from __future__ import annotations

from fractions import Fraction
from math import cos, dist, pi, sin

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringcut.draft.tapes import Tape, helix_length, rolls, spiral_length, tapes
from ringcut.language.ir import Rulebook

STEPS = 400
"""Chords a turn; the chord is shorter than the arc by about (2 pi / STEPS) ** 2 / 24, four in a million."""


def integrated(diameter: float, pitch: float, turns: float) -> float:
    """Length of a helix as a sum of chords."""
    points = int(turns * STEPS)
    radius = diameter / 2
    at = [
        (radius * cos(2 * pi * i / STEPS), radius * sin(2 * pi * i / STEPS), pitch * i / STEPS)
        for i in range(points + 1)
    ]
    return sum(dist(a, b) for a, b in zip(at, at[1:], strict=False)) * turns * STEPS / points


@given(
    diameter=st.floats(0.01, 0.1),
    covered=st.floats(0.05, 0.6),
    width=st.sampled_from([Fraction(3, 4), Fraction(2)]),
    lap=st.sampled_from([Fraction(0), Fraction(1, 3), Fraction(1, 2)]),
    layers=st.integers(1, 3),
)
def test_helix_against_integration(
    diameter: float, covered: float, width: Fraction, lap: Fraction, layers: int
) -> None:
    inch = Fraction("0.0254")
    tape = Tape("test", width * inch, inch * Fraction(3, 100), Fraction(9))
    pitch = float(tape.width * (1 - lap))
    build = float(tape.thickness / (1 - lap))
    expected = 0.0
    for layer in range(layers):
        # the middle of this layer's build-up, over all layers under it
        expected += integrated(diameter + (2 * layer + 1) * build, pitch, covered / pitch + 1)
    assert helix_length(diameter, covered, tape, layers, lap) == pytest.approx(expected, rel=1e-4)


def test_turns_upon_each_other_grow() -> None:
    tape = Tape("test", Fraction("0.0508"), Fraction("0.001"), Fraction(9))
    assert spiral_length(0.05, tape, 2) == pytest.approx(pi * (0.051 + 0.053))


def test_a_started_roll_is_a_whole_one() -> None:
    tape = Tape("test", Fraction("0.0508"), Fraction("0.001"), Fraction(9))
    assert [rolls(length, tape) for length in (0.5, 9.0, 9.1)] == [1, 1, 2]


def test_every_tape_of_the_table_is_invented_and_has_a_thickness(book: Rulebook) -> None:
    assert book.tables["tapes"].invented
    assert all(tape.thickness > 0 for tape in tapes(book).values())

"""Jobs in millimetres: their lengths are chosen on a metric grid and told in millimetres.

A crew whose cable and opening are in millimetres has such a rule in its hand. What is bought by the inch (tape, pads)
and what a practice fixes in inches (the section of a dam) keeps its inches.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from fractions import Fraction

import msgspec

from ringcut.language import ir

GRID, FINE = Fraction("0.005"), Fraction("0.0001")
"""Metres: the steps of what is laid out with a rule, and of what is measured finer than a millimetre."""
MILLIMETRE = Fraction("0.001")
BY_THE_INCH = ("width", "pad-length", "section-length")
"""Readings that keep their inches."""
SPEAK = ("cable-diameter", "opening-length")
"""The facts whose unit is that of the job."""
_METRIC = re.compile(r"\d\s*(mm|cm|m|milli\w+|centi\w+|met(er|re)s?)\.?$", re.IGNORECASE)


def is_metric(texts: Mapping[str, object]) -> bool:
    """Whether the lengths of a job's facts are metric: texts by fact, those of the cable and the opening."""
    said = [text for name in SPEAK if isinstance(text := texts.get(name), str)]
    return bool(said) and all(_METRIC.search(text.strip()) for text in said)


def in_millimetres(book: ir.Rulebook) -> ir.Rulebook:
    """The rulebook with a metric grid for what is laid out; what is true by it stays the same."""
    steps = {
        name: msgspec.structs.replace(step, readings={key: _metric(word) for key, word in step.readings.items()})
        for name, step in book.steps.items()
    }
    facts = {name: _metric(word) for name, word in book.facts.items()}
    return msgspec.structs.replace(book, steps=steps, facts=facts)


def _metric(word: ir.Word) -> ir.Word:
    if word.kind != "length" or word.unit != "in" or word.name in BY_THE_INCH:
        return word
    grid = FINE if word.resolution is not None and word.resolution < MILLIMETRE else GRID
    return msgspec.structs.replace(word, unit="mm", resolution=word.resolution and grid)


def in_units_of(texts: Mapping[str, tuple[str, object]], book: ir.Rulebook) -> ir.Rulebook:
    """The rulebook in the unit of a job whose facts are (text, place) by name."""
    return in_millimetres(book) if is_metric({name: text for name, (text, _) in texts.items()}) else book


def length_unit(book: ir.Rulebook) -> str:
    """The unit of lengths on a cable: ``in`` or ``mm``."""
    word = book.facts.get(SPEAK[-1])
    return "mm" if word is not None and word.unit == "mm" else "in"

"""Readings whose last digit nothing makes usual: what a copied log would have in common with its model.

Left out are the values that limits and instruments make usual: zero, 20.9 % oxygen, a last digit of 0 or 5, lengths
that are nominal (quarter inches, whole and half centimetres), and readings that are chosen rather than measured
(counts, sizes, times). What is odd is decided in the unit in which the crew wrote: 13.5 cm is nominal, 5.31 in is not.
"""

from __future__ import annotations

from fractions import Fraction

from ringcut.archive.results import Odd
from ringcut.language import ir
from ringcut.reading.measures import Measure, read_measure, show
from ringcut.reading.units import find_unit, from_base
from ringcut.relations.procedure import Procedure
from ringcut.relations.spans import Span

_MEASURED = ("length", "gauge-pressure", "absolute-pressure", "temperature", "resistance", "voltage", "angle",
             "lfl", "volume-percent", "ppm", "resistance-length")  # fmt: skip
_INCH, _HALF_CENTIMETRE = Fraction(254, 10000), Fraction(5, 1000)
_FRESH_AIR = (Fraction(208, 1000), Fraction(209, 1000), Fraction(21, 100))


def odd_readings(procedure: Procedure, book: ir.Rulebook) -> tuple[Odd, ...]:
    """The odd readings of a log in the order of its entries.

    A reading that was taken twice counts once, as does a cell that holds for both sides, and a value that stands twice
    in one log: nobody measures a channel that was cut to the length of the sleeve.
    """
    found: dict[str, Odd] = {}
    seen: set[tuple[str, Fraction]] = set()
    for each in procedure.occurrences:
        words = book.steps[each.step].readings
        for (name, side), given in each.readings.items():
            word = words.get(name)
            if word is None or word.kind not in _MEASURED or not isinstance(given, Span) or not given.exact:
                continue
            value = given.low or Fraction(0)
            text, _ = each.texts.get((name, side), each.texts.get((name, ""), ("", each.place)))
            unit = _unit_written(text, word)
            ways = ways_of(value, word, unit)
            if not ways or (word.kind, value) in seen:
                continue
            seen.add((word.kind, value))
            own = side if (name, side) in each.texts else ""
            what = f"{each.step}.{name}{f' {own}' if own else ''}"
            found.setdefault(what, Odd(what, show(value, word.kind, unit), each.place.line, ways))
    return tuple(found.values())


def _unit_written(text: str, word: ir.Word) -> str:
    """The unit in which a reading was written; that of the vocabulary for a position of the clock."""
    read = read_measure(text, word.kind) if text else None
    return read.unit if isinstance(read, Measure) and read.unit not in ("", "o'clock") else word.unit


def ways_of(value: Fraction, word: ir.Word, written: str = "") -> int:
    """How many last digits a value might as well have had; 0 where it is a usual one. ``written``: the crew's unit.

    Odd eighths, sixteenths of an inch: 4, 8 of them. A decimal that does not end in 0 or 5: 8 last digits.
    """
    if value == 0 or value in _FRESH_AIR and word.kind == "volume-percent":
        return 0
    unit = find_unit(written or word.unit)
    if unit is None:
        return 0
    shown = from_base(value, unit, word.kind)
    if word.kind == "length":
        inches = value / _INCH
        if inches.denominator < 8:
            return 0
        if unit.name in ("in", "ft"):
            return {8: 4, 16: 8, 32: 16}.get(inches.denominator, 8)
        return 0 if (value / _HALF_CENTIMETRE).denominator == 1 else 8
    digits = _digits(shown)
    return 0 if len(digits) < 2 or digits[-1] in "05" else 8


def _digits(number: Fraction) -> str:
    """The significant digits of a number, without zeros at its ends."""
    for places in range(7):
        scaled = abs(number) * 10**places
        if scaled.denominator == 1:
            text = str(scaled.numerator).lstrip("0")
            return text if places else text.rstrip("0")
    return ""

"""Readings whose last digit nothing makes usual: what a copied log would have in common with its model.

Left out are the values that limits and instruments make usual: zero, whole and half numbers, quarter inches, every
number that stands in a rule, 20.9 % oxygen, and readings that are chosen rather than measured (counts, sizes, times).
"""

from __future__ import annotations

from fractions import Fraction

from ringcut.archive.results import Odd
from ringcut.language import ir
from ringcut.reading.measures import show
from ringcut.reading.units import find_unit, from_base
from ringcut.relations.procedure import Procedure
from ringcut.relations.spans import Span

_MEASURED = ("length", "gauge-pressure", "absolute-pressure", "temperature", "resistance", "voltage", "angle",
             "lfl", "volume-percent", "ppm", "resistance-length")  # fmt: skip
_FRESH_AIR = (Fraction(208, 1000), Fraction(209, 1000), Fraction(21, 100))


def odd_readings(procedure: Procedure, book: ir.Rulebook) -> tuple[Odd, ...]:
    """The odd readings of a log in the order of its entries; a reading that was taken twice counts once."""
    found: dict[str, Odd] = {}
    for each in procedure.occurrences:
        words = book.steps[each.step].readings
        for (name, side), given in each.readings.items():
            word = words.get(name)
            if word is None or word.kind not in _MEASURED or not isinstance(given, Span) or not given.exact:
                continue
            value = given.low or Fraction(0)
            ways = ways_of(value, word)
            if ways:
                what = f"{each.step}.{name}{f' {side}' if side else ''}"
                found.setdefault(what, Odd(what, show(value, word.kind, word.unit), each.place.line, ways))
    return tuple(found.values())


def ways_of(value: Fraction, word: ir.Word) -> int:
    """How many last digits a value might as well have had; 0 where it is a usual one.

    Odd eighths, sixteenths of an inch: 4, 8 of them. A decimal that does not end in 0 or 5: 8 last digits.
    """
    if value == 0 or value in _FRESH_AIR and word.kind == "volume-percent":
        return 0
    unit = find_unit(word.unit)
    if unit is None:
        return 0
    shown = from_base(value, unit, word.kind)
    if word.kind == "length" and word.unit in ("in", "ft"):
        inches = shown * (12 if word.unit == "ft" else 1)
        return {8: 4, 16: 8, 32: 16}.get(inches.denominator, 0 if inches.denominator < 8 else 8)
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

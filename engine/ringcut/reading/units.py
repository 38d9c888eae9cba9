"""Which unit a text names, what it can measure, and its numbers in base units.

The trade's own units are a table of exact sizes; two of them may be joined (ohm/kft, megohm-mile). Other
plain units are looked up in :mod:`ringcut.reading.foreign`.
"""

from __future__ import annotations

import re
from fractions import Fraction
from functools import lru_cache

from ringcut.reading import wire
from ringcut.reading.refusals import Refusal, expect, no_unit, wrong_kind
from ringcut.reading.spellings import AMBIGUOUS, EXACT, FOLDED, NUMBER, Unit
from ringcut.reading.spoken import clip, tidy

_PRODUCTS = {
    ("resistance", "length", "-"): "resistance-length",
    ("resistance", "length", "/"): "resistance-per-length",
    ("time", "length", "/"): "time-per-length",
    ("volume", "time", "/"): "flow",
}


def find_unit(text: str) -> Unit | None:
    """The unit written as ``text``, or None where it is unknown or could be two units."""
    return _find(tidy(text)) if len(text) <= 60 else None


@lru_cache(maxsize=1024)
def _find(said: str) -> Unit | None:
    known = _own(said) or _compound(said)
    if known or said.casefold() in AMBIGUOUS:
        return known
    from ringcut.reading import foreign

    other = foreign.look_up(said.removesuffix("."))
    if not other:
        return None
    return _own(other.name) or Unit(said, other.kinds, other.factor, what=other.what)


def _own(said: str) -> Unit | None:
    for spelling in (said, said.removesuffix(".")):
        unit = EXACT.get(spelling) or FOLDED.get(spelling.casefold())
        if unit and (spelling or not said):
            return unit
    return None


def _compound(said: str) -> Unit | None:
    """``ohm/kft``, ``megohm-mile``, ``seconds per foot``: two of our own units joined."""
    for pattern, sign in ((r"(.+?) ?(?:/| per ) ?(.+)", "/"), (r"(\S+?) ?[-\u00b7* ] ?(.+)", "-")):
        parts = re.fullmatch(pattern, said)
        left, right = (_own(parts[1]), _own(parts[2])) if parts else (None, None)
        kind = _PRODUCTS.get((left.kinds[0], right.kinds[0], sign)) if left and right else None
        if left and right and kind:
            factor = left.factor / right.factor if sign == "/" else left.factor * right.factor
            return Unit(f"{left.name}{sign}{right.name}", (kind,), factor)
    return None


def kinds_of_unit(unit: str) -> tuple[str, ...]:
    """Every kind a literal in this unit can take; none for an unknown unit. "" is a plain number."""
    found = find_unit(unit)
    return found.kinds if found else ()


def to_base(number: Fraction, unit: str, kind: str) -> Fraction | Refusal:
    """``number`` of ``unit`` in the base unit of ``kind`` (see ``KINDS``), or why it cannot be one."""
    found = find_unit(unit)
    if not found:
        return Refusal(f"{clip(unit)} is not a unit known here", expect(kind), AMBIGUOUS.get(unit.casefold(), ""))
    return convert(number, found, kind)


def convert(number: Fraction, unit: Unit, kind: str) -> Fraction | Refusal:
    """As :func:`to_base`, for a unit already found."""
    if kind not in unit.kinds and unit == NUMBER:
        return no_unit(show_plain(number), kind)
    if kind not in unit.kinds:
        return wrong_kind(f"{show_plain(number)} {unit.name}".strip(), unit.name, unit.kinds, kind, unit.what)
    if unit.name == "AWG":
        return _gauge(number)
    if unit.name == "kcmil":
        if not 1 <= number <= 10000:
            return Refusal(f"{show_plain(number)} kcmil is no wire size", expect(kind))
        return wire.kcmil_area(number)
    if unit.name == "o'clock":
        if not 0 < number < 13:
            return Refusal(f"{show_plain(number)} o'clock is not on the clock", "a position from 1 to 12 o'clock")
        return (number % 12) * 30
    return number * unit.factor + (unit.zero if kind == "temperature" else 0)


def _gauge(number: Fraction) -> Fraction | Refusal:
    if number.denominator != 1 or not wire.HEAVIEST <= number <= wire.THINNEST:
        hint = "write 1/0 to 4/0 for the heavy sizes"
        return Refusal(f"{show_plain(number)} AWG is no wire size", "4/0 to 40 AWG, or mm2", hint)
    return wire.awg_area(int(number))


def from_base(value: Fraction, unit: Unit, kind: str) -> Fraction:
    """A base value of ``kind`` in ``unit``; not for AWG, kcmil and o'clock, which are no plain scale."""
    return (value - (unit.zero if kind == "temperature" else 0)) / unit.factor


def show_plain(number: Fraction) -> str:
    """A number for a message: a whole number, a short decimal, else three digits."""
    return str(number.numerator) if number.denominator == 1 else f"{float(number):.4g}"

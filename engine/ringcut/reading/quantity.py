"""One number with its unit, in every way the trade writes it.

``5 in``, ``5-1/2"``, ``2' 6"``, ``1 h 30 min``, ``#6``, ``1/0 AWG``, ``3:30`` and ``6 o'clock``. What the
unit may stand for is not decided here.
"""

from __future__ import annotations

import difflib
import re
from fractions import Fraction

import msgspec

from ringcut.reading.refusals import Refusal
from ringcut.reading.spellings import AMBIGUOUS, NUMBER, SPELLINGS, Unit
from ringcut.reading.spoken import clip, read_number
from ringcut.reading.units import find_unit


class Quantity(msgspec.Struct, frozen=True):
    """A number and the unit written after it; ``bare`` where none was."""

    number: Fraction
    unit: Unit
    bare: bool = False


_WIRE = re.compile(
    r"(?P<before>#|no\.? ?|awg ?#?)? ?(?P<size>[1-4]/0|0{1,4}|[0-9]{1,2})"
    r"(?: ?(?P<after>awg|(?:ga|gauge) awg))?",
    re.IGNORECASE,
)
_CLOCK = re.compile(r"(?P<hour>[0-9]{1,2}):(?P<minute>[0-9]{2})(?: ?o'? ?clock)?", re.IGNORECASE)
_PART = re.compile(r"(?P<unit>'|[A-Za-z]+\.?) ?-? ?(?=[0-9.])")
_PARTS = {"ft": ("in", 12), "days": ("h", 24), "h": ("min", 60), "min": ("s", 60)}


def read_quantity(text: str, kind: str = "") -> Quantity | Refusal:
    """The quantity that tidy ``text`` is; a refusal that names no kind has an empty ``expected``.

    ``kind`` only narrows the unit that a misspelling suggests.
    """
    special = _wire(text) or _clock(text)
    if special:
        return special
    number = read_number(text)
    if isinstance(number, Refusal):
        return number
    value, rest = number
    if not rest:
        return Quantity(value, NUMBER, bare=True)
    word = re.sub(r"^-(?=[A-Za-z])", "", rest)
    unit = find_unit(word)
    if unit:
        return Quantity(value, unit)
    return _in_parts(text, value, rest) or _unknown(text, word, kind)


def _wire(text: str) -> Quantity | None:
    """A wire size written as no other quantity is: with a number sign, or with an aught."""
    found = _WIRE.fullmatch(text)
    if not found or not (found["before"] or found["after"] or found["size"].endswith("/0")):
        return None
    size, unit = found["size"], find_unit("AWG")
    if not unit:
        return None
    if size.endswith("/0"):
        return Quantity(Fraction(1 - int(size[0])), unit)
    return Quantity(Fraction(1 - len(size) if not size.strip("0") else int(size)), unit)


def _clock(text: str) -> Quantity | Refusal | None:
    found, unit = _CLOCK.fullmatch(text), find_unit("o'clock")
    if not found or not unit:
        return None
    hour, minute = int(found["hour"]), int(found["minute"])
    if not 1 <= hour <= 12 or minute > 59:
        return Refusal(f"{text} is not on the clock", "a position from 1:00 to 12:59", "12 is the top of the cable")
    return Quantity(hour + Fraction(minute, 60), unit)


def _in_parts(text: str, value: Fraction, rest: str) -> Quantity | Refusal | None:
    """``2 ft 6 in``, ``1 h 30 min``: whole large units, then less than one of them in the next smaller."""
    found = _PART.match(rest)
    large = find_unit(found["unit"]) if found else None
    if not found or not large or large.name not in _PARTS:
        return None
    name, size = _PARTS[large.name]
    second = read_quantity(rest[found.end() :])
    if isinstance(second, Refusal):
        return second
    said = clip(text)
    if second.bare:
        return Refusal(f"{said} does not say what the last number is", "", f"write {name} after it")
    if second.unit.name != name:
        return Refusal(f"{said} mixes units that do not go together", "", f"after {large.name} comes {name}")
    if value.denominator != 1 or not 0 <= second.number < size:
        hint = f"whole {large.name} and less than {size} {name} after it"
        return Refusal(f"{said} is not written in whole {large.name} and {name}", "", hint)
    sign = -1 if text.startswith("-") else 1
    return Quantity(value * size + sign * second.number, second.unit)


def _unknown(text: str, word: str, kind: str) -> Refusal:
    if word.startswith("e") and word[1:2].isdigit():
        return Refusal(f"{clip(text)} is not one number", "")
    hint = AMBIGUOUS.get(word.casefold(), "")
    if hint:
        return Refusal(f"{clip(text)} could mean more than one thing", "", hint)
    fitting = [said for said, kinds in SPELLINGS.items() if not kind or kind in kinds]
    near = difflib.get_close_matches(word.casefold()[:60], fitting, n=1, cutoff=0.75)
    return Refusal(
        f'{clip(text)}: "{clip(word)}" is not a unit known here',
        "",
        f"did you mean {near[0]}?" if near else "",
    )

"""Values as the trade writes them: 5-1/2 in, 60 min, 105 deg, 10 %LFL, 6 AWG.

Inches are shown in fractions down to 1/64 where that is exact. A decimal is shown whole where six digits
hold it, so that 4.997 in never looks like the 5 in it falls short of; else it is rounded to three digits.
"""

from __future__ import annotations

from fractions import Fraction

from ringcut.reading import wire
from ringcut.reading.spellings import NUMBER, SIGNED, Unit
from ringcut.reading.units import find_unit, from_base

_USUAL = {
    "gauge-pressure": "psi",
    "absolute-pressure": "psia",
    "pressure-difference": "psi",
    "temperature": "degF",
    "temperature-difference": "degF",
    "angle": "deg",
    "turn": "deg",
    "resistance-length": "megohm-mile",
    "resistance-per-length": "ohm/kft",
    "time-per-length": "s/ft",
    "voltage": "V",
    "lfl": "%LFL",
    "volume-percent": "%",
    "ppm": "ppm",
    "ratio": "%",
    "count": "",
    "wire-size": "AWG",
    "flow": "ft3/min",
    "volume": "ft3",
}
_DIGITS_KEPT = 6
_DIGITS_ROUNDED = 3
_FINEST = 64


def show(value: Fraction, kind: str, unit: str = "", resolution: Fraction | None = None) -> str:
    """``value`` in ``unit`` or the usual one, first rounded to ``resolution``; both given in base units."""
    return " ".join(part for part in _parts(value, kind, unit, resolution) if part)


def show_span(
    low: Fraction | None, high: Fraction | None, low_open: bool, high_open: bool, kind: str, unit: str = ""
) -> str:
    """An interval in words: "0 to 10 %LFL", "at least 5 in", "over 5 in", "under 1 %LFL", "exactly 2"."""
    if high is None:
        return "any value" if low is None else f"{'over' if low_open else 'at least'} {show(low, kind, unit)}"
    if low == high:
        return f"exactly {show(high, kind, unit)}"
    upper = f"{'under' if high_open else 'at most'} {show(high, kind, unit)}"
    if low is None or (low == 0 and high_open and not low_open and kind not in SIGNED):
        return upper
    same = unit or _usual(high, kind)
    (number, shown), (last, last_shown) = _parts(low, kind, same), _parts(high, kind, same)
    if low_open or high_open:
        return f"{'over' if low_open else 'at least'} {number} {shown}".rstrip() + f", {upper}"
    first = number if shown == last_shown and kind != "wire-size" else f"{number} {shown}"
    return f"{first} to {last} {last_shown}".rstrip()


def _usual(value: Fraction, kind: str) -> str:
    """The unit a value of this size is read in, where none was given."""
    size = abs(value)
    if kind == "length":
        return "in" if size < 120 * Fraction("0.0254") else "ft"
    if kind == "time":
        if size < 60 or (size < 600 and size % 60):
            return "s"
        if size >= 172800 and not size % 86400:
            return "days"
        return "h" if size >= 10800 and not size % 1800 else "min"
    if kind == "resistance":
        return "megohm" if size >= 100000 else "ohm"
    return _USUAL[kind]


def _parts(value: Fraction, kind: str, unit: str, resolution: Fraction | None = None) -> tuple[str, str]:
    """Number and unit as they are written."""
    if resolution:
        value = round(value / resolution) * resolution
    found = find_unit(unit or _usual(value, kind)) or NUMBER
    if kind not in found.kinds:
        found = find_unit(_usual(value, kind)) or NUMBER
    if kind == "wire-size":
        return _wire(value, found)
    if found.name == "o'clock":
        return _clock(value)
    number = from_base(value, found, kind)
    if kind == "ratio" and not found.name:
        return _decimal(number), ""
    halves = resolution is None or _FINEST % (resolution / found.factor).denominator == 0
    if found.name == "in" and halves and _FINEST % number.denominator == 0:
        return _mixed(number), "in"
    shown = _decimal(number)
    return shown, "day" if found.name == "days" and shown in ("1", "-1") else found.name


def _mixed(number: Fraction) -> str:
    sign, size = "-" if number < 0 else "", abs(number)
    whole, rest = divmod(size, 1)
    if not rest:
        return f"{sign}{whole}"
    return f"{sign}{whole}-{rest}" if whole else f"{sign}{rest}"


def _decimal(number: Fraction) -> str:
    """A decimal without trailing zeros, exact where :data:`_DIGITS_KEPT` digits hold it."""
    if not number:
        return "0"
    size = abs(number)
    whole = len(str(int(size))) if size >= 1 else 1 - _leading_zeros(size)
    for digits in range(_DIGITS_KEPT - whole + 1):
        if not (size * 10**digits).denominator > 1:
            return _write(number, digits)
    return _write(number, max(0, _DIGITS_ROUNDED - whole))


def _leading_zeros(size: Fraction) -> int:
    """How many places after the point the first digit of a number below one stands."""
    places = 1
    while size * 10**places < 1:
        places += 1
    return places


def _write(number: Fraction, places: int) -> str:
    scaled = round(abs(number) * 10**places)
    digits = str(scaled).rjust(places + 1, "0")
    text = f"{digits[:-places]}.{digits[-places:]}".rstrip("0").rstrip(".") if places else digits
    return f"-{text}" if number < 0 and scaled else text


def _clock(value: Fraction) -> tuple[str, str]:
    minutes = value % 360 * 2
    if minutes.denominator != 1:
        return _decimal(value), "deg"
    hour, minute = divmod(int(minutes), 60)
    return (f"{hour or 12}:{minute:02}", "") if minute else (str(hour or 12), "o'clock")


def _wire(value: Fraction, unit: Unit) -> tuple[str, str]:
    gauge = wire.awg_of(value) if unit.name == "AWG" else None
    if gauge is not None:
        return wire.name_gauge(gauge), "AWG"
    thousands = wire.kcmil_of(value) if unit.name == "kcmil" else None
    return (str(thousands), "kcmil") if thousands else (_decimal(value), "mm2")

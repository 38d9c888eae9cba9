"""A small reader of trade measures: exact numbers, one unit a kind (in, psi, degF, min, deg, %LFL)."""

from __future__ import annotations

import re
from fractions import Fraction

Measure = tuple[Fraction, str]

IN = Fraction(1)
MM = Fraction(10, 254)
LINEAR: dict[str, tuple[Fraction, str]] = {
    "in": (IN, "length"), '"': (IN, "length"), "ft": (IN * 12, "length"), "'": (IN * 12, "length"),
    "mm": (MM, "length"), "cm": (MM * 10, "length"), "m": (MM * 1000, "length"),
    "psi": (Fraction(1), "pressure"), "kpa": (Fraction(1000) / Fraction("6894.757293168"), "pressure"),
    "s": (Fraction(1, 60), "time"), "min": (Fraction(1), "time"), "h": (Fraction(60), "time"),
    "d": (Fraction(1440), "time"), "days": (Fraction(1440), "time"),
    "deg": (Fraction(1), "angle"), "s/ft": (Fraction(1), "rate"),
    "%lfl": (Fraction(1), "gas"), "%lel": (Fraction(1), "gas"), "%": (Fraction(1), "percent"),
    "ppm": (Fraction(1), "ppm"), "mm2": (Fraction(1), "area"), "megohm": (Fraction(1), "megohm"),
    "ohm": (Fraction(1), "ohm"), "v": (Fraction(1), "volt"), "v ac": (Fraction(1), "volt"),
    "v dc": (Fraction(1), "volt-dc"), "awg": (Fraction(1), "gauge"), "": (Fraction(1), "count"),
}  # fmt: skip
HALVES = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
NUMBER = r"(-?\d+(?:\.\d+)?)(?:[- ](\d+)/([1-9]\d*))?"
ONE = re.compile(NUMBER + r"\s*([a-z%\"'/0-9 °]*)")
SHARE = re.compile(r"(\d+)/([1-9]\d*)\s*([a-z\"']+)")


def measure(text: object) -> Measure | None:
    """The number in the kind's own unit (inches, psi, degF, minutes, degrees) and its kind, else None.

    ``<1 %LFL`` reads as its edge: the limits it meets here are upper ones, and lower ones for ``>``.
    """
    if not isinstance(text, str):
        return None
    plain = text.strip().lower().lstrip("<>#").strip()
    for sign, share in HALVES.items():
        plain = re.sub(r"(\d)" + sign, r"\1-" + share, plain).replace(sign, share)
    hour = re.fullmatch(r"(\d+)(?::(\d\d))? ?(?:o'clock)?", plain)
    if hour and ("o'clock" in plain or ":" in plain):
        return Fraction(30) * int(hour[1]) % 360 + Fraction(int(hour[2] or 0), 2), "angle"
    feet = re.fullmatch(r"(\d+) ?(?:ft|') ?" + NUMBER + r" ?(?:in|\")", plain)
    if feet:
        return Fraction(12) * int(feet[1]) + mixed(feet[2], feet[3], feet[4]), "length"
    if re.fullmatch(r"[1-4]/0 awg", plain):
        return Fraction(1 - int(plain[0])), "gauge"
    share_only = SHARE.fullmatch(plain)
    if share_only and share_only[3] in LINEAR:
        factor, kind = LINEAR[share_only[3]]
        return Fraction(int(share_only[1]), int(share_only[2])) * factor, kind
    found = ONE.fullmatch(plain)
    return None if found is None else with_unit(mixed(found[1], found[2], found[3]), found[4].strip())


def mixed(whole: str, top: str | None, bottom: str | None) -> Fraction:
    """5-1/2 as one number."""
    return Fraction(whole) + (Fraction(int(top), int(bottom)) if top and bottom else 0)


def with_unit(number: Fraction, unit: str) -> Measure | None:
    """The number in the unit of its kind."""
    unit = unit.replace("°", "deg").replace("deg f", "degf").replace("deg c", "degc").replace("% l", "%l")
    if unit == "degf":
        return number, "temperature"
    if unit == "degc":
        return number * Fraction(9, 5) + 32, "temperature"
    if unit not in LINEAR:
        return None
    factor, kind = LINEAR[unit]
    return number * factor, kind

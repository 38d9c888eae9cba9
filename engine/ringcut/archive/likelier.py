"""The likelier reading of a number that cannot be meant as it stands: another unit, an absolute pressure, a
lost point.

Only words for a message come from here; no value is ever changed. A reading is called likelier where the
number as written lies outside the plausible range and the other reading of it inside.
"""

from __future__ import annotations

import re
from fractions import Fraction

from ringcut.language import ir
from ringcut.reading.measures import Measure, read_measure, show

STANDARD_ATMOSPHERE = Fraction(101325)
"""Pa, exact; ISO 2533."""

_UNITS = {
    "length": ("cm", "mm", "in", "ft"),
    "gauge-pressure": ("kPa", "psi", "bar"),
    "temperature": ("degC", "degF"),
    "time": ("min", "h", "s"),
    "resistance": ("megohm", "kilohm", "ohm"),
}
_ABSOLUTE = ("kPa", "psi")
_NAMED = re.compile(r"\S+\? (?P<said>[\d./ -]+?) (?P<unit>[^\d\s]+) is ")
_BARE = re.compile(r"(?P<said>\d(?:[\d./ -]*\d)?)(?: (?P<unit>[^\d\s?]+))?\?")
_WHOLE = re.compile(r"\d{2,4}")
_DECIMAL = re.compile(r"0?\.\d+")


def inside(measure: Measure, limits: tuple[Fraction, Fraction] | None) -> bool:
    """No part of the measure lies outside ``limits`` (none: no limit)."""
    if limits is None:
        return True
    low, high = measure.low, measure.high
    return (low is None or low <= limits[1]) and (high is None or high >= limits[0])


def likelier(number: str, unit: str, word: ir.Word) -> str:
    """What ``number`` under ``unit`` may have meant, in words; empty where nothing plausible is near."""
    if not word.plausible or not re.fullmatch(r"[\d./ -]+", number):
        return ""
    return _other_unit(number, unit, word) or _absolute(number, word) or _point(number, unit, word)


def measure_in(likely: str, unit: str) -> str:
    """The likelier reading as a measure, from its words; ``unit`` is that of the column. Empty where it is none."""
    found = _NAMED.match(likely) or _BARE.fullmatch(likely)
    return "" if found is None else f"{found['said']} {found['unit'] or unit}".strip()


def _other_unit(number: str, unit: str, word: ir.Word) -> str:
    for other in _UNITS.get(word.kind, ()):
        found = read_measure(f"{number} {other}", word.kind)
        if other != unit and isinstance(found, Measure) and found.low is not None and inside(found, word.plausible):
            return f"{other}? {number} {other} is {show(found.low, word.kind, word.unit, word.resolution)}"
    return ""


def _absolute(number: str, word: ir.Word) -> str:
    if word.kind != "gauge-pressure":
        return ""
    for unit in _ABSOLUTE:
        found = read_measure(f"{number} {unit}", "absolute-pressure")
        if isinstance(found, Measure) and found.low is not None and word.plausible:
            gauge = found.low - STANDARD_ATMOSPHERE
            slack = Fraction(4000)  # the air outside differs from the standard by this much between places and days
            if word.plausible[0] - slack <= gauge <= word.plausible[1]:
                return f"absolute {unit}? The air alone is {'101 kPa' if unit == 'kPa' else '14.7 psi'}"
    return ""


def _point(number: str, unit: str, word: ir.Word) -> str:
    """209 for 20.9, .209 for 20.9 %."""
    if word.kind not in ("volume-percent", "gauge-pressure", "temperature", "length"):
        return ""
    shifted = ""
    if _WHOLE.fullmatch(number):
        shifted = f"{number[:-1]}.{number[-1]}"
    elif _DECIMAL.fullmatch(number) and word.kind == "volume-percent":
        shifted = f"{float(Fraction(number) * 100):g}"
    found = read_measure(shifted, word.kind, unit=unit) if shifted else None
    return f"{shifted}?" if isinstance(found, Measure) and inside(found, word.plausible) else ""

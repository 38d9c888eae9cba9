"""Wire sizes as area of copper, so that gauge numbers, circular mils and square millimetres compare.

ASTM B258: d = 0.005 in x 92^((36-n)/39). The area is rounded to four significant digits, as published tables
print it, so that 6 AWG is 13.30 mm2 and a bar of 13.3 mm2 is exactly as heavy.
"""

from __future__ import annotations

import math
from fractions import Fraction
from functools import lru_cache

HEAVIEST, THINNEST = -3, 40
"""Gauge numbers of 4/0 and of the thinnest wire taken here."""

_KCMIL = math.pi / 4 * 0.0254**2 * 1000


def _four_digits(area: float) -> Fraction:
    return Fraction(f"{area:.4g}")


@lru_cache(maxsize=64)
def awg_area(gauge: int) -> Fraction:
    """Square millimetres of one AWG size; 1/0 is gauge 0, 4/0 is -3."""
    diameter = 0.005 * 25.4 * 92.0 ** ((36 - gauge) / 39)
    return _four_digits(math.pi / 4 * diameter**2)


def kcmil_area(thousands: Fraction) -> Fraction:
    """Square millimetres of so many thousand circular mils."""
    return _four_digits(float(thousands) * _KCMIL)


def awg_of(area: Fraction) -> int | None:
    """The gauge number whose area this is, or None where no size has it."""
    return next((gauge for gauge in range(HEAVIEST, THINNEST + 1) if awg_area(gauge) == area), None)


def kcmil_of(area: Fraction) -> int | None:
    """The whole number of thousand circular mils with this area, or None."""
    thousands = round(float(area) / _KCMIL)
    return thousands if kcmil_area(Fraction(thousands)) == area else None


def name_gauge(gauge: int) -> str:
    """The gauge number as it is written: 6, or 1/0 to 4/0."""
    return str(gauge) if gauge > 0 else f"{1 - gauge}/0"

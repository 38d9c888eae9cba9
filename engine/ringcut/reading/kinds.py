"""The kinds of quantity the trade reads, and what may be done with each.

A kind is more than a dimension: gauge and absolute pressure, a temperature and a difference of temperatures, a clock
position and a turn are different kinds with the same unit. Base units: metre, second, pascal, kelvin, degree of arc,
ohm, volt, square millimetre of copper (wire size), and plain numbers (30 % is 3/10).
"""

from __future__ import annotations

KINDS: dict[str, str] = {
    "length": "m",
    "time": "s",
    "gauge-pressure": "Pa",
    "absolute-pressure": "Pa",
    "pressure-difference": "Pa",
    "temperature": "K",
    "temperature-difference": "K",
    "angle": "deg",
    "turn": "deg",
    "resistance": "ohm",
    "resistance-length": "ohm m",
    "resistance-per-length": "ohm/m",
    "time-per-length": "s/m",
    "voltage": "V",
    "lfl": "1",
    "volume-percent": "1",
    "ppm": "1",
    "ratio": "1",
    "count": "1",
    "wire-size": "mm2",
    "flow": "m3/s",
    "volume": "m3",
}
"""Every quantity kind, with its base unit. ``angle`` is a position around the cable, ``turn`` a difference of two."""

WORDS = ("yes-no", "choice", "list", "text", "date", "names")
"""Kinds that hold words instead of quantities."""

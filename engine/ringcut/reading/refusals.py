"""Why a measure could not be read, in the words of the trade.

A :class:`Refusal` has no place: whoever read the text knows where it stood. The words for each kind of
quantity, and the units to suggest for it, are here so that every message says them alike.
"""

from __future__ import annotations

import msgspec

A_MEASURE = "a number and its unit"
"""What is expected where the kind is not known yet."""


class Refusal(msgspec.Struct, frozen=True):
    """A reason not to take a text: what was found, what is expected, how to write it. Parts may be empty."""

    found: str
    expected: str = ""
    hint: str = ""


KIND_WORDS: dict[str, tuple[str, str]] = {
    "length": ("a length", "in, ft, mm or cm"),
    "time": ("a time", "s, min, h or days"),
    "gauge-pressure": ("a gauge pressure", "psi or kPa"),
    "absolute-pressure": ("an absolute pressure", "psia, inHg or kPa"),
    "pressure-difference": ("a pressure difference", "psi or kPa"),
    "temperature": ("a temperature", "degF or degC"),
    "temperature-difference": ("a temperature difference", "degF or degC"),
    "angle": ("a position around the cable", "deg or o'clock"),
    "turn": ("an angle", "deg"),
    "resistance": ("a resistance", "ohm, kilohm or megohm"),
    "resistance-length": ("a resistance times length", "megohm-mile or megohm-km"),
    "resistance-per-length": ("a resistance per length", "ohm/kft or ohm/km"),
    "time-per-length": ("a time per length", "s/ft or s/m"),
    "voltage": ("a voltage", "V, mV or kV"),
    "lfl": ("a share of the lower flammable limit", "%LFL"),
    "volume-percent": ("a share of the air", "% or % vol"),
    "ppm": ("parts per million", "ppm"),
    "ratio": ("a ratio", "% or a plain number"),
    "count": ("a count", "a plain number"),
    "wire-size": ("a wire size", "AWG or mm2"),
    "flow": ("a flow", "ft3/min or L/s"),
    "volume": ("a volume", "ft3, L or m3"),
}
"""For each kind: what it is, with its article, and the units to suggest."""

_SHARED = {
    "gauge-pressure": "a pressure",
    "temperature": "a temperature",
    "angle": "an angle",
    "ratio": "a percentage",
}


def name_kinds(kinds: tuple[str, ...]) -> str:
    """What a unit measures, as people say it: psi "a pressure", in "a length"."""
    if len(kinds) > 1 and kinds[0] in _SHARED:
        return _SHARED[kinds[0]]
    return KIND_WORDS[kinds[0]][0] if kinds else "something else"


def expect(kind: str) -> str:
    """What is expected where ``kind`` stands, with its units."""
    word, units = KIND_WORDS[kind]
    return f"{word} ({units})"


def no_unit(number: str, kind: str) -> Refusal:
    """A bare number where a unit is needed."""
    if kind == "wire-size":
        return Refusal(f"{number} has no unit", f"{number} what? {number} AWG or mm2")
    return Refusal(f"{number} has no unit", f"{number} what? {KIND_WORDS[kind][1]}")


def wrong_kind(text: str, unit: str, kinds: tuple[str, ...], kind: str, what: str = "") -> Refusal:
    """A unit that cannot stand for ``kind``; ``what`` says what it measures where no kind of ours does."""
    found = f"{text} is {what or name_kinds(kinds)}"
    if kind == "lfl" and unit == "%":
        hint = "5 % of gas by volume is about 100 %LFL; write %LFL if that is what the meter shows"
        return Refusal(f"{text} does not say percent of what", expect(kind), hint)
    if kind == "gauge-pressure" and kinds == ("absolute-pressure",):
        return Refusal(found, expect(kind), "write what the gauge shows above the air outside, in psig")
    if kind == "absolute-pressure" and kinds == ("gauge-pressure",):
        return Refusal(found, expect(kind), "0 psig is about 14.7 psia; write psia if that was read")
    if kind in ("temperature", "temperature-difference") and unit == "deg":
        return Refusal(f"{text} does not say which degrees", expect(kind), "write degF or degC")
    if kind == "turn" and unit == "o'clock":
        return Refusal(found, expect(kind), "a clock position is not an angle between two things; write deg")
    if kind == "time" and unit == "o'clock":
        return Refusal(found, expect(kind), "write 3 h 30 min, or 3 min 30 s")
    return Refusal(found, expect(kind))

"""The trade's units: their exact size, what each can measure, and how people spell them.

A unit fits one kind of quantity or several: psi stands for a gauge pressure, an absolute one or a
difference; psig and psia say which. Sizes are exact by definition (in = 25.4 mm; psi = 0.45359237 kg x
9.80665 m/s2 on a square inch; columns of water and mercury at their conventional densities).
"""

from __future__ import annotations

from fractions import Fraction

import msgspec


class Unit(msgspec.Struct, frozen=True):
    """A unit: its canonical name, the kinds it can measure, and its size in their base unit."""

    name: str
    kinds: tuple[str, ...]
    factor: Fraction
    zero: Fraction = Fraction(0)
    """Kelvin at the zero of a temperature scale; differences ignore it."""
    qualifier: str = ""
    """``ac`` or ``dc`` of a voltage."""
    what: str = ""
    """What it measures, where that is no kind of ours."""

    @property
    def plain(self) -> str:
        """The name without the qualifier."""
        return self.name.removesuffix(f" {self.qualifier}") if self.qualifier else self.name


SIGNED = frozenset(
    [
        "gauge-pressure",
        "pressure-difference",
        "temperature",
        "temperature-difference",
        "angle",
        "turn",
        "voltage",
    ]
)
"""Kinds that may lie below zero, so that "under 5" has no lower end."""

PRESSURES = ("gauge-pressure", "absolute-pressure", "pressure-difference")
_TEMPERATURES = ("temperature", "temperature-difference")
_INCH = Fraction("0.0254")
_GRAVITY = Fraction("9.80665")
PSI = Fraction("0.45359237") * _GRAVITY / _INCH**2
"""Pascals in one psi, exactly."""
_KELVIN_AT_0_C = Fraction("273.15")
_FOOT = 12 * _INCH

_TABLE: tuple[tuple[tuple[str, ...], str, Fraction | str | int, str], ...] = (
    (("length",), "in", _INCH, '"|inch|inches'),
    (("length",), "ft", _FOOT, "'|foot|feet"),
    (("length",), "yd", 36 * _INCH, "yds|yard|yards"),
    (("length",), "mile", 5280 * _FOOT, "miles|mi"),
    (("length",), "kft", 1000 * _FOOT, "1000 ft|1000ft|thousand feet"),
    (("length",), "mil", _INCH / 1000, "mils"),
    (("length",), "mm", "0.001", "millimeter|millimeters|millimetre|millimetres"),
    (("length",), "cm", "0.01", "centimeter|centimeters|centimetre|centimetres"),
    (("length",), "m", 1, "meter|meters|metre|metres"),
    (("length",), "km", 1000, "kilometer|kilometers|kilometre|kilometres"),
    (("time",), "s", 1, "sec|secs|second|seconds"),
    (("time",), "min", 60, "mins|minute|minutes"),
    (("time",), "h", 3600, "hr|hrs|hour|hours"),
    (("time",), "days", 86400, "day|d"),
    (PRESSURES, "psi", PSI, "lb/in2|lbs/in2|lbf/in2"),
    (("gauge-pressure",), "psig", PSI, "psi gauge|psi(g)|psi g"),
    (("absolute-pressure",), "psia", PSI, "psi absolute|psi abs|psi(a)|psi a"),
    (("pressure-difference",), "psid", PSI, ""),
    (PRESSURES, "Pa", 1, "pascal|pascals"),
    (PRESSURES, "kPa", 1000, "kilopascal|kilopascals"),
    (("gauge-pressure",), "kPa gauge", 1000, "kPag|kPa(g)|kPa g"),
    (("absolute-pressure",), "kPa absolute", 1000, "kPaa|kPa(a)|kPa abs|kPa a"),
    (PRESSURES, "MPa", 1000000, "megapascal|megapascals"),
    (PRESSURES, "bar", 100000, ""),
    (("gauge-pressure",), "bar gauge", 100000, "barg|bar(g)"),
    (("absolute-pressure",), "bar absolute", 100000, "bara|bar(a)|bar abs"),
    (PRESSURES, "mbar", 100, "millibar|millibars"),
    (PRESSURES, "inHg", _INCH * Fraction("13595.1") * _GRAVITY, "in Hg|in of mercury|inches of mercury"),
    (PRESSURES, "mmHg", Fraction("13.5951") * _GRAVITY, "mm Hg|mm of mercury"),
    (
        PRESSURES,
        "inH2O",
        _INCH * 1000 * _GRAVITY,
        "in H2O|in of water|in. of water|inches of water|in wc|in w.c",
    ),
    (PRESSURES, "ftH2O", _FOOT * 1000 * _GRAVITY, "ft H2O|ft of water|feet of water"),
    (PRESSURES, "atm", 101325, "atmosphere|atmospheres"),
    (("angle", "turn"), "deg", 1, "\u00b0|degree|degrees|degs"),
    (("angle",), "o'clock", 30, "oclock|o' clock"),
    (("resistance",), "ohm", 1, "ohms|\u03a9"),
    (("resistance",), "milliohm", "0.001", "milliohms|m\u03a9"),
    (("resistance",), "kilohm", 1000, "kilohms|kohm|kohms|k\u03a9|kiloohm"),
    (("resistance",), "megohm", 1000000, "megohms|Mohm|Mohms|M\u03a9|megaohm|megaohms"),
    (("resistance",), "gigohm", 10**9, "gigohms|Gohm|G\u03a9|gigaohm|gigaohms"),
    (("voltage",), "V", 1, "volt|volts"),
    (("voltage",), "mV", "0.001", "millivolt|millivolts"),
    (("voltage",), "kV", 1000, "kilovolt|kilovolts"),
    (
        ("lfl",),
        "%LFL",
        "0.01",
        "% LFL|%LEL|% LEL|% of LFL|% of LEL|% of the LFL|% of the LEL|percent LFL|percent LEL",
    ),
    (("ratio", "volume-percent"), "%", "0.01", "percent|pct|per cent"),
    (
        ("volume-percent",),
        "% vol",
        "0.01",
        "%vol|% by volume|% by vol|vol %|vol%|vol.%|% v/v|percent by volume|% O2|%O2|% oxygen",
    ),
    (("ppm",), "ppm", "0.000001", "ppmv|ppm vol|ppm by volume|parts per million"),
    (
        ("count",),
        "",
        1,
        "layer|layers|lap|laps|turn|turns|pad|pads|bubble|bubbles|leak|leaks|time|times|way|ways|piece|pieces",
    ),
    (("wire-size",), "AWG", 1, "ga AWG|gauge AWG"),
    (("wire-size",), "kcmil", 1, "MCM"),
    (("wire-size",), "mm2", 1, "mm^2|sq mm|sq. mm|sqmm|square mm|square millimeters|square millimetres"),
    (("volume",), "ft3", _FOOT**3, "ft^3|cu ft|cu. ft|cuft|cubic ft|cubic foot|cubic feet|cf"),
    (("volume",), "L", "0.001", "l|liter|liters|litre|litres"),
    (("volume",), "m3", 1, "m^3|cu m|cubic meter|cubic meters|cubic metre|cubic metres"),
    (("flow",), "ft3/min", _FOOT**3 / 60, "cfm"),
    (("temperature", "temperature-difference"), "K", 1, "kelvin|kelvins"),
)

_SCALES = (
    Unit("degF", _TEMPERATURES, Fraction(5, 9), _KELVIN_AT_0_C - 32 * Fraction(5, 9)),
    Unit("degC", _TEMPERATURES, Fraction(1), _KELVIN_AT_0_C),
)
_LETTERS = {"degF": "fahrenheit", "degC": "celsius"}
AMBIGUOUS = {
    "mohm": "write megohm or milliohm",
    "mpa": "write MPa, kPa or Pa",
    "mv": "write mV for millivolt",
    "ga": "write AWG or mm2",
    "gauge": "write AWG or mm2 for wire, psig for pressure",
    "lfl": "write %LFL",
    "lel": "write %LEL",
}
"""Spellings that could be two units, with what to write instead."""

NUMBER = Unit("", ("ratio", "count"), Fraction(1))
"""A plain number."""


def _spellings() -> dict[str, Unit]:
    found: dict[str, Unit] = {}
    for kinds, name, factor, others in _TABLE:
        unit = Unit(name, kinds, Fraction(factor))
        said_so = (name, *filter(None, others.split("|")))
        found |= dict.fromkeys(said_so, unit)
        if kinds == ("voltage",):
            for way in ("ac", "dc"):
                led = Unit(f"{name} {way}", kinds, unit.factor, qualifier=way)
                found |= {f"{said}{gap}{way}": led for said in (name, *others.split("|")) for gap in ("", " ")}
    for scale in _SCALES:
        letter = scale.name[-1]
        for said in (f"deg{letter}", f"deg {letter}", f"\u00b0{letter}", f"\u00b0 {letter}", letter):
            found[said] = scale
        word = _LETTERS[scale.name]
        found |= dict.fromkeys((f"degrees {letter}", word, f"deg {word}", f"degrees {word}"), scale)
    found[""] = NUMBER
    return found


EXACT = _spellings()
"""Every spelling, as written here."""


def _caseless() -> dict[str, Unit]:
    """Spellings whose capitals do not matter: not single letters, nothing where m and M differ."""
    found = {}
    for said, unit in EXACT.items():
        folded = said.casefold()
        if (len(said) > 1 or said in "FC") and not folded.startswith(("mv", "mohm", "m\u03c9", "mpa")):
            found[folded] = unit
    return found


FOLDED = _caseless()
"""Spellings that may be written in any capitals."""

SPELLINGS = {said: unit.kinds for said, unit in FOLDED.items() if len(said) > 1}
"""Every spelling worth suggesting, with the kinds it fits."""

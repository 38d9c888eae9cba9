"""Every unit of the table against pint, which shares no code with it, and against published values."""

from fractions import Fraction
from typing import Any

import pint
import pytest

from ringcut.reading.kinds import KINDS
from ringcut.reading.refusals import KIND_WORDS, Refusal
from ringcut.reading.spellings import EXACT
from ringcut.reading.units import find_unit, kinds_of_unit, to_base

PINT_NAMES = {
    "in": "inch",
    "ft": "foot",
    "yd": "yard",
    "mile": "mile",
    "kft": "foot * 1000",
    "mil": "thou",
    "mm": "mm",
    "cm": "cm",
    "m": "m",
    "km": "km",
    "s": "s",
    "min": "minute",
    "h": "hour",
    "days": "day",
    "psi": "psi",
    "psig": "psi",
    "psia": "psi",
    "psid": "psi",
    "Pa": "Pa",
    "kPa": "kPa",
    "kPa gauge": "kPa",
    "kPa absolute": "kPa",
    "MPa": "MPa",
    "bar": "bar",
    "bar gauge": "bar",
    "bar absolute": "bar",
    "mbar": "mbar",
    "inHg": "inHg",
    "mmHg": "mmHg",
    "inH2O": "inch_H2O",
    "ftH2O": "ft_H2O",
    "atm": "atm",
    "ohm": "ohm",
    "milliohm": "milliohm",
    "kilohm": "kiloohm",
    "megohm": "megaohm",
    "gigohm": "gigaohm",
    "V": "V",
    "mV": "mV",
    "kV": "kV",
    "V ac": "V",
    "V dc": "V",
    "mV ac": "mV",
    "mV dc": "mV",
    "kV ac": "kV",
    "kV dc": "kV",
    "%": "percent",
    "% vol": "percent",
    "%LFL": "percent",
    "ppm": "ppm",
    "mm2": "mm ** 2 * 1000000",
    "ft3": "ft ** 3",
    "L": "liter",
    "m3": "m ** 3",
    "ft3/min": "ft ** 3 / minute",
    "K": "kelvin",
    "degF": "delta_degree_Fahrenheit",
    "degC": "delta_degree_Celsius",
}
JOINED = {
    "ohm/kft": "ohm / foot / 1000",
    "ohm/km": "ohm / km",
    "ohm/mile": "ohm / mile",
    "megohm-mile": "megaohm * mile",
    "megohm-km": "megaohm * km",
    "s/ft": "s / foot",
    "s/m": "s / m",
    "L/s": "liter / s",
    "m3/h": "m ** 3 / hour",
}
NO_SCALE = {"AWG", "kcmil", "o'clock", "deg", ""}


@pytest.fixture(scope="module")
def registry() -> Any:
    return pint.UnitRegistry(non_int_type=Fraction)


def size_by_pint(registry: Any, expression: str) -> Fraction:
    factor, names = Fraction(1), []
    for part in expression.replace("/ 1000", "* 0.001").split(" * "):
        try:
            factor *= Fraction(part)
        except ValueError:
            names.append(part)
    size, _ = registry.get_base_units(registry.parse_units(" * ".join(names)), check_nonmult=False)
    return factor * Fraction(size)


def test_no_unit_of_the_table_goes_unchecked() -> None:
    assert {unit.name for unit in EXACT.values()} == set(PINT_NAMES) | NO_SCALE


def test_every_kind_has_words() -> None:
    assert list(KIND_WORDS) == list(KINDS)


@pytest.mark.parametrize("unit", [*PINT_NAMES, *JOINED])
def test_size_agrees_with_pint(registry: Any, unit: str) -> None:
    found = find_unit(unit)
    assert found is not None
    # pint counts in metres, kilograms, seconds, amperes: our base too, but for mm2, scaled in its expression
    assert found.factor == size_by_pint(registry, (PINT_NAMES | JOINED)[unit])


@pytest.mark.parametrize(
    ("number", "unit", "kind", "value"),
    [
        # in = 25.4 mm, ft = 0.3048 m by definition (international yard, 1959)
        ("5", "in", "length", "0.127"),
        ("1", "ft", "length", "0.3048"),
        # degC = (degF - 32)/1.8
        ("68", "degF", "temperature", "293.15"),
        ("20", "degC", "temperature", "293.15"),
        ("-40", "degF", "temperature", "233.15"),
        ("-40", "degC", "temperature", "233.15"),
        ("18", "degF", "temperature-difference", "10"),
        ("3", "o'clock", "angle", "90"),
        ("12", "o'clock", "angle", "0"),
        ("10", "%LFL", "lfl", "0.1"),
        ("10", "%LEL", "lfl", "0.1"),
        ("30", "%", "ratio", "0.3"),
        ("25", "ppm", "ppm", "0.000025"),
        # ASTM B258: 6 AWG is 13.30 mm2, calc.; 4/0 AWG 107.2, 1/0 AWG 53.48, 250 kcmil 126.7 from memory
        ("6", "AWG", "wire-size", "13.30"),
        ("-3", "AWG", "wire-size", "107.2"),
        ("0", "AWG", "wire-size", "53.48"),
        ("13.3", "mm2", "wire-size", "13.3"),
        ("250", "kcmil", "wire-size", "126.7"),
    ],
)
def test_exact_values(number: str, unit: str, kind: str, value: str) -> None:
    assert to_base(Fraction(number), unit, kind) == Fraction(value)


def test_lengths_in_three_units_are_equal() -> None:
    lengths = {to_base(Fraction(n), u, "length") for n, u in (("5", "in"), ("127", "mm"), ("12.7", "cm"))}
    assert lengths == {Fraction(127, 1000)}


@pytest.mark.parametrize(
    ("number", "unit", "other", "size", "within"),
    [
        # psi = 6894.757293168 Pa or 2.3067 ft of water, 10 psi = 68.95 kPa, atmosphere 14.69595 psi
        ("1", "psi", "Pa", 6894.757293168, 1e-9),
        ("1", "psi", "ftH2O", 2.3067, 5e-5),
        ("10", "psi", "kPa", 68.95, 5e-3),
        ("1", "atm", "psi", 14.69595, 5e-6),
    ],
)
def test_published_pressures(number: str, unit: str, other: str, size: float, within: float) -> None:
    value, one = (to_base(Fraction(n), u, "pressure-difference") for n, u in ((number, unit), ("1", other)))
    assert isinstance(value, Fraction) and isinstance(one, Fraction)
    assert abs(float(value / one) - size) <= within


@pytest.mark.parametrize(
    ("unit", "kinds"),
    [
        ("in", ("length",)),
        ("psi", ("gauge-pressure", "absolute-pressure", "pressure-difference")),
        ("psig", ("gauge-pressure",)),
        ("psia", ("absolute-pressure",)),
        ("degF", ("temperature", "temperature-difference")),
        ("deg", ("angle", "turn")),
        ("o'clock", ("angle",)),
        ("%", ("ratio", "volume-percent")),
        ("%LFL", ("lfl",)),
        ("V ac", ("voltage",)),
        ("", ("ratio", "count")),
        ("gal", ("volume",)),
        ("lb", ()),
        ("splork", ()),
        ("mohm", ()),
    ],
)
def test_kinds_of_unit(unit: str, kinds: tuple[str, ...]) -> None:
    assert kinds_of_unit(unit) == kinds


@pytest.mark.parametrize(
    ("spelled", "name"),
    [
        ("inches", "in"),
        ("IN.", "in"),
        ("°F", "degF"),
        ("F", "degF"),
        ("℃", "degC"),
        ("MΩ", "megohm"),
        ("M\u2126", "megohm"),
        ("Mohm", "megohm"),
        ("mΩ", "milliohm"),
        ("PSI", "psi"),
        ("psi(g)", "psig"),
        ("in. of water", "inH2O"),
        ("ohms per 1000 ft", "ohm/kft"),
        ("ohm / km", "ohm/km"),
        ("megohm miles", "megohm-mile"),
        ("seconds per foot", "s/ft"),
        ("cfm", "ft3/min"),
        ("ft³", "ft3"),
        ("sq mm", "mm2"),
        ("MCM", "kcmil"),
        ("% of the LEL", "%LFL"),
        ("% by volume", "% vol"),
        ("VAC", "V ac"),
        ("volts dc", "V dc"),
        ("inchs", "in"),
    ],
)
def test_spellings(spelled: str, name: str) -> None:
    found = find_unit(spelled)
    assert found is not None
    assert found.name == name


@pytest.mark.parametrize("text", ["pin", "kin", "MV", "M", "12 in", "2*in", "in**9", "__import__", "rad", "dB", "a"])
def test_what_pint_would_read_and_the_trade_never_means(text: str) -> None:
    assert find_unit(text) is None


@pytest.mark.parametrize("unit", ["torr", "fathom", "gallon"])
def test_foreign_units_are_exact(registry: Any, unit: str) -> None:
    found = find_unit(unit)
    assert found is not None
    assert found.factor == size_by_pint(registry, unit)


@pytest.mark.parametrize(
    ("number", "unit", "kind"),
    [
        ("5", "in", "time"),
        ("5", "psia", "gauge-pressure"),
        ("5", "psig", "absolute-pressure"),
        ("5", "%", "lfl"),
        ("5", "", "length"),
        ("6.5", "AWG", "wire-size"),
        ("41", "AWG", "wire-size"),
        ("13", "o'clock", "angle"),
        ("0", "o'clock", "angle"),
        ("3", "o'clock", "turn"),
        ("5", "splork", "length"),
        ("5", "mohm", "resistance"),
        ("0", "kcmil", "wire-size"),
        ("5", "lb", "length"),
    ],
)
def test_refused(number: str, unit: str, kind: str) -> None:
    assert isinstance(to_base(Fraction(number), unit, kind), Refusal)

"""Measures as people write them, and what is read from each."""

from fractions import Fraction

import pytest

from ringcut.reading.measures import Measure, read_literal, read_measure, read_yes_no

INCH = Fraction(254, 10000)


def read(text: str, kind: str, *, plan: bool = False, unit: str = "") -> Measure:
    found = read_measure(text, kind, plan=plan, unit=unit)
    assert isinstance(found, Measure), found
    return found


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("5 in", "5"),
        ('5"', "5"),
        ("5-in", "5"),
        ("5.0in.", "5"),
        ("+5 in", "5"),
        (".5 in", "0.5"),
        ("5-1/2 in", "5.5"),
        ('5 1/2"', "5.5"),
        ("5½ in", "5.5"),
        ("5 ½ in", "5.5"),
        ("½ in", "0.5"),
        ("4-15/16 in", "4.9375"),
        ("-5-1/2 in", "-5.5"),
        ("\u22125 in", "-5"),
        ("2 ft 6 in", "30"),
        ("2'6\"", "30"),
        ("2'-6\"", "30"),
        ("2' 6-1/2\"", "30.5"),
        ("2\u20326\u2033", "30"),
        ("2\u2019 6\u201d", "30"),
        ("2'6''", "30"),
        ("-2 ft 6 in", "-30"),
        ("9'", "108"),
        ("127 mm", "5"),
        ("12.7 cm", "5"),
        ("5\u00a0in", "5"),
        ("5e0 in", "5"),
    ],
)
def test_lengths(text: str, inches: str) -> None:
    found = read(text, "length")
    assert found.low == found.high
    assert found.low == Fraction(inches) * INCH
    assert found.text == text


@pytest.mark.parametrize(
    ("text", "kind", "value", "unit"),
    [
        ("0 psi", "gauge-pressure", "0", "psi"),
        ("68 degF", "temperature", "293.15", "degF"),
        ("20 °C", "temperature", "293.15", "degC"),
        ("90 deg", "angle", "90", "deg"),
        ("90 deg", "turn", "90", "deg"),
        ("3:30", "angle", "105", "o'clock"),
        ("12:30", "angle", "15", "o'clock"),
        ("6 o'clock", "angle", "180", "o'clock"),
        ("6 o\u2019clock", "angle", "180", "o'clock"),
        ("12 o'clock", "angle", "0", "o'clock"),
        ("1 h 30 min", "time", "5400", "min"),
        ("1 hr 30 min", "time", "5400", "min"),
        ("3 days", "time", "259200", "days"),
        ("500 megohm", "resistance", "5e8", "megohm"),
        ("0.5 ohm", "resistance", "0.5", "ohm"),
        ("50 V ac", "voltage", "50", "V"),
        ("10 %LFL", "lfl", "0.1", "%LFL"),
        ("20.9 %", "volume-percent", "0.209", "%"),
        ("20.9 % vol", "volume-percent", "0.209", "% vol"),
        ("25 ppm", "ppm", "0.000025", "ppm"),
        ("50 %", "ratio", "0.5", "%"),
        ("0.5", "ratio", "0.5", ""),
        ("2", "count", "2", ""),
        ("2 layers", "count", "2", ""),
        ("none", "count", "0", ""),
        ("2 ways", "count", "2", ""),
        ("1 lap", "count", "1", ""),
        ("6 AWG", "wire-size", "13.3", "AWG"),
        ("#6 AWG", "wire-size", "13.3", "AWG"),
        ("No. 6 AWG", "wire-size", "13.3", "AWG"),
        ("#6", "wire-size", "13.3", "AWG"),
        ("13.3 mm²", "wire-size", "13.3", "mm2"),
        ("1/0 AWG", "wire-size", "53.48", "AWG"),
        ("00 AWG", "wire-size", "67.43", "AWG"),
        ("250 MCM", "wire-size", "126.7", "kcmil"),
        ("10 L", "volume", "0.01", "L"),
        ("60 cfm", "flow", "0.028316846592", "ft3/min"),
    ],
)
def test_kinds(text: str, kind: str, value: str, unit: str) -> None:
    found = read(text, kind)
    assert (found.low, found.high) == (Fraction(value), Fraction(value))
    assert found.unit == unit


def test_ac_and_dc_are_kept() -> None:
    assert [read(text, "voltage").qualifier for text in ("50 V ac", "60 VDC", "5 V")] == ["ac", "dc", ""]


@pytest.mark.parametrize(
    ("text", "kind", "low", "low_open", "high", "high_open"),
    [
        ("<1 %LFL", "lfl", "0", False, "0.01", True),
        ("<= 10 %LFL", "lfl", "0", False, "0.1", False),
        ("≤10 %LFL", "lfl", "0", False, "0.1", False),
        (">1000 megohm", "resistance", "1e9", True, None, False),
        ("≥ 1000 megohm", "resistance", "1e9", False, None, False),
        ("at least 5 in", "length", "0.127", False, None, False),
        ("under 5 kPa", "pressure-difference", None, False, "5000", True),
        ("<5 degC", "temperature", None, False, "278.15", True),
        ("5 to 6 in", "length", "0.127", False, "0.1524", False),
        ("5 in to 127 mm", "length", "0.127", False, "0.127", False),
        ("19.5 to 23.5 %", "volume-percent", "0.195", False, "0.235", False),
        ("6 to 4 AWG", "wire-size", "13.3", False, "21.15", False),
        ("4 to 6 AWG", "wire-size", "13.3", False, "21.15", False),
        (">= 6 AWG", "wire-size", "13.3", False, None, False),
        ("<= 0 in", "length", "0", False, "0", False),
    ],
)
def test_intervals(text: str, kind: str, low: str | None, low_open: bool, high: str | None, high_open: bool) -> None:
    found = read(text, kind)
    assert found.low == (None if low is None else Fraction(low))
    assert found.high == (None if high is None else Fraction(high))
    assert (found.low_open, found.high_open) == (low_open, high_open)


@pytest.mark.parametrize("text", ["5 in ± 1/4 in", "5 ± 1/4 in", "5 in +/- 1/4 in", "5±1/4 in", "5 in +- 6.35 mm"])
def test_tolerance_in_a_plan(text: str) -> None:
    found = read(text, "length", plan=True)
    assert (found.low, found.high) == (Fraction("4.75") * INCH, Fraction("5.25") * INCH)
    assert found.tolerance and found.uncertainty == 0


def test_tolerance_of_a_temperature_is_a_difference() -> None:
    found = read("20 degC ± 9 degF", "temperature", plan=True)
    assert (found.low, found.high) == (Fraction("288.15"), Fraction("298.15"))


def test_tolerance_of_a_gauge_pressure_may_repeat_its_unit() -> None:
    twice, once = (read(f"5 psig ± 1 {unit}", "gauge-pressure", plan=True) for unit in ("psig", "psi"))
    assert (twice.low, twice.high) == (once.low, once.high)
    assert twice.low is not None and twice.high is not None
    assert twice.high / twice.low == Fraction(6, 4)


@pytest.mark.parametrize("text", ["5 in u=0.05 in", "5 in, u = 0.05 in", "5 in (u=0.05 in)", "5 in u=1.27 mm"])
def test_uncertainty_in_a_log(text: str) -> None:
    found = read(text, "length")
    assert (found.low, found.high, found.uncertainty) == (5 * INCH, 5 * INCH, INCH / 20)
    assert not found.tolerance


def test_uncertainty_of_a_temperature_has_no_zero_point() -> None:
    assert read("68 degF u=1.8 degF", "temperature").uncertainty == 1


def test_heading_gives_the_unit_of_bare_numbers() -> None:
    assert read("5", "length", unit="in").low == 5 * INCH
    assert read("4-7/8", "length", unit="in").low == Fraction("4.875") * INCH
    assert read("<1", "lfl", unit="%LEL").high == Fraction(1, 100)
    assert read("5 u=0.1", "length", unit="in").uncertainty == INCH / 10
    assert read("50", "ratio", unit="%").low == Fraction(1, 2)
    assert read("6", "wire-size", unit="AWG").low == Fraction("13.3")


def test_a_unit_in_the_cell_beats_the_heading() -> None:
    assert read("12.7 cm", "length", unit="in").low == 5 * INCH


def test_none_at_all_is_the_same_in_percent_of_gas_and_of_lfl() -> None:
    assert read("0%", "lfl", unit="%LFL").low == 0
    assert not isinstance(read_measure("5%", "lfl", unit="%LFL"), Measure)


@pytest.mark.parametrize(
    ("text", "number", "unit"),
    [
        ("5-1/2 in", "5.5", "in"),
        ("2 ft 6 in", "30", "in"),
        ("6 o'clock", "6", "o'clock"),
        ("3:30", "3.5", "o'clock"),
        ("6 AWG", "6", "AWG"),
        ("1/0 AWG", "0", "AWG"),
        ("10 %LFL", "10", "%LFL"),
        ("0.1 psi", "0.1", "psi"),
        ("500 megohm-mile", "500", "megohm-mile"),
        ("5 s/ft", "5", "s/ft"),
        ("60 min", "60", "min"),
        ("30 %", "30", "%"),
        ("50 V ac", "50", "V ac"),
        ("2", "2", ""),
    ],
)
def test_literals(text: str, number: str, unit: str) -> None:
    assert read_literal(text) == (Fraction(number), unit)


def test_yes_and_no() -> None:
    said = ("yes", "Yes", " true ", "no", "FALSE", "y", "1", "")
    assert [read_yes_no(text) for text in said] == [True, True, True, False, False, None, None, None]

"""Values as the trade writes them, and that what is shown reads back."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringcut.reading.kinds import KINDS
from ringcut.reading.measures import Measure, read_measure, show, show_span, to_base
from ringcut.reading.spellings import SIGNED


def base(number: str, unit: str, kind: str) -> Fraction:
    value = to_base(Fraction(number), unit, kind)
    assert isinstance(value, Fraction)
    return value


@pytest.mark.parametrize(
    ("number", "unit", "kind", "shown"),
    [
        ("5.5", "in", "length", "5-1/2 in"),
        ("4.9375", "in", "length", "4-15/16 in"),
        ("0.25", "in", "length", "1/4 in"),
        ("-5.5", "in", "length", "-5-1/2 in"),
        ("0", "in", "length", "0 in"),
        ("2.05", "in", "length", "2.05 in"),
        ("4.997", "in", "length", "4.997 in"),
        ("1800", "ft", "length", "1800 ft"),
        ("127", "mm", "length", "127 mm"),
        ("60", "min", "time", "60 min"),
        ("90", "s", "time", "90 s"),
        ("5", "min", "time", "5 min"),
        ("24", "h", "time", "24 h"),
        ("3", "days", "time", "3 days"),
        ("1", "days", "time", "1 day"),
        ("0", "psi", "gauge-pressure", "0 psi"),
        ("0.1", "psi", "gauge-pressure", "0.1 psi"),
        ("14.7", "psia", "absolute-pressure", "14.7 psia"),
        ("105", "deg", "angle", "105 deg"),
        ("6", "o'clock", "angle", "6 o'clock"),
        ("3.5", "o'clock", "angle", "3:30"),
        ("12", "o'clock", "angle", "12 o'clock"),
        ("10", "%LFL", "lfl", "10 %LFL"),
        ("20.9", "%", "volume-percent", "20.9 %"),
        ("30", "%", "ratio", "30 %"),
        ("2", "", "count", "2"),
        ("6", "AWG", "wire-size", "6 AWG"),
        ("0", "AWG", "wire-size", "1/0 AWG"),
        ("-3", "AWG", "wire-size", "4/0 AWG"),
        ("20", "mm2", "wire-size", "20 mm2"),
        ("250", "kcmil", "wire-size", "250 kcmil"),
        ("500", "megohm", "resistance", "500 megohm"),
        ("1.133", "ohm", "resistance", "1.133 ohm"),
        ("500", "megohm-mile", "resistance-length", "500 megohm-mile"),
        ("5", "s/ft", "time-per-length", "5 s/ft"),
        ("68", "degF", "temperature", "68 degF"),
        ("20", "degC", "temperature", "20 degC"),
        ("50", "V ac", "voltage", "50 V ac"),
    ],
)
def test_shown_as_written(number: str, unit: str, kind: str, shown: str) -> None:
    assert show(base(number, unit, kind), kind, unit) == shown


TIMES = [("5", "s"), ("90", "s"), ("5", "min"), ("60", "min"), ("90", "min"), ("24", "h"), ("3", "days")]


def test_usual_units() -> None:
    said = [
        show(base("14", "in", "length"), "length"),
        show(base("1800", "ft", "length"), "length"),
        show(base("20", "degC", "temperature"), "temperature"),
        show(base("13.3", "mm2", "wire-size"), "wire-size"),
        show(base("666700", "kilohm", "resistance"), "resistance"),
        show(base("1", "atm", "absolute-pressure"), "absolute-pressure"),
        *(show(base(number, unit, "time"), "time") for number, unit in TIMES),
        show(base("5", "in", "length"), "length", "psi"),
    ]
    assert said == [
        "14 in",
        "1800 ft",
        "68 degF",
        "6 AWG",
        "666.7 megohm",
        "14.7 psia",
        *(f"{n} {u}" for n, u in TIMES),
        "5 in",
    ]


def test_repeating_decimals_are_rounded_to_three_digits_but_never_before_the_point() -> None:
    third = Fraction(1, 3)
    assert show(third, "count") == "0.333"
    assert show(1000 + third, "count") == "1000"
    assert show(2000000 + 2 * third, "count") == "2000001"
    assert show(-third / 1000, "count") == "-0.000333"


def test_resolution_rounds_first_and_decides_between_fractions_and_decimals() -> None:
    inch = Fraction("0.0254")
    assert show(Fraction("26.37") * inch, "length", "in", inch / 16) == "26-3/8 in"
    assert show(Fraction("2.248") * inch, "length", "in", inch / 20) == "2.25 in"
    assert show(Fraction("0.04") * 100, "count", "", Fraction(1)) == "4"


@pytest.mark.parametrize(
    ("low", "high", "low_open", "high_open", "unit", "kind", "said"),
    [
        ("0", "10", False, False, "%LFL", "lfl", "0 to 10 %LFL"),
        ("0", "1", False, True, "%LFL", "lfl", "under 1 %LFL"),
        ("5", None, False, False, "in", "length", "at least 5 in"),
        ("5", None, True, False, "in", "length", "over 5 in"),
        (None, "10", False, False, "psi", "gauge-pressure", "at most 10 psi"),
        (None, "10", False, True, "psi", "gauge-pressure", "under 10 psi"),
        ("0", "10", False, True, "psi", "gauge-pressure", "at least 0 psi, under 10 psi"),
        ("2", "2", False, False, "", "count", "exactly 2"),
        ("2", "4", False, False, "", "count", "2 to 4"),
        ("4.875", "5.25", False, False, "in", "length", "4-7/8 to 5-1/4 in"),
        ("5", "6", True, False, "in", "length", "over 5 in, at most 6 in"),
        ("6", "4", False, False, "AWG", "wire-size", "6 AWG to 4 AWG"),
        (None, None, False, False, "", "length", "any value"),
    ],
)
def test_spans(
    low: str | None, high: str | None, low_open: bool, high_open: bool, unit: str, kind: str, said: str
) -> None:
    ends = [None if end is None else base(end, unit, kind) for end in (low, high)]
    assert show_span(ends[0], ends[1], low_open, high_open, kind, unit) == said


GRIDS = {
    "length": [("in", Fraction(1, 64)), ("mm", Fraction(1)), ("ft", Fraction(1, 10))],
    "time": [("s", Fraction(1)), ("min", Fraction(1, 4)), ("h", Fraction(1, 4)), ("days", Fraction(1, 2))],
    "gauge-pressure": [("psi", Fraction(1, 10)), ("kPa", Fraction(1)), ("inH2O", Fraction(1, 10))],
    "absolute-pressure": [("psia", Fraction(1, 100)), ("inHg", Fraction(1, 100))],
    "pressure-difference": [("psi", Fraction(1, 100)), ("mbar", Fraction(1))],
    "temperature": [("degF", Fraction(1, 10)), ("degC", Fraction(1, 10)), ("K", Fraction(1, 100))],
    "temperature-difference": [("degF", Fraction(1, 10)), ("degC", Fraction(1, 10))],
    "angle": [("deg", Fraction(1, 2))],
    "turn": [("deg", Fraction(1, 2))],
    "resistance": [("ohm", Fraction(1, 1000)), ("megohm", Fraction(1, 10)), ("kilohm", Fraction(1))],
    "resistance-length": [("megohm-mile", Fraction(1)), ("megohm-km", Fraction(1))],
    "resistance-per-length": [("ohm/kft", Fraction(1, 1000)), ("ohm/km", Fraction(1, 1000))],
    "time-per-length": [("s/ft", Fraction(1, 10)), ("s/m", Fraction(1, 10))],
    "voltage": [("V", Fraction(1, 10)), ("mV", Fraction(1)), ("V dc", Fraction(1))],
    "lfl": [("%LFL", Fraction(1, 10))],
    "volume-percent": [("%", Fraction(1, 10)), ("% vol", Fraction(1, 10))],
    "ppm": [("ppm", Fraction(1, 10))],
    "ratio": [("%", Fraction(1, 10))],
    "count": [("", Fraction(1, 2))],
    "wire-size": [("mm2", Fraction(1, 10))],
    "flow": [("ft3/min", Fraction(1)), ("L/s", Fraction(1, 10))],
    "volume": [("ft3", Fraction(1, 10)), ("L", Fraction(1, 10))],
}


def test_every_kind_is_read_back() -> None:
    assert set(GRIDS) == set(KINDS)


@given(st.sampled_from(sorted(KINDS)), st.data())
def test_what_is_shown_reads_back(kind: str, data: st.DataObject) -> None:
    unit, step = data.draw(st.sampled_from(GRIDS[kind]))
    count = data.draw(st.integers(-9999 if kind in SIGNED else 0, 9999))
    value = to_base(count * step, unit, kind)
    assert isinstance(value, Fraction)
    found = read_measure(show(value, kind, unit), kind)
    assert isinstance(found, Measure), found
    assert found.low == found.high == value


@given(st.integers(-3, 40))
def test_wire_sizes_read_back(gauge: int) -> None:
    value = to_base(Fraction(gauge), "AWG", "wire-size")
    assert isinstance(value, Fraction)
    found = read_measure(show(value, "wire-size"), "wire-size")
    assert isinstance(found, Measure)
    assert found.low == value


@given(
    st.sampled_from(sorted(set(KINDS) - {"angle", "wire-size"})),
    st.sampled_from([">", ">=", "<", "<="]),
    st.integers(1, 9999),
    st.data(),
)
def test_one_sided_spans_read_back(kind: str, sign: str, count: int, data: st.DataObject) -> None:
    unit, step = data.draw(st.sampled_from(GRIDS[kind]))
    first = read_measure(f"{sign} {show_number(count * step)} {unit}", kind)
    assert isinstance(first, Measure), first
    said = show_span(first.low, first.high, first.low_open, first.high_open, kind, unit)
    second = read_measure(said, kind)
    assert isinstance(second, Measure), (said, second)
    ends = [(m.low, m.high, m.low_open, m.high_open) for m in (first, second)]
    assert ends[0] == ends[1]


def show_number(number: Fraction) -> str:
    """A fraction as people write it: 5, 1/2, 5-1/2."""
    whole, rest = divmod(number, 1)
    return f"{whole}-{rest}" if whole and rest else str(rest or whole)


@given(
    st.fractions(),
    st.sampled_from(sorted(KINDS)),
    st.sampled_from(["", "in", "o'clock", "AWG", "mm2", "splork"]),
)
def test_showing_never_fails(value: Fraction, kind: str, unit: str) -> None:
    assert show(value, kind, unit)
    assert show_span(value, value + 1, True, False, kind, unit)

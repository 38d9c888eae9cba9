"""Expressions over numbers from published examples: conformity with uncertainty, gas law, shields at 68 degF.

JCGM 106:2012 and JCGM 100:2008: values from memory, reproduced by calculation. 7 CFR 1755.403: calculated from the
clause as read. Gas law: calculated from the formula.
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from math import sqrt
from statistics import NormalDist

import pytest

from ringcut.language.expressions import typed, typed_number
from ringcut.language.ir import Rulebook
from ringcut.language.vocabulary import Words as Vocabulary
from ringcut.reading.measures import Refusal, read_measure
from ringcut.reading.phrase import Phrase
from ringcut.reading.problems import Problem
from ringcut.relations.conformity import Likely, percent, probability
from ringcut.relations.evaluate import between, compared, truth, value
from ringcut.relations.spans import Missing, Span, Value, Words, exactly, plus
from ringcut.relations.truth import FALSE, NO, UNKNOWN, YES, Cause, Level, Truth

F = Fraction
WORDS = """
facts:
  barometer: {kind: absolute-pressure, unit: psi}
steps:
  hold: {says: a hold test, readings: {
    first: {kind: gauge-pressure, unit: psi}, last: {kind: gauge-pressure, unit: psi},
    warm: {kind: temperature, unit: degF}, cold: {kind: temperature, unit: degF}}}
  shield: {says: a shield, readings: {
    ohms: {kind: resistance, unit: ohm}, heat: {kind: temperature, unit: degF}, type: {choices: [A, C, E]}}}
"""


class Place:
    """An environment with the values that a test gives; what is not given is missing."""

    sides: tuple[str, ...] = ("A", "B")
    level = F(95, 100)

    def __init__(self, **values: Value) -> None:
        self.values = values

    def fact(self, name: str, side: str) -> Value:
        return self.values.get(name, Missing(Cause("fact", name)))

    def reading(self, step: str, name: str, side: str) -> Value:
        return self.values.get(f"{name}_{side}", self.values.get(name, Missing(Cause("reading", name))))

    def condition(self, name: str, side: str) -> Truth:
        return FALSE

    def cell(self, table: str, keys: tuple[Value, ...], column: str) -> Value:
        return Missing(Cause("table", table))


def read(text: str, kind: str) -> Span:
    found = read_measure(text, kind)
    assert not isinstance(found, Refusal), found
    terms = (("x", found.uncertainty),) if found.uncertainty else ()
    return Span(found.low, found.high, found.low_open, found.high_open, terms=terms)


@pytest.fixture(scope="module")
def words(compiled: Callable[[str, str], Rulebook]) -> Vocabulary:
    book = compiled(WORDS, "  []")
    return Vocabulary(book.facts, {}, book.steps, {}, {}, {}, {}, {}, {})


def number(words: Vocabulary, text: str, place: Place) -> Fraction:
    problems: list[Problem] = []
    found = typed_number(Phrase(text), words.scope(), problems)
    assert found and not problems, problems
    result = value(found[0], place)
    assert isinstance(result, Span) and result.exact and result.low is not None
    return result.low


def level(words: Vocabulary, text: str, place: Place) -> int:
    problems: list[Problem] = []
    node = typed(Phrase(text), words.scope(), problems)
    assert node is not None, problems
    return truth(node, place).level


def measured(y: str, u: str) -> Span:
    return Span(F(y), F(y), terms=(("y", F(u)),))


@pytest.mark.parametrize(
    ("op", "y", "u", "limit", "expected"),
    [
        ("<=", "-5.47", "0.05", "-5.40", 0.9192),  # 7.3.3, example 1
        (">=", "509.7", "8.6", "490", 0.9890),  # 7.3.3, example 2
    ],
)
def test_probability_of_conformity_to_one_limit(op: str, y: str, u: str, limit: str, expected: float) -> None:
    gap = plus(measured(y, u), exactly(-F(limit)))
    assert probability(op, gap) == pytest.approx((expected, expected), abs=5e-5)


def test_two_limits_are_one_interval() -> None:
    """JCGM 106:2012, 7.4: 13.6 with u 1.8, 12.5 to 16.3: the probability between both, 0.6626."""
    found = between("<=", exactly(F("12.5")), measured("13.6", "1.8"), "<=", exactly(F("16.3")), F(95, 100))
    assert found.level == UNKNOWN
    assert "66%" in found.causes[0].what


def test_two_limits_that_each_nearly_hold_do_not_hold_together() -> None:
    """3 % lost at each end is 94 % within: not shown, although each limit alone is."""
    y = measured("0", "1")
    low, high = exactly(F("-1.88")), exactly(F("1.88"))
    assert compared("<=", low, y).level == YES and compared("<=", y, high).level == YES
    assert between("<=", low, y, "<=", high, F(95, 100)).level == UNKNOWN
    assert between("<=", low, y, "<=", exactly(F(3)), F(95, 100)).level == YES
    assert between("<=", exactly(F(3)), y, "<=", exactly(F(4)), F(95, 100)).level == NO


@pytest.mark.parametrize(("speed", "expected"), [("106.5", UNKNOWN), ("106.7", NO)])
def test_guarded_rejection(speed: str, expected: int) -> None:
    """JCGM 106:2012: limit 100 km/h, u 2 % of the reading, 99.9 %: rejected from about 106.6 km/h."""
    y = measured(speed, str(F(speed) / 50))
    assert compared("<=", y, exactly(F(100)), F(999, 1000)).level == expected


def test_between_acceptance_and_rejection_neither_is_shown() -> None:
    """ISO 14253-1, default 95 % (from memory): 1.645 u on either side of the limit."""
    levels = [compared("<=", measured(y, "1"), exactly(F(0))).level for y in ("-1.65", "-1.64", "1.64", "1.65")]
    assert levels == [YES, UNKNOWN, UNKNOWN, NO]


def test_uncertainties_of_several_readings_add_in_squares() -> None:
    """JCGM 100:2008, H.1: 25, 9.7, 2.9 and 16.6 nm give 32 nm (31.67)."""
    total = exactly(F(0))
    for name, u in enumerate(("25", "9.7", "2.9", "16.6")):
        total = plus(total, Span(F(0), F(0), terms=((str(name), F(u)),)))
    assert sqrt(sum(float(u) ** 2 for _, u in total.terms)) == pytest.approx(31.67, abs=0.005)


@pytest.mark.parametrize(
    ("middle", "u", "likely", "expected"),
    [
        # within 0.3 of 1: one limit alone would say 95.2 %, both say 2 x 0.9522 - 1 = 90.4 %
        ("1", "0.18", "90%", UNKNOWN),
        ("1", "0.15", "95%", YES),
        ("1.2", "0.05", "98%", YES),
        ("0.69", "0.05", "42%", UNKNOWN),
        ("1.4", "0.05", "2%", NO),
        ("1", "2", "12%", UNKNOWN),
    ],
)
def test_a_size_has_two_limits(words: Vocabulary, middle: str, u: str, likely: str, expected: Level) -> None:
    """JCGM 106:2012, 7.4; symptom: of a shield within 30 % of the table only the nearer limit was counted."""
    normal = NormalDist(float(F(middle)), float(F(u)))
    inside = normal.cdf(1.3) - normal.cdf(0.7)
    shown = percent(Likely(inside, inside), F(95, 100))
    assert shown == likely
    for rule, wanted in (
        ("abs(shield.ohms - 1 ohm) <= 0.3 ohm", expected),
        ("0.3 ohm > abs(1 ohm - shield.ohms)", expected),
        ("abs(shield.ohms - 1 ohm) > 0.3 ohm", {YES: NO, NO: YES, UNKNOWN: UNKNOWN}[expected]),
    ):
        assert level(words, rule, Place(ohms=measured(middle, u))) == wanted


@pytest.mark.parametrize(
    ("first", "last", "expected"), [("5.1", "5.2", UNKNOWN), ("5.2", "5.3", YES), ("4", "4.8", NO)]
)
def test_a_range_beside_an_uncertainty_is_taken_at_its_edges(first: str, last: str, expected: Level) -> None:
    """Symptom: the middle of the range was taken as if it were the value."""
    total = plus(measured("0", "0.1"), Span(F(first), F(last)))
    assert compared(">=", total, exactly(F(5))).level == expected
    assert compared("<", total, exactly(F(5))).level == {YES: NO, NO: YES, UNKNOWN: UNKNOWN}[expected]
    unbounded = plus(measured("0", "0.1"), Span(F(last), None))
    assert compared(">=", unbounded, exactly(F(5))).level == {YES: YES, UNKNOWN: YES, NO: UNKNOWN}[expected]


@pytest.mark.parametrize(
    ("chance", "shown"),
    [
        (0.84134, "84%"), (0.9499, "94.99%"), (0.9496, "94.96%"), (0.95, "95%"), (0.0499, "4.99%"), (0.0501, "5%"),
        (0.0, "under 1%"), (0.999, "over 99%"), (0.5, "50%"),
    ],
)  # fmt: skip
def test_a_probability_is_shown_on_its_side_of_the_level(chance: float, shown: str) -> None:
    """Symptom: "cannot say: probability of conformity 95%", where 95 % is enough."""
    assert percent(Likely(chance, chance), F(95, 100)) == shown


def test_one_reading_used_twice_is_one_uncertainty() -> None:
    y = measured("5", "1")
    assert dict(plus(y, y).terms) == {"y": 2}
    assert compared("<=", plus(y, Span(F(-5), F(-5), terms=(("y", F(-1)),))), exactly(F(0))).level == YES


def hold(first: str, last: str, warm: str, cold: str) -> Place:
    temperatures = {"warm": read(warm, "temperature"), "cold": read(cold, "temperature")}
    pressures = {"first": read(first, "gauge-pressure"), "last": read(last, "gauge-pressure")}
    return Place(barometer=read("14.696 psia", "absolute-pressure"), **temperatures, **pressures)


EXPECTED = "absolute(hold.first) * absolute(hold.cold) / absolute(hold.warm)"
PSI = F("6894.757293168")


@pytest.mark.parametrize(("warm", "cold", "expected"), [("90 degF", "60 degF", 8.65), ("70 degF", "50 degF", 9.07)])
def test_gas_law(words: Vocabulary, warm: str, cold: str, expected: float) -> None:
    """p2g = (p1g + pa) (T2 / T1) - pa from 10 psi gauge; a fall of 1.35 psi over 30 degF is no leak."""
    found = number(words, EXPECTED, hold("10 psi", "0 psi", warm, cold)) / PSI - F("14.696")
    assert float(found) == pytest.approx(expected, abs=0.005)


@pytest.mark.parametrize(("last", "expected"), [("8.65 psi", YES), ("8.5 psi", NO)])
def test_a_hold_test_is_corrected_for_temperature(words: Vocabulary, last: str, expected: int) -> None:
    rule = f"{EXPECTED} - absolute(hold.last) <= 0.1 psi"
    assert level(words, rule, hold("10 psi", last, "90 degF", "60 degF")) == expected


def test_pressure_of_a_heated_can(words: Vocabulary) -> None:
    """OpenStax Chemistry, example 9.5: 360 kPa at 24 degC is 390 kPa at 50 degC (two figures)."""
    place = hold("0 psi", "0 psi", "24 °C", "50 °C")
    ratio = number(words, "absolute(hold.cold) / absolute(hold.warm)", place)
    assert float(360 * ratio) == pytest.approx(390, abs=5)


@pytest.mark.parametrize(
    ("ohms", "at_68", "over", "expected"), [("1.20 ohm", 1.133, 0.144, YES), ("1.45 ohm", 1.369, 0.383, NO)]
)
def test_shield_resistance_at_68(words: Vocabulary, ohms: str, at_68: float, over: float, expected: int) -> None:
    """7 CFR 1755.403(a)(5): 8-mil aluminum, 1,800 ft, 0.990 ohm expected; within 30 % it is continuous."""
    place = Place(ohms=read(ohms, "resistance"), heat=read("95 degF", "temperature"), type=Words(("C",)))
    corrected = number(words, "at-68(shield.ohms, shield.heat, shield.type)", place)
    assert float(corrected) == pytest.approx(at_68, abs=0.0005)
    assert float(corrected) / 0.990 - 1 == pytest.approx(over, abs=0.0006)
    rule = "at-68(shield.ohms, shield.heat, shield.type) <= 130 % * 0.990 ohm"
    assert level(words, rule, place) == expected


def test_missing_evidence_is_unknown(words: Vocabulary) -> None:
    place = Place(ohms=exactly(F(1)), heat=exactly(F(300)))
    assert level(words, "at-68(shield.ohms, shield.heat, shield.type) <= 1 ohm", place) == UNKNOWN
    assert level(words, "shield.ohms <= 1 ohm / (shield.ohms / 1 ohm - 1)", place) == UNKNOWN  # a division by zero


def test_without_a_barometer_absolute_pressure_is_unknown(words: Vocabulary) -> None:
    place = Place(first=read("10 psi", "gauge-pressure"))
    assert level(words, "absolute(hold.first) >= 20 psia", place) == UNKNOWN


def test_each_side_for_itself_and_joined(words: Vocabulary) -> None:
    place = Place(ohms_A=exactly(F(1)), ohms_B=exactly(F(3)))
    names = ("both", "least", "greatest")
    assert [number(words, f"{name}(shield.ohms)", place) for name in names] == [4, 1, 3]
    assert number(words, "max(2 ohm, least(shield.ohms), abs(-1 * both(shield.ohms)))", place) == 4

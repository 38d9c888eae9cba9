"""What an expression may say, and what it may not: each refusal at its column, in words that help."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

import pytest

from ringcut.language import nodes as n
from ringcut.language.expressions import Scope, typed, typed_number
from ringcut.language.ir import Rulebook
from ringcut.language.vocabulary import Words
from ringcut.reading.phrase import Phrase
from ringcut.reading.problems import Place, Problem, Unreadable

WORDS = """
facts:
  pressurized: {kind: yes-no}
  barometer: {kind: absolute-pressure}
  work: {choices: [opening, repair]}
  special: {list: [band, long-repair]}
  hole: {kind: length, unit: in}
  a: {kind: length}
  b: {kind: length}
conditions: {safe: {says: safe}, dry: {says: dry}}
quantities:
  taped: {means: hole + both(tape.overlap)}
values: {share: 30 %}
steps:
  tape: {says: tape, readings: {overlap: {kind: length, per: side}, layers: {kind: count}, lap: {choices: [none, half]},
    on: {kind: yes-no}}}
  air: {says: air, readings: {gas: {kind: lfl}, oxygen: {kind: volume-percent}, part: {kind: ratio}, co: {kind: ppm}}}
  press: {says: pressure, readings: {p1: {kind: gauge-pressure}, p2: {kind: gauge-pressure},
    pa: {kind: absolute-pressure}, t1: {kind: temperature}, t2: {kind: temperature},
    dt: {kind: temperature-difference}}}
  bar: {says: bar, readings: {angle: {kind: angle}, other: {kind: angle}, size: {kind: wire-size},
    ohms: {kind: resistance}, rate: {kind: time-per-length}, time: {kind: time}, insulation: {kind: resistance-length}}}
"""


@pytest.fixture(scope="module")
def scope(compiled: Callable[[str, str], Rulebook]) -> Scope:
    book = compiled(WORDS, "  []")
    words = Words(book.facts, book.conditions, book.steps, {}, {}, {}, book.values, {}, {})
    found = words.scope(conditions=True)
    found.quantities = {"taped": lambda: (book.quantities["taped"], "length")}
    return found


def problem(scope: Scope, text: str) -> Problem | None:
    problems: list[Problem] = []
    typed(Phrase(text, Place("rules.yaml", 7, 20)), scope, problems)
    assert len(problems) <= 1
    return problems[0] if problems else None


GOOD = [
    "safe",
    "not safe or dry and pressurized",
    "always",
    "if pressurized then safe",
    "(safe or dry) and not (safe and dry)",
    "work is opening",
    "work is not one of [opening, repair]",
    "work in [Opening]",
    "special has band",
    "special has long-repair",
    "tape.lap is half",
    "tape.on",
    "tape.on is no",
    "hole >= 5 in",
    "hole >= 5-1/2 in",
    "hole >= 2 ft 6 in",
    "hole > 127 mm",
    "0 in < hole <= 12 in",
    "hole - 1 in >= 2 in",
    "a - b >= 1 in",
    "taped >= hole + 1 in",
    "hole * 2 >= 10 in",
    "2 * hole >= 10 in",
    "hole / b >= 2",
    "hole / b >= 30 %",
    "tape.overlap >= 3/4 in",
    "tape.layers >= 2",
    "min(a, b) >= 1 in",
    "max(a, 2 in, b) >= 1 in",
    "abs(a - b) <= 1/2 in",
    "both(tape.overlap) >= 1 in",
    "least(tape.overlap) >= 1 in",
    "air.gas <= 10 %LFL",
    "air.gas <= 10 %LEL",
    "19.5 % <= air.oxygen <= 23.5 %",
    "air.part >= 30 %",
    "air.part <= share",
    "air.part <= 0.3",
    "air.co <= 35 ppm",
    "press.p1 <= 10 psi",
    "press.p1 - press.p2 <= 1 psi",
    "press.p1 - (press.p1 - press.p2) >= 0 psi",
    "press.pa >= 14 psia",
    "absolute(press.p1) > press.pa",
    "absolute(press.p1) / press.pa >= 0.9",
    "press.t1 <= 68 degF",
    "press.t1 - press.t2 <= 5 degF",
    "press.t1 <= press.t2 + 20 degF",
    "press.dt <= 2 degF",
    "absolute(press.t1) / absolute(press.t2) <= 1.1",
    "press.t1 - press.t2 + 2 degF <= 20 degF",
    "angle-between(bar.angle, bar.other) >= 90 deg",
    "angle-between(bar.angle, 6 o'clock) >= 90 deg",
    "bar.size >= 6 AWG",
    "bar.size >= 13.3 mm2",
    "bar.time >= 5 s/ft * hole",
    "bar.time / hole >= 5 s/ft",
    "bar.rate <= 10 s/ft",
    "bar.insulation >= 500 megohm-mile",
    "bar.ohms * hole >= 500 megohm-mile",
    "bar.ohms <= 130 % * 0.99 ohm",
    "at-68(bar.ohms, press.t1, work) <= 1 ohm",
]


@pytest.mark.parametrize("text", GOOD)
def test_a_good_probe(scope: Scope, text: str) -> None:
    assert problem(scope, text) is None


REFUSED = [
    # text, column, part of what is said
    # minus has a blank on both sides: a-b is one name
    ("a-b >= 1 in", 1, "a - b"),
    ("hole >= 5 - 1/2 in", 11, "length"),  # a subtraction of inches from a count
    ("a -b >= 1 in", 3, "-b"),
    # unknown names
    ("holle >= 5 in", 1, "hole"),
    ("tape.overlab >= 1 in", 1, "overlap"),
    ("tap.overlap >= 1 in", 1, "tape"),
    ("saef", 1, "safe"),
    ("lenght(a) >= 1 in", 1, "no function"),
    ("work is openning", 9, "opening"),
    ("special has bnad", 13, "band"),
    # a yes or no where a measure is needed, and the other way round
    ("hole", 1, "yes or no"),
    ("safe >= 1", 1, "condition"),
    ("hole and safe", 1, "yes or no"),
    ("work", 1, "yes or no"),
    ("5 in", 1, "yes or no"),
    ("pressurized = yes", 1, "pressurized is yes"),
    ("work = opening", 1, "work is opening"),
    ("special = band", 1, "special has band"),
    ("hole is 5 in", 1, "="),
    ("hole has band", 1, "list"),
    ("work has opening", 1, "list"),
    # chains run one way
    ("12 in > hole > 5 in", 14, "<"),
    ("5 in < hole >= 3 in", 13, "<"),
    # units and kinds
    ("hole >= 5", 9, "5 what?"),
    ("hole >= 5 psi", 9, "pressure"),
    ("tape.layers >= 2 in", 1, "length"),
    ("hole >= tape.layers", 1, "count"),
    ("hole + tape.layers >= 5 in", 6, "count"),
    ("hole >= bar.ohms", 1, "resistance"),
    ("5 >= 4 in", 1, "count"),
    ("5 degF + 3 degF <= press.t1 - press.t2", 8, "one literal"),
    # gauge pressure
    ("press.p1 >= press.pa", 1, "absolute"),
    ("press.p1 >= 24 psia", 13, "absolute"),
    ("press.p1 - press.pa >= 0 psi", 10, "absolute"),
    ("press.p1 * 2 >= 1 psi", 10, "multiplied"),
    ("press.p1 / press.p2 >= 1", 10, "divided"),
    ("press.p1 + press.p2 >= 1 psi", 10, "added"),
    ("absolute(hole) >= 1 in", 1, "gauge pressure"),
    # temperature
    ("press.t1 + press.t2 >= 5 degF", 10, "added"),
    ("press.t1 * 2 >= 5 degF", 10, "multiplied"),
    ("2 * press.t1 >= 5 degF", 3, "multiplied"),
    ("press.t1 / press.t2 >= 1", 10, "absolute"),
    ("press.dt >= press.t1", 1, "temperature"),
    # positions around the cable
    ("bar.angle - bar.other >= 90 deg", 11, "angle-between"),
    ("bar.angle + 90 deg >= bar.other", 11, "angle"),
    ("bar.angle >= bar.other", 1, "angle-between"),
    ("bar.angle >= 90 deg", 1, "angle-between"),
    ("angle-between(bar.angle, hole) >= 90 deg", 1, "angle"),
    # per cent
    ("air.gas <= 10 %", 12, "%"),
    ("air.gas <= air.oxygen", 1, "volume percent"),
    ("air.part <= air.gas", 1, "lfl"),
    ("air.oxygen >= 10 %LFL", 15, "lfl"),
    ("air.co <= 10 %", 11, "%"),
    # wire sizes
    ("bar.size >= 6", 13, "6 what?"),
    ("bar.size + 1 AWG >= 6 AWG", 10, "wire size"),
    ("bar.size * 2 >= 6 AWG", 10, "wire size"),
    ("2 * bar.size >= 6 AWG", 3, "wire size"),
    # syntax
    ("hole >=", 8, "end"),
    ("hole >= 5 in)", 13, ")"),
    ("hole => 5 in", 7, ">"),
    ("", 1, "end"),
    ("hole >= 5 in and", 17, "end"),
    ("work is one of []", 17, "]"),
    ("hole >= 5 inn", 11, "inn"),
    ("known(hole)", 1, "known"),
    ("min(a) >= 1 in", 1, "arguments"),
    ("min(a, tape.layers) >= 1 in", 1, "count"),
    ("if pressurized then if safe then", 33, "end"),
]


@pytest.mark.parametrize(("text", "column", "said"), REFUSED)
def test_a_bad_probe(scope: Scope, text: str, column: int, said: str) -> None:
    found = problem(scope, text)
    assert found is not None, "it was taken"
    assert said in f"{found.found} | {found.expected} | {found.hint}"
    assert (found.place.file, found.place.line) == ("rules.yaml", 7)
    assert found.place.column == 19 + column, f"{found.place.column - 19}: {found}"


def number(scope: Scope, text: str) -> tuple[n.Node, str]:
    problems: list[Problem] = []
    found = typed_number(Phrase(text), scope, problems)
    assert found is not None, problems
    return found


def test_a_literal_takes_the_kind_of_its_neighbour(scope: Scope) -> None:
    def constant(text: str) -> n.Const:
        problems: list[Problem] = []
        node = typed(Phrase(text), scope, problems)
        assert isinstance(node, n.Compare) and isinstance(node.right, n.Const), problems
        return node.right

    assert constant("air.part >= 30 %") == n.Const(Fraction(3, 10), "ratio", "%")
    assert constant("air.oxygen >= 19.5 %").kind == "volume-percent"
    assert constant("press.p1 >= 0 psi").kind == "gauge-pressure"
    assert constant("press.t1 - press.t2 <= 18 degF") == n.Const(Fraction(10), "temperature-difference", "degF")
    assert constant("press.t1 <= 32 degF").value == Fraction(27315, 100)
    assert constant("hole >= 5 in").value == Fraction(127, 1000)


def test_if_then_is_an_implication_and_a_chain_is_both(scope: Scope) -> None:
    problems: list[Problem] = []
    implied = typed(Phrase("if safe then dry"), scope, problems)
    assert implied == n.Or((n.Not(n.Condition("safe")), n.Condition("dry")))
    chain = typed(Phrase("1 in <= hole < 2 in"), scope, problems)
    assert isinstance(chain, n.And) and len(chain.items) == 2


def test_kinds_of_results(scope: Scope) -> None:
    kinds = {
        "hole * b / a": "length", "hole / b": "ratio", "press.p1 - press.p2": "pressure-difference",
        "absolute(press.p1)": "absolute-pressure", "angle-between(bar.angle, bar.other)": "turn",
        "bar.time / hole": "time-per-length", "press.t1 + press.dt": "temperature",
    }  # fmt: skip
    assert {text: number(scope, text)[1] for text in kinds} == kinds


def test_absolute_pressure_needs_a_barometer(compiled: Callable[[str, str], Rulebook]) -> None:
    """Without the fact the check ended in a KeyError."""
    words = WORDS.replace("  barometer: {kind: absolute-pressure}\n", "")
    with pytest.raises(Unreadable, match="a fact barometer"):
        compiled(words, "  - {rule: it, says: s, class: minor, limit: absolute(press.p1) >= 14 psia}")


def test_a_value_with_two_kinds_is_an_error(compiled: Callable[[str, str], Rulebook]) -> None:
    limit = "press.p1 >= much and press.p1 - press.p2 >= much"
    rule = f"  - {{rule: it, says: s, class: minor, values: {{much: 5 psi}}, limit: {limit}}}"
    with pytest.raises(Unreadable, match="much is used as"):
        compiled(WORDS, rule)

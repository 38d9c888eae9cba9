"""Limits judged of uncertain readings: probabilities, and how many verdicts are expected to be wrong (JCGM 106)."""

from __future__ import annotations

import json
import math
import random
from collections.abc import Callable, Iterable
from fractions import Fraction
from statistics import NormalDist

import hypothesis.strategies as st
import msgspec
import pytest
from hypothesis import given

from ringcut.archive.results import Chance, LogReport
from ringcut.archive.summary import Risks, Tally
from ringcut.archive.uncertain import chances_of
from ringcut.judge.judge import judge_procedure
from ringcut.language.ir import Rulebook
from ringcut.reading.procedurefile import read_jsonl_line
from ringcut.relations.procedure import Procedure
from ringcut.relations.resolve import resolve

WORDS = """
steps:
  mark: {says: a mark, again: another, readings: {size: {kind: length, unit: in}, other: {kind: length, unit: in},
    volts: {kind: voltage, unit: V}, push: {kind: gauge-pressure, unit: psi}}}
"""
Compile = Callable[..., Rulebook]


def book_of(small_book: Compile, limit: str, level: str = "95/100") -> Rulebook:
    book = small_book(WORDS, f"  - {{rule: it, says: s, class: major, limit: {limit}}}")
    return msgspec.structs.replace(book, decision_level=Fraction(level))


def procedure_of(book: Rulebook, *readings: dict[str, str]) -> Procedure:
    log = {"procedure": "log", "job": {"reference": "J"}, "steps": [{"do": "mark", **each} for each in readings]}
    return resolve(read_jsonl_line(json.dumps(log).encode(), "l.jsonl", 1), book, [])


def chances(small_book: Compile, limit: str, *readings: dict[str, str], level: str = "95/100") -> list[Chance]:
    book = book_of(small_book, limit, level)
    return list(chances_of(procedure_of(book, *readings), book))


def summed(small_book: Compile, found: Iterable[Chance]) -> Risks:
    """The expected numbers of wrong verdicts over some limits, as an audit of many logs has them."""
    book = book_of(small_book, "mark.size > 0 in")
    report = judge_procedure(procedure_of(book, {"size": "1 in"}), book)
    fields = {name: getattr(report, name) for name in report.__struct_fields__}
    tally = Tally()
    for each in found:
        tally.add(LogReport(**fields, chances=(each,)))
    risk = tally.summary().risk
    assert risk is not None
    return risk


# JCGM 106:2012, values from memory and reproduced


@pytest.mark.parametrize(
    ("limit", "reading", "level", "verdict", "chance", "wrong"),
    [
        # 7.3.3 example 1: one upper limit, 0.92; accepted at 90 %, with a risk of 0.08
        ("mark.volts <= -5.40 V", {"volts": "-5.47 V u=0.05 V"}, "9/10", "conforms", 0.9192, (0.0808, 0)),
        ("mark.volts <= -5.40 V", {"volts": "-5.47 V u=0.05 V"}, "95/100", "undetermined", 0.9192, (0, 0)),
        # 7.3.3 example 2: one lower limit, 0.99 (490 kPa, y 509.7 kPa, u 8.6 kPa)
        ("mark.push >= 490 kPa", {"push": "509.7 kPa u=8.6 kPa"}, "95/100", "conforms", 0.9890, (0.0110, 0)),
        # 7.4: two limits, 0.66; lengths in place of viscosities
        ("12.5 in <= mark.size and mark.size <= 16.3 in", {"size": "13.6 in u=1.8 in"}, "95/100", "undetermined",
         0.6626, (0, 0)),
        # guarded rejection: over 100 beyond 99.9 % at 106.6, u 2 % of the reading; a wrong reject in a thousand
        ("mark.size <= 100 in", {"size": "106.586 in u=2.13172 in"}, "99/100", "nonconforming", 0.0010, (0, 0.0010)),
    ],
    ids=["upper", "upper at 95 %", "lower", "two limits", "guarded rejection"],
)  # fmt: skip
def test_published_examples(
    small_book: Compile, limit: str, reading: dict[str, str], level: str, verdict: str, chance: float,
    wrong: tuple[float, float],
) -> None:  # fmt: skip
    (found,) = chances(small_book, limit, reading, level=level)
    assert found.verdict == verdict
    assert found.chance == pytest.approx(chance, abs=5e-5)
    risk = summed(small_book, [found])
    assert (risk.wrong_accepts, risk.wrong_rejects) == pytest.approx(wrong, abs=5e-5)


def test_a_limit_without_an_uncertain_reading_is_not_among_them(small_book: Compile) -> None:
    assert chances(small_book, "mark.size >= 4 in", {"size": "5 in"}) == []
    assert chances(small_book, "mark.size >= 4 in", {"size": "5 in", "other": "1 in u=0.1 in"}) == []


def test_what_closures_share_is_counted_once_and_their_own_each(small_book: Compile) -> None:
    readings = [{"size": "4.1 in u=0.1 in", "closure": each} for each in ("N", "S", "S")]
    found = chances(small_book, "mark.size >= 4 in", *readings, {"size": "4.2 in u=0.1 in"})
    assert sorted(round(each.chance, 3) for each in found) == [0.841, 0.841, 0.841, 0.977]


# several parts, against an enumeration of a grid of true values


def density(y: float, u: float) -> list[tuple[float, float]]:
    """True values from -6 u to 6 u around a reading, each with its weight; the weights add up to one."""
    cells = 600
    normal = NormalDist(y, u)
    edges = [y + u * (12 * number / cells - 6) for number in range(cells + 1)]
    return [((low + high) / 2, normal.cdf(high) - normal.cdf(low)) for low, high in zip(edges, edges[1:], strict=False)]


LIMITS: dict[str, Callable[[float, float], bool]] = {
    "mark.size >= 4 in": lambda size, other: size >= 4,
    "mark.size + mark.other >= 8 in": lambda size, other: size + other >= 8,
    "mark.size >= 4 in and mark.other <= 6 in": lambda size, other: size >= 4 and other <= 6,
    "mark.size >= 4 in or mark.other <= 6 in": lambda size, other: size >= 4 or other <= 6,
    "not (mark.size >= 4 in and mark.other <= 6 in)": lambda size, other: not (size >= 4 and other <= 6),
    "3 in <= mark.size and mark.size <= 5 in": lambda size, other: 3 <= size <= 5,
}


@pytest.mark.parametrize("limit", LIMITS)
def test_chances_are_those_of_an_enumeration(small_book: Compile, limit: str) -> None:
    kept = LIMITS[limit]
    for size, other in ((4.1, 5.8), (3.95, 6.1)):
        found = chances(small_book, limit, {"size": f"{size} in u=0.15 in", "other": f"{other} in u=0.2 in"})
        wanted = sum(one * two for a, one in density(size, 0.15) for b, two in density(other, 0.2) if kept(a, b))
        assert [each.chance for each in found] == [pytest.approx(wanted, abs=6e-3)]


def test_a_part_that_fails_for_certain_leaves_nothing_to_chance(small_book: Compile) -> None:
    reading = {"size": "4.1 in u=0.2 in", "other": "7 in"}
    assert chances(small_book, "mark.size >= 4 in and mark.other <= 6 in", reading) == []


def test_one_reading_in_two_parts_is_not_counted_as_two(small_book: Compile) -> None:
    """Two limits of one value are one normal distribution; other parts that share a reading are left uncounted."""
    reading = {"size": "4.1 in u=0.1 in", "other": "4 in u=0.1 in"}
    assert chances(small_book, "mark.size >= 4 in and mark.size + mark.other >= 8 in", reading) == []


# many readings, against a simulation of the same model


def test_expected_numbers_are_met_by_a_simulation(small_book: Compile) -> None:
    """4,000 seeded readings; true values are drawn around each, and wrong verdicts counted, 200 times over."""
    chance = random.Random(106)
    readings = [(chance.uniform(4.2, 5.8), chance.choice([0.05, 0.1, 0.2])) for _ in range(4000)]
    book = book_of(small_book, "mark.size >= 5 in", "9/10")
    found = chances_of(procedure_of(book, *({"size": f"{y:.9f} in u={u} in"} for y, u in readings)), book)
    # limits come by row, and all rows of one line of JSON are its line: put beside the readings by their probability
    by_chance = sorted(found, key=lambda each: each.chance)
    by_margin = sorted(readings, key=lambda each: (each[0] - 5) / each[1])
    risk = summed(small_book, found)
    assert risk.accepted + risk.rejected + risk.undetermined == 4000
    accepts, rejects, turns = [], [], 200
    for _ in range(turns):
        true = [chance.gauss(y, u) for y, u in by_margin]
        pairs = list(zip(by_chance, true, strict=True))
        accepts.append(sum(each.verdict == "conforms" and value < 5 for each, value in pairs))
        rejects.append(sum(each.verdict == "nonconforming" and value >= 5 for each, value in pairs))
    for counted, expected in ((accepts, risk.wrong_accepts), (rejects, risk.wrong_rejects)):
        assert expected > 5
        assert sum(counted) / turns == pytest.approx(expected, abs=4 * math.sqrt(expected / turns))


VERDICTS = st.sampled_from(["conforms", "nonconforming", "undetermined"])
SOME = st.lists(st.builds(Chance, st.sampled_from("abc"), st.just("major"), st.just(1), st.just(""), VERDICTS,
                          st.floats(0, 1)), min_size=1, max_size=20)  # fmt: skip


@given(SOME, st.randoms())
def test_sums_do_not_hang_on_the_order_of_logs(small_book: Compile, found: list[Chance], order: random.Random) -> None:
    other = list(found)
    order.shuffle(other)
    risk = summed(small_book, found)
    assert risk == summed(small_book, other)
    assert risk.wrong_accepts == pytest.approx(
        math.fsum(1 - each.chance for each in found if each.verdict == "conforms"), abs=1e-6
    )
    assert risk.wrong_rejects == pytest.approx(
        math.fsum(each.chance for each in found if each.verdict == "nonconforming"), abs=1e-6
    )

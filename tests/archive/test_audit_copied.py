"""Readings that look copied, and those that only look alike because limits and instruments make them so."""

from __future__ import annotations

import random
from fractions import Fraction
from functools import cache
from pathlib import Path

import msgspec
import pytest

from ringcut.archive.copied import Copied, Copies
from ringcut.archive.odd import odd_readings, ways_of
from ringcut.archive.results import LogReport, Odd
from ringcut.archive.work import Bench, Piece, Settings
from ringcut.checking import read
from ringcut.language import ir
from ringcut.language.compile import compile_partly
from ringcut.language.sources import read_sources
from ringcut.rulebookfiles import builtin_rulebook

PLACES = (
    "read-pressure.gauge-pressure",
    "hold-test.start-pressure",
    "measure-insulation.resistance",
    "assemble-sleeve.bond-length A",
    "cool-closure.surface-temperature",
    "check-foreign-voltage.voltage",
)


@pytest.fixture(scope="module")
def blank(data: Path, compiled: Path) -> LogReport:
    bench = Bench(Settings(builtin_rulebook(), "2026-04-01", cache=compiled))
    report = bench.done(Piece(data / "own-form.csv", "own-form.csv")).items[0].report
    assert report is not None
    return report


def job(blank: LogReport, reference: str, crew: str) -> LogReport:
    changed: LogReport = msgspec.structs.replace(blank, reference=reference, crew=crew)
    return changed


def readings(digits: list[int]) -> list[Odd]:
    return [Odd(what, f"6.{digit} psi", 1, 8) for what, digit in zip(PLACES, digits, strict=True)]


def found(blank: LogReport, jobs: list[tuple[str, list[int]]]) -> tuple[Copied, ...]:
    copies = Copies()
    for number, (crew, digits) in enumerate(jobs):
        copies.add(job(blank, f"J-{number}", crew), readings(digits))
    return copies.found()


def test_the_same_six_odd_digits_on_two_jobs_of_a_crew_are_a_question(blank: LogReport) -> None:
    chance = random.Random(5)
    jobs = [("R", [chance.choice([1, 2, 3, 4, 6, 7, 8, 9]) for _ in PLACES]) for _ in range(10)]
    jobs[7] = jobs[2]
    (told,) = found(blank, jobs)
    assert told.jobs == ("J-2", "J-7")
    # 45 pairs of jobs, all six readings, last digits out of 8: 45 / 8**6
    assert told.chance == pytest.approx(45 / 8**6)
    assert "1 in 5,825" in told.says
    assert "Ask for" in told.says


def test_the_same_digits_at_another_crew_are_none(blank: LogReport) -> None:
    same = [1, 3, 7, 9, 2, 4]
    assert found(blank, [("R", same), ("S", same)]) == ()


def test_one_order_with_two_closures_may_share_its_readings(blank: LogReport) -> None:
    copies = Copies()
    for _ in range(2):
        copies.add(job(blank, "J-1", "R"), readings([1, 3, 7, 9, 2, 4]))
    assert copies.found() == ()


def test_readings_that_fall_as_they_may_are_hardly_ever_asked_about(blank: LogReport) -> None:
    """The chance that is told is an upper bound: of 40 honest crews with 25 jobs each none may be asked."""
    chance = random.Random(11)
    jobs = [(f"crew {n % 40}", [chance.choice([1, 2, 3, 4, 6, 7, 8, 9]) for _ in PLACES]) for n in range(1000)]
    assert found(blank, jobs) == ()


def test_what_every_other_crew_reads_too_is_usual(blank: LogReport) -> None:
    usual = [1, 3, 7, 9, 2, 4]
    assert found(blank, [(f"crew {n // 2}", usual) for n in range(60)]) == ()


INCH = Fraction(254, 10000)
LENGTH = ir.Word("bond-length", "length", unit="in")
PRESSURE = ir.Word("gauge-pressure", "gauge-pressure", unit="psi")
OXYGEN = ir.Word("oxygen", "volume-percent", unit="%")
GAS = ir.Word("combustible-gas", "lfl", unit="%LFL")


@pytest.mark.parametrize(
    ("value", "word", "ways"),
    [
        (Fraction(0), PRESSURE, 0),
        (Fraction(0), GAS, 0),
        (Fraction(209, 1000), OXYGEN, 0),
        (5 * INCH, LENGTH, 0),
        (Fraction(11, 2) * INCH, LENGTH, 0),
        (Fraction(21, 4) * INCH, LENGTH, 0),
        (Fraction(39, 8) * INCH, LENGTH, 4),
        (Fraction(83, 16) * INCH, LENGTH, 8),
    ],
)
def test_values_that_limits_and_instruments_make_usual_count_for_nothing(
    value: Fraction, word: ir.Word, ways: int
) -> None:
    assert ways_of(value, word) == ways


def test_a_decimal_counts_by_its_last_digit() -> None:
    from ringcut.reading.units import find_unit

    unit = find_unit("psi")
    assert unit is not None
    assert [ways_of(Fraction(text) * unit.factor, PRESSURE) for text in ("6.2", "6.0", "6.5", "10", "6.25")] == [
        8, 0, 0, 0, 0,
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("text", "unit", "ways"),
    [
        ("16.5", "cm", 0),  # half a centimetre is nominal, though 6.496 in is odd
        ("13", "cm", 0),
        ("12.7", "cm", 0),  # 5 in: the limit itself
        ("13.3", "cm", 8),
        ("165", "mm", 0),
        ("163", "mm", 8),
        ("0.38", "m", 0),
        ("5.3", "in", 8),
        ("41.4", "kPa", 8),
        ("41.5", "kPa", 0),
    ],
)
def test_what_is_odd_is_odd_in_the_unit_that_was_written(text: str, unit: str, ways: int) -> None:
    from ringcut.reading.units import find_unit

    scale = find_unit(unit)
    assert scale is not None
    word = PRESSURE if unit == "kPa" else LENGTH
    assert ways_of(Fraction(text) * scale.factor, word, unit) == ways


@cache
def words() -> ir.Rulebook:
    """The words of the base practice."""
    return compile_partly(read_sources(builtin_rulebook()), [])


def odd(steps: str) -> list[tuple[str, str, int]]:
    book = words()
    log = read(f"{{procedure: log, steps: [{steps}]}}".encode(), "log.yaml", book)
    return [(each.what, each.text, each.ways) for each in odd_readings(log, book)]


def test_readings_are_told_in_the_unit_of_the_crew() -> None:
    assert odd("{do: hold-test, start-pressure: 41.4 kPa, end-pressure: 41.5 kPa}") == [
        ("hold-test.start-pressure", "41.4 kPa", 8)
    ]
    assert odd("{do: scuff-lead, scuffed-length: {A: 16.5 cm, B: 16.3 cm}}") == [
        ("scuff-lead.scuffed-length B", "16.3 cm", 8)
    ]


def test_one_cell_for_both_sides_counts_once() -> None:
    assert odd("{do: scuff-lead, scuffed-length: 16.3 cm}") == [("scuff-lead.scuffed-length", "16.3 cm", 8)]
    apart = odd("{do: scuff-lead, scuffed-length: {A: 16.3 cm, B: 16.4 cm}}")
    assert [what for what, _, _ in apart] == ["scuff-lead.scuffed-length A", "scuff-lead.scuffed-length B"]


def test_a_value_that_follows_from_another_counts_once() -> None:
    cut = "{do: trim-sleeve, sleeve-length: 38.2 cm}, {do: trim-channel, channel-length: "
    assert odd(f"{cut}38.2 cm}}") == [("trim-sleeve.sleeve-length", "38.2 cm", 8)]
    assert len(odd(f"{cut}38.3 cm}}")) == 2


def test_jobs_beyond_what_is_held_are_counted_and_not_compared(
    blank: LogReport, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Memory does not grow with a million logs, and what was not looked at is known."""
    monkeypatch.setattr("ringcut.archive.copied.MOST_HELD", 3)
    copies = Copies()
    same = [1, 3, 7, 9, 2, 4]
    for number, digits in enumerate([[2] * 6, [3] * 6, same, same]):
        copies.add(job(blank, f"J-{number}", f"crew {number % 2}"), readings(digits))
    assert (copies.held, copies.passed_over, copies.found()) == (3, 1, ())

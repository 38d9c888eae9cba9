"""Readings that look copied, and those that only look alike because limits and instruments make them so."""

from __future__ import annotations

import random
from fractions import Fraction
from pathlib import Path

import msgspec
import pytest

from ringcut.archive.copied import Copied, Copies
from ringcut.archive.odd import ways_of
from ringcut.archive.results import LogReport, Odd
from ringcut.archive.work import Bench, Piece, Settings
from ringcut.language import ir
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

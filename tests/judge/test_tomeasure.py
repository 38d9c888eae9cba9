"""What a plan asks to be measured: each limit at the step where it is read, as the rulebook has it.

The numbers are common practice, no source, but for the air: 29 CFR 1910.146(b).
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from ringcut.checking import check, read
from ringcut.judge.judge import judge_procedure
from ringcut.language.compile import compile_rulebook
from ringcut.language.ir import Rulebook
from ringcut.language.sources import read_sources
from ringcut.rulebookfiles import builtin_rulebook

JOB = (
    "work: trouble-opening, sheath: lead, construction: single, core: paper, jacket: none, pressurized: yes, "
    "location: manhole, cable-diameter: 2 in, opening-length: 14 in"
)


@pytest.fixture(scope="module")
def book() -> Rulebook:
    return compile_rulebook(read_sources(builtin_rulebook()))


def asked(book: Rulebook, steps: str, job: str = JOB) -> dict[tuple[str, str], tuple[str, tuple[str, ...]]]:
    """(step, reading) -> when it conforms, and the rules."""
    text = f"{{procedure: plan, job: {{{job}}}, steps: [{steps}]}}"
    report = judge_procedure(read(text.encode(), "plan.yaml", book), book)
    return {(row.step, row.reading): (row.conforms_when, row.rules) for row in report.to_measure}


def words(book: Rulebook, steps: str, job: str = JOB) -> dict[tuple[str, str], str]:
    return {key: told for key, (told, _) in asked(book, steps, job).items()}


GUARDED = [
    (
        "check-foreign-voltage, open-sheath", "check-foreign-voltage voltage",
        "at most 50 V, or at most 60 V where current is dc",
    ),
    ("soap-test", "soap-test leaks", "0"),
    ("shrink-sleeve, inspect-sleeve", "inspect-sleeve result", "good"),
    ("clear-with-test-desk, wrap-muslin", "clear-with-test-desk clear", "yes"),
    ("cool-closure, move-cable", "cool-closure by-hand", "yes, or minutes or surface temperature instead"),
    ("cool-closure, move-cable", "cool-closure minutes", "at least 30 min, or by hand or surface temperature instead"),
    (
        "cool-closure, move-cable", "cool-closure surface-temperature",
        "at most 20 degF over ambient temperature, or by hand or minutes instead",
    ),
    ("test-atmosphere, enter-manhole", "test-atmosphere oxygen", "19.5 to 23.5 %"),
    ("test-atmosphere, enter-manhole", "test-atmosphere carbon-monoxide", "0 to 35 ppm"),
]  # fmt: skip


@pytest.mark.parametrize(("steps", "where", "told"), GUARDED)
def test_what_a_guard_wants_is_told_where_it_is_read(book: Rulebook, steps: str, where: str, told: str) -> None:
    step, reading = where.split()
    assert words(book, steps)[step, reading] == told


def test_the_rules_told_are_those_that_wait_for_the_reading(book: Rulebook) -> None:
    rules = asked(book, "test-atmosphere, enter-manhole")
    assert "gas-before-entry" in rules["test-atmosphere", "combustible-gas"][1]
    assert "gas-before-entry" not in rules["test-atmosphere", "oxygen"][1]


def test_a_guard_that_no_rule_of_this_job_waits_for_is_not_told(book: Rulebook) -> None:
    # two independent ways where another cable or any power cable is in reach
    steps = "identify-cable, open-sheath"
    assert ("identify-cable", "ways") not in words(book, steps, JOB + ", other-cables: no, joint-with-power: no")
    assert words(book, steps, JOB + ", other-cables: yes")["identify-cable", "ways"] == "at least 2"


def test_each_volume_asks_for_its_own_zero(book: Rulebook) -> None:
    job = JOB.replace(
        "trouble-opening, sheath: lead, construction: single",
        "inter-sheath-dam, sheath: polyethylene, construction: double",
    )
    told = words(book, "{do: confirm-zero, volume: outer}, ring-cut", job + ", two-volumes: yes")
    assert told["confirm-zero", "gauge-pressure"] == "at most 0 psi"


LIMITS = [
    # one open reading: solved for it, at 4 to 7 s/ft
    (
        "{do: flame-treat-inner-sheath, treated-length: 12 in}", "flame-treat-inner-sheath duration", "4 to 7 s",
    ),
    ("{do: flame-treat-inner-sheath, treated-length: 6 in}", "flame-treat-inner-sheath duration", "2 to 3.5 s"),
    # several: at the one that is read last
    ("measure-diameters", "measure-diameters smallest", "at most the largest"),
    (
        "restore-pressure, hold-test", "hold-test end-temperature",
        "In a hold test pressure falls by at most 0.1 psi when both readings are brought to one temperature",
    ),
]  # fmt: skip


@pytest.mark.parametrize(("steps", "where", "told"), LIMITS)
def test_what_a_limit_wants_is_solved_for_what_is_read(book: Rulebook, steps: str, where: str, told: str) -> None:
    step, reading = where.split()
    job = JOB.replace(
        "trouble-opening, sheath: lead, construction: single",
        "inter-sheath-dam, sheath: polyethylene, construction: double",
    )
    assert words(book, steps, job if "flame" in steps else JOB)[step, reading] == told


def test_a_limit_over_two_steps_is_told_at_the_later_one(book: Rulebook) -> None:
    told = asked(book, "read-pressure, restore-pressure, desk-reading", JOB + ", fed: yes")
    assert "back-at-baseline" in told["desk-reading", "gauge-pressure"][1]
    assert ("read-pressure", "gauge-pressure") not in told


def test_a_time_limit_against_a_broken_order_is_not_told(book: Rulebook) -> None:
    """ "At most 10 min after opening" beside "the bond comes before opening" sent people both ways."""
    late = words(book, "open-sheath, place-temporary-bond")
    assert ("place-temporary-bond", "time") not in late
    job = JOB.replace("sheath: lead", "sheath: polyethylene").replace("core: paper", "core: plastic")
    assert words(book, "open-sheath, place-temporary-bond", job)["place-temporary-bond", "time"].startswith(
        "at most 10 min"
    )


def test_nor_is_one_after_a_step_that_had_to_wait(book: Rulebook) -> None:
    """Out within 2 min of bad gas: not where somebody went in before the test."""
    assert ("test-atmosphere", "time") not in words(book, "open-manhole, enter-manhole, test-atmosphere")
    told = words(book, "open-manhole, {do: test-atmosphere, id: one}, enter-manhole, {do: test-atmosphere, id: two}")
    assert told["one", "combustible-gas"] == told["two", "combustible-gas"] == "0 to 10 %LFL"


@pytest.mark.parametrize(
    ("guard", "told"),
    [
        ("size > 0 in", "over 0 in"),  # where 0 is the least that can be read
        ("size <= 5 in and size < 5 in", "under 5 in"),
        ("size < 5 in and size <= 5 in", "under 5 in"),
        ("size >= 3 in and size > 3 in", "over 3 in"),
        ("size = 0 in", "0 in"),
        ("size != 3 in", "not 3 in"),
    ],
)
def test_a_number_that_does_not_conform_is_not_told_as_one_that_does(
    compiled: Callable[[str, str], Rulebook], guard: str, told: str
) -> None:
    """ "More than 0" was told as "at least 0"."""
    book = compiled(
        f"""
conditions:
  fits: {{says: it fits}}
steps:
  measure:
    {{says: measure, readings: {{size: {{kind: length, unit: in, possible: [0 in, 9 in]}}}}, sets: {{fits: "{guard}"}}}}
  close: {{says: close}}
""",
        "  - {rule: fits-first, says: measure first, class: minor, need: fits, before: close}",
    )
    report = check(b"{procedure: plan, steps: [measure, close]}", "plan.yaml", book)
    assert [each.conforms_when for each in report.to_measure] == [told]

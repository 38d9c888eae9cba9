"""Conditions come from readings: the five histories of the practice, as logs and as plans, by the built-in rules."""

from __future__ import annotations

import pytest

from ringcut.checking import read
from ringcut.judge.judge import judge_procedure
from ringcut.language.compile import compile_rulebook
from ringcut.language.ir import Rulebook
from ringcut.language.sources import read_sources
from ringcut.rulebookfiles import builtin_rulebook

OK, BAD, UNCLEAR = "conforms", "nonconforming", "undetermined"
JOB = (
    "work: trouble-opening, sheath: lead, construction: single, core: paper, jacket: none, pressurized: yes, "
    "location: manhole, cable-diameter: 2 in, opening-length: 14 in"
)
ENTRY, OPENING, SCUFFED = "gas-before-entry", "zero-before-opening", "lead-scuffed"


@pytest.fixture(scope="module")
def book() -> Rulebook:
    return compile_rulebook(read_sources(builtin_rulebook()))


def gas(percent: int) -> str:
    return f"{{do: test-atmosphere, combustible-gas: {percent} %LFL, oxygen: 20.9 %}}"


def zero(pressure: str) -> str:
    return f"{{do: confirm-zero, gauge-pressure: {pressure}}}"


CASES = [
    # 40 %LFL, ventilate, 0 %LFL, enter conforms; 40 %LFL, enter, 0 %LFL does not
    (ENTRY, f"log: {gas(40)}, ventilate, {gas(0)}, enter-manhole", OK),
    (ENTRY, f"log: {gas(40)}, enter-manhole, {gas(0)}", BAD),
    (ENTRY, f"log: {gas(0)}, {gas(40)}, enter-manhole", BAD),
    (ENTRY, f"log: {gas(10)}, enter-manhole", OK),  # the limit itself is not hazardous
    (ENTRY, f"log: {gas(11)}, enter-manhole", BAD),
    (ENTRY, "log: test-atmosphere, enter-manhole", UNCLEAR),
    (ENTRY, "plan: test-atmosphere, ventilate, test-atmosphere, enter-manhole", OK),
    (ENTRY, "plan: enter-manhole, test-atmosphere", BAD),
    (ENTRY, "plan: any-order: [test-atmosphere, enter-manhole]", BAD),
    # zero check 0.4 psi, bleed, 0 psi, open conforms; 0.4 psi, open, 0 psi does not
    (OPENING, f"log: {zero('0.4 psi')}, bleed-pressure, {zero('0 psi')}, open-sheath", OK),
    (OPENING, f"log: {zero('0.4 psi')}, open-sheath, {zero('0 psi')}", BAD),
    (OPENING, "log: bleed-pressure, open-sheath", BAD),  # only bled is not measured
    (OPENING, "log: confirm-zero, open-sheath", UNCLEAR),
    (OPENING, "plan: confirm-zero, bleed-pressure, confirm-zero, open-sheath", OK),
    (OPENING, "plan: open-sheath, confirm-zero", BAD),
    # scuff, sleeve, scuff another closure conforms
    (SCUFFED, "log: {do: scuff-lead, closure: x}, {do: preheat-lead, closure: x}, {do: scuff-lead, closure: y}", OK),
    (SCUFFED, "plan: {do: scuff-lead, closure: x}, {do: preheat-lead, closure: x}, {do: scuff-lead, closure: y}", OK),
    (SCUFFED, "plan: {do: scuff-lead, closure: x}, {do: preheat-lead, closure: y}", BAD),
]


@pytest.mark.parametrize(("rule", "told", "expected"), CASES)
def test_history(book: Rulebook, rule: str, told: str, expected: str) -> None:
    kind, steps = told.split(": ", 1)
    steps = f"{{{steps}}}" if steps.startswith("any-order") else steps
    text = f"{{procedure: {kind}, job: {{{JOB}}}, steps: [{steps}]}}"
    report = judge_procedure(read(text.encode(), "history.yaml", book), book, rules={rule})
    assert [each.verdict for each in report.rules] == [expected]


def test_what_the_plan_leaves_open_is_asked_for_on_the_card(book: Rulebook) -> None:
    text = f"{{procedure: plan, job: {{{JOB}}}, steps: [test-atmosphere, enter-manhole]}}"
    report = judge_procedure(read(text.encode(), "plan.yaml", book), book, rules={ENTRY})
    asked = {line.reading: line.conforms_when for line in report.to_measure}
    assert asked["combustible-gas"] == "0 to 10 %LFL"

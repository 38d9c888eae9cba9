"""The named looks at stamps, sides and units: what is a fault, what is a question, and what good crews do."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from ringcut.checking import check
from ringcut.judge.findings import Report
from ringcut.language.ir import Rulebook

OK, BAD, ASKED, NONE = "conforms", "nonconforming", "undetermined", "not applicable"
WORDS = """
conditions: {inside: {says: somebody is in, per: person}}
quantities: {total: {first-of: [tape.length, hole.length + tape.overlap]}}
steps:
  use: {says: a use, again: another}
  enter: {says: in, makes: [inside], again: another}
  leave: {says: out, ends: [inside], again: another}
  work: {says: work below, traits: [in-manhole], again: another}
  blow: {says: a blower, lasting: stop, again: another}
  stop: {says: the blower off, again: another}
  hole: {says: a hole, readings: {length: {kind: length, unit: in, resolution: 1/4 in}}}
  tape: {says: tape, readings: {length: {kind: length, unit: in, resolution: 1/8 in},
    overlap: {kind: length, unit: in, resolution: 1/8 in}}}
  press: {says: pressure, again: another, readings: {p: {kind: gauge-pressure, unit: psi, plausible: [0 psi, 15 psi]}}}
  measure: {says: a size, again: another, readings: {size: {kind: length, unit: in, plausible: [1 in, 10 in]}}}
"""
RULES = "\n".join(
    f"  - {{rule: {name}, says: s, class: minor, pattern: {name}}}"
    for name in (
        "times-all-equal", "times-against-list", "implausible-reading", "unit-mixed-up", "in-manhole-after-leaving",
        "measured-and-computed-disagree", "no-successor", "says-all-done", "copied-readings",
    )
)  # fmt: skip


@pytest.fixture(scope="module")
def book(compiled: Callable[[str, str], Rulebook]) -> Rulebook:
    return compiled(WORDS, RULES)


def at(time: str, step: str = "use", **keys: str) -> str:
    more = "".join(f", {key}: {value}" for key, value in keys.items())
    return f'{{do: {step}, at: "{time}"{more}}}'


def judged(book: Rulebook, steps: str, keys: str = "procedure: log") -> Report:
    return check(f"{{{keys}, steps: [{steps}]}}".encode(), "here.yaml", book)


CASES = [
    ("times-all-equal", ", ".join([at("9:10")] * 4), ASKED),
    ("times-all-equal", ", ".join([at("9:10")] * 2), NONE),  # 9:10 twice is no offence
    ("times-all-equal", ", ".join([at("9:10")] * 3 + [at("9:11")]), OK),
    ("times-against-list", f"{at('9:10')}, {at('9:05')}", BAD),
    ("times-against-list", f"{at('9:10')}, {at('9:10')}", OK),
    # two people's lists interleave
    ("times-against-list", f"{at('9:10', by='Ann')}, {at('9:05', by='Bob')}, {at('9:15', by='Ann')}", OK),
    ("times-against-list", f"{at('9:10', by='Ann')}, {at('9:05', by='Ann')}", BAD),
    # the end of what lasts has no row of its own
    ("times-against-list", f'{{do: blow, started: "9:00", at: "15:00"}}, {at("9:30")}', OK),
    ("in-manhole-after-leaving", "enter, work, leave", OK),
    ("in-manhole-after-leaving", "enter, leave, work", BAD),
    ("in-manhole-after-leaving", "enter, leave, enter, work", OK),
    ("in-manhole-after-leaving", "work", OK),  # nobody left
    ("implausible-reading", "{do: measure, size: 0.01 in}", ASKED),
    ("implausible-reading", "{do: measure, size: 10 in}", OK),
    ("unit-mixed-up", "{do: press, p: 42 psi}", ASKED),  # kPa
    ("unit-mixed-up", "{do: measure, size: 12.7 in}", ASKED),  # cm
    ("unit-mixed-up", "{do: press, p: 6.2 psi}", OK),
    ("measured-and-computed-disagree", "{do: hole, length: 14 in}, {do: tape, length: 15 in, overlap: 1 in}", OK),
    # the resolutions of all inputs add up: 1/8 + 1/4 + 1/8
    ("measured-and-computed-disagree", "{do: hole, length: 14 in}, {do: tape, length: 15-1/2 in, overlap: 1 in}", OK),
    (
        "measured-and-computed-disagree",
        "{do: hole, length: 14 in}, {do: tape, length: 15-5/8 in, overlap: 1 in}",
        ASKED,
    ),
    ("says-all-done", "{do: use, note: All steps per practice}", ASKED),
    ("says-all-done", "{do: use, note: all well}", OK),
]


@pytest.mark.parametrize(("look", "steps", "expected"), CASES)
def test_a_look(book: Rulebook, look: str, steps: str, expected: str) -> None:
    found = {each.rule: each.verdict for each in judged(book, steps).rules}[look]
    # a look that finds nothing has nothing to say, or says that it found nothing
    assert found in ((OK, NONE) if expected == OK else (expected,))


def test_times_against_the_list_are_one_finding_a_log(book: Rulebook) -> None:
    report = judged(book, ", ".join(at(time) for time in ("9:10", "9:05", "9:00", "8:50")))
    assert [finding.rule for finding in report.findings] == ["times-against-list"]
    assert "and 2 more" in report.findings[0].found


def test_rows_in_no_order_run_against_nothing(book: Rulebook) -> None:
    report = judged(book, f"{at('9:10')}, {at('9:05')}", "procedure: log, sorted: no")
    assert report.findings == ()


def test_the_likelier_unit_is_named(book: Rulebook) -> None:
    finding = judged(book, "{do: press, p: 42 psi}").findings[0]
    assert "42 psi" in finding.found and "kPa" in finding.found


@pytest.mark.parametrize(
    ("steps", "lost"),
    [
        ("{do: use, id: one}, {do: use, id: two}, {do: use, id: three, after: [one]}", ["two"]),
        ("{do: use, id: one}, {do: use, id: two}, {do: use, id: three, after: [two]}", []),
        ("{do: use, id: one}, {do: use, id: two, after: []}, {do: use, id: three, after: [one, two]}", []),
    ],
)
def test_a_step_left_before_nothing(book: Rulebook, steps: str, lost: list[str]) -> None:
    report = judged(book, steps, "procedure: plan")
    assert [finding.steps[0] for finding in report.findings] == lost

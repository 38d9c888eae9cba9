"""Which warnings are shown for which job, and that every job is told what it is and is not covered for."""

from __future__ import annotations

import json
from typing import Any

import pytest

from ringcut.checking import check
from ringcut.judge.findings import UNDETERMINED, Report
from ringcut.language.ir import Rulebook

SIGNALS = ("DANGER", "WARNING", "CAUTION", "NOTICE")
"""The signal words of ANSI Z535.6 (the words from memory)."""

BUILDING: dict[str, Any] = {
    "work": "sheath-repair", "sheath": "polyethylene", "construction": "single", "core": "plastic",
    "pressurized": "no", "location": "building", "jacket": "none",
}  # fmt: skip

STEPS = ["identify-cable", "clean-polyethylene"]
"""A little to judge: what a report shows of the job does not depend on it."""

ALWAYS = {"Foreign voltage", "open flame", "Solvent burns", "Blades"}
"""What every job shows: voltage, flame, solvent, blades."""

SHOWN: dict[str, dict[str, Any]] = {
    "Gas and bad air": {"location": "manhole"},
    "wrong cable": {"other-cables": "yes"},
    "Traffic": {"in-traffic": "yes"},
    "pole or strand": {"location": "aerial"},
    "sides of a dug hole": {"location": "buried"},
    "under pressure": {"pressurized": "yes"},
    "Lead dust": {"sheath": "lead"},
    "asbestos": {"work": "sleeve-removal"},
}
"""A piece of a warning -> a fact that brings it."""

MORE = [
    ("Gas and bad air", {"location": "vault"}),
    ("Gas and bad air", {"location": "pit"}),
    ("wrong cable", {"joint-with-power": "yes"}),
    ("Traffic", {"location": "manhole"}),
    ("sides of a dug hole", {"location": "pit"}),
    ("asbestos", {"work": "auxiliary-repair"}),
    ("asbestos", {"sheath": "lead", "jacket": "jute"}),
    ("Lead dust", {"sheath": {"A": "polyethylene", "B": "lead"}}),
]


def checked(book: Rulebook, job: dict[str, Any]) -> Report:
    document = {"procedure": "plan", "job": {**BUILDING, **job}, "steps": STEPS}
    return check(json.dumps(document).encode(), "here.yaml", book)


def shown(book: Rulebook, job: dict[str, Any]) -> set[str]:
    """The pieces of warnings that a job's report shows."""
    said = [notice.says for notice in checked(book, job).warnings]
    return {piece for piece in (*ALWAYS, *SHOWN) if any(piece in text for text in said)}


def test_a_quiet_job_shows_what_every_job_shows(book: Rulebook) -> None:
    assert shown(book, {}) == ALWAYS


@pytest.mark.parametrize(("piece", "job"), [*SHOWN.items(), *MORE])
def test_a_fact_brings_its_warning(piece: str, job: dict[str, Any], book: Rulebook) -> None:
    assert piece in shown(book, job)


@pytest.mark.parametrize("piece", SHOWN)
def test_a_warning_is_not_shown_where_it_does_not_apply(piece: str, book: Rulebook) -> None:
    assert piece not in shown(book, {})


def test_an_unknown_fact_shows_the_warning(book: Rulebook) -> None:
    """What is not known is not safe."""
    job = {key: value for key, value in BUILDING.items() if key not in ("pressurized", "location")}
    document = {"procedure": "plan", "job": job, "steps": STEPS}
    said = " ".join(notice.says for notice in check(json.dumps(document).encode(), "here.yaml", book).warnings)
    assert "under pressure" in said
    assert "Gas and bad air" in said


def test_every_warning_is_reached_by_some_job_and_has_a_signal_word(book: Rulebook) -> None:
    pieces = (*ALWAYS, *SHOWN)
    assert [caution.says for caution in book.warnings if not any(piece in caution.says for piece in pieces)] == []
    assert {caution.signal for caution in book.warnings} <= set(SIGNALS)


def test_the_gravest_signal_word_comes_first(book: Rulebook) -> None:
    order = [SIGNALS.index(notice.signal) for notice in checked(book, {"location": "manhole"}).warnings]
    assert order == sorted(order)


def test_warnings_end_by_deferring_to_others(book: Rulebook) -> None:
    for word in ("permit", "Local codes", "employer", "qualified", "licensed"):
        assert word in book.ends_with
    assert checked(book, {}).ends_with == book.ends_with


GAPS: list[dict[str, Any]] = [
    {"construction": "double"},
    {"work": "inter-sheath-dam", "construction": "double", "sheath": "lead"},
    {"special": ["diameter-change"]},
    {"special": ["bonding-hardware"]},
    {"special": ["long-repair"]},
    {"special": ["cable-band"]},
    {"work": "trouble-opening", "sheath": {"A": "lead", "B": "polyethylene"}},
]


@pytest.mark.parametrize("job", GAPS)
def test_a_job_without_rules_is_not_covered(job: dict[str, Any], book: Rulebook) -> None:
    report = checked(book, job)
    assert report.uncovered
    assert report.not_covered
    assert report.verdict != "conforms"


@pytest.mark.parametrize("special", ["diameter-change", "bonding-hardware", "long-repair", "cable-band"])
def test_a_plan_that_names_its_house_procedure_is_covered(special: str, book: Rulebook) -> None:
    assert not checked(book, {"special": [special], "special-procedure": [special]}).uncovered


@pytest.mark.parametrize("fact", ["work", "sheath", "construction", "location", "core"])
def test_a_job_that_does_not_say_what_decides_the_cover_is_undetermined(fact: str, book: Rulebook) -> None:
    job = {key: value for key, value in BUILDING.items() if key != fact}
    report = check(json.dumps({"procedure": "plan", "job": job, "steps": STEPS}).encode(), "here.yaml", book)
    assert report.uncovered
    assert f"the job does not say: {fact}" in report.not_covered
    assert report.verdict in (UNDETERMINED, "nonconforming")


def test_every_output_names_the_subjects_judged(book: Rulebook) -> None:
    assert "identification" in checked(book, {}).judged
    assert "pressure" not in checked(book, {}).judged
    assert "pressure" in checked(book, {"pressurized": "yes"}).judged

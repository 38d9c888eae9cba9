"""What a log of milestones need not have is told together; a gap beside what it has is asked for."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from ringcut.archive.results import Item
from ringcut.archive.telling import short_cause
from ringcut.archive.work import Bench, Piece, Settings
from ringcut.rulebookfiles import builtin_rulebook

JOB = {"work": "trouble-opening", "sheath": "lead", "construction": "single", "core": "paper", "location": "aerial",
       "pressurized": "yes", "fed": "no", "opening-length": "14 in"}  # fmt: skip


@pytest.fixture(scope="module")
def bench(compiled: Path) -> Bench:
    return Bench(Settings(builtin_rulebook(), "2026-04-01", cache=compiled))


def judged(bench: Bench, folder: Path, steps: list[Any], records: str = "milestones") -> Item:
    path = folder / "log.jsonl"
    raw = {"procedure": "log", "records": records, "job": JOB | {"reference": "J-1"}, "steps": steps}
    path.write_text(json.dumps(raw) + "\n", encoding="utf-8")
    (item,) = bench.done(Piece(path, "log.jsonl", ((1, path.read_bytes()),))).items
    assert item.report is not None
    return item


def rules_told_together(item: Item) -> set[str]:
    assert item.report is not None
    return {item.report.findings[number].rule for number in item.report.together}


def asked(item: Item) -> set[str]:
    return {one.reading for each in item.asks for one in each.wants}


def test_a_row_without_any_reading_is_a_milestone(bench: Bench, tmp_path: Path) -> None:
    item = judged(bench, tmp_path, ["place-temporary-bond", "assemble-sleeve", {"do": "wrap-rubber-tape", "layers": 2}])
    assert item.report is not None
    assert {"temporary-bond-wire", "sleeve-long-enough", "adhesive-bond-length"} <= rules_told_together(item)
    assert "conductor size of place temporary bond" in item.report.not_recorded
    assert not asked(item) & {"conductor-size", "sleeve-length", "bond-length"}


def test_a_reading_that_is_missing_beside_others_is_a_gap(bench: Bench, tmp_path: Path) -> None:
    item = judged(bench, tmp_path, [{"do": "hold-test", "start-pressure": "6 psi", "end-pressure": "6 psi"}])
    assert not {"hold-isolated", "hold-fall"} & rules_told_together(item)
    assert {"isolated", "start-temperature"} <= asked(item)


def test_a_limit_of_which_one_side_is_there_is_a_gap(bench: Bench, tmp_path: Path) -> None:
    steps = [{"do": "open-sheath", "opening-length": "15-1/2 in"}, "assemble-sleeve"]
    item = judged(bench, tmp_path, steps)
    assert "sleeve-long-enough" not in rules_told_together(item)
    (ask,) = [each for each in item.asks if "sleeve-long-enough" in each.rules]
    assert "sleeve-length" in {one.reading for one in ask.wants}
    # what the sleeve lacks besides is asked for in the same breath
    assert {"largest", "size"} <= {one.reading for one in ask.wants}


def test_a_log_of_every_step_has_nothing_to_be_told_together(bench: Bench, tmp_path: Path) -> None:
    item = judged(bench, tmp_path, ["place-temporary-bond", "assemble-sleeve"], "every-step")
    assert rules_told_together(item) == set()
    assert {"conductor-size", "bond-length"} <= asked(item)


def test_a_log_with_nothing_else_to_ask_is_asked_for_the_rest_in_one_question(bench: Bench, tmp_path: Path) -> None:
    """Symptom: cannot say, and no question that would change it."""
    item = judged(bench, tmp_path, ["place-temporary-bond", "assemble-sleeve"])
    assert item.report is not None
    assert item.report.verdict == "undetermined"
    (ask,) = item.asks
    assert {"conductor-size", "bond-length"} <= {one.reading for one in ask.wants}
    assert {"temporary-bond-wire", "adhesive-bond-length"} <= set(ask.rules)


@pytest.mark.parametrize("stopped", [True, False])
def test_what_a_row_ended_while_it_had_to_be_kept_is_not_among_what_milestones_lack(
    stopped: bool, bench: Bench, tmp_path: Path
) -> None:
    """A blower stopped under a burning torch stood nowhere on the screen: that it ran again need not be written, but
    the stop was (29 CFR 1910.268(o)(2)(ii))."""
    path = tmp_path / "log.jsonl"
    steps = [
        "ventilate",
        "enter-manhole",
        "light-torch",
        *["stop-ventilation"] * stopped,
        "shrink-sleeve",
        "shut-torch",
    ]
    timed = [{"do": step, "at": f"2026-03-02 09:{5 * number:02}"} for number, step in enumerate(steps)]
    raw = {"procedure": "log", "records": "milestones", "job": JOB | {"location": "manhole"}, "steps": timed}
    path.write_text(json.dumps(raw) + "\n", encoding="utf-8")
    (item,) = bench.done(Piece(path, "log.jsonl", ((1, path.read_bytes()),))).items
    assert item.report is not None
    found = {each.rule: number for number, each in enumerate(item.report.findings)}
    assert ("air-supply-with-flame" in found) == stopped
    if stopped:
        assert found["air-supply-with-flame"] not in item.report.together
        assert not any("ventilat" in each for each in item.report.not_recorded)
        told = short_cause(item.report.findings[found["air-supply-with-flame"]])
        assert told == "not ventilating since stop-ventilation", "and not that the torch burns on"

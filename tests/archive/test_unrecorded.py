"""What a log of milestones need not have is told together; a gap beside what it has is asked for."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from tests.archive.small import Small

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


SAYS = {"do": "hold-test", "note": "6.0 to 6.0, 70/70 F, 30 min"}


@pytest.mark.parametrize(
    ("step", "wanted"),
    [
        (SAYS, {"start-pressure", "end-temperature", "duration"}),
        ({"do": "cool-closure", "note": "cool by hand"}, {"by-hand"}),
        ({"do": "inspect-sleeve", "note": "good all round"}, {"result"}),
        ({"do": "soap-test", "note": "no bubbles"}, {"leaks"}),
        ({"do": "hold-test", "note": "70 F, 71 F"}, {"start-temperature", "end-temperature"}),
        # a remark that has nothing to do with what is missing
        ({"do": "hold-test", "note": "see photo"}, set()),
        ({"do": "inspect-sleeve", "note": "sheet 7"}, set()),
    ],
)
def test_a_remark_that_may_tell_what_is_missing_is_asked_about(
    step: dict[str, str], wanted: set[str], bench: Bench, tmp_path: Path
) -> None:
    """Symptom: a hold test with all its numbers in the remark was passed over while something else was left to ask."""
    other = {"do": "restore-pressure", "gauge-pressure": "6 psi"}
    item = judged(bench, tmp_path, [other, step])
    assert any("raised-slowly" in ask.rules for ask in item.asks), "something else is left to ask"
    found = {one.reading for ask in item.asks for one in ask.wants if one.step == step["do"]}
    assert (found >= wanted) if wanted else not found
    assert ("start-pressure" in found) == ("6.0" in step["note"]), "a number of degrees is no pressure"


def test_gaps_of_many_rows_are_a_question_a_row(small: Small) -> None:
    """Symptom: fourteen lengths of eight rows were asked for in one cell, to be answered in their order."""
    small.columns = small.columns.replace("sheath-repair", "inter-sheath-dam").replace("single", "double")
    small.columns += "tasks: [{say: outer sheath off, do: remove-outer-sheath, readings: {section-length: 7 in}}]\n"
    steps = ["outer sheath off", "scuff inner", "bond bar", "pads", "clamps taped", "scuff poly", "alum tape",
             "cut sleeve", "flamed", "sleeve on"]  # fmt: skip
    rows = "\n".join(f"K-1,2026-05-04,09:{number:02d},TL,{step}," for number, step in enumerate(steps))
    asks = [ask for item in small.audited(rows) for ask in item.asks if ask.wants[0].step]
    wants = [(one.row, one.step, one.reading, one.side) for ask in asks for one in ask.wants]
    assert len({row for row, *_ in wants}) > 4 and len(wants) > 6
    assert len(wants) == len(set(wants)), "each thing is asked for once"
    assert all(len({one.row for one in ask.wants}) == 1 for ask in asks)

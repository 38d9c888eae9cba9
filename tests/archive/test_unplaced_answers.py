"""A step that only an answer brings has no place in the log: it is judged at every place where it can stand."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import msgspec
import pytest
from tests.archive.small import Small, verdicts

from ringcut.archive.answering import questions_file
from ringcut.archive.results import Item
from ringcut.archive.work import Bench, Piece, Settings
from ringcut.rulebookfiles import builtin_rulebook

ROWS = """
K-1,2026-05-04,09:00,TL,scuff-polyethylene,
K-1,2026-05-04,09:20,TL,select-sleeve,S-4
K-1,2026-05-04,09:30,TL,trim-sleeve,
K-1,2026-05-04,09:40,TL,assemble-sleeve,
"""
SIZE = "tasks: [{say: select-sleeve, do: select-sleeve, readings: {size: '{text}'}, remarks: '{text}'}]\n"
DIAMETERS = "largest"


@pytest.fixture
def sleeve(small: Small) -> Small:
    small.columns += SIZE
    return small


def answered(sleeve: Small, said: str, when: str = "") -> dict[str, str]:
    items = sleeve.audited(ROWS)
    file = sleeve.answered(items, {DIAMETERS: said})
    found = sleeve.audited(ROWS, file)
    if when:
        first = file.rename(file.with_name("first.csv"))
        second = sleeve.answered(found, {"At what time": when})
        _together(first, second)
        found = sleeve.audited(ROWS, second)
    return verdicts(found)


def _together(first: Path, second: Path) -> None:
    """The answers of two rounds in one file, as the command writes the second one."""
    rows = [line for line in first.read_text().splitlines()[1:] if line]
    second.write_text(second.read_text() + "\n".join(rows) + "\n")


def test_it_breaks_no_order(sleeve: Small) -> None:
    """Symptom: diameters that were answered beside the row of assembling stood between selecting and assembling, so
    that they were found to have been measured too late."""
    found = answered(sleeve, "-; -; 2.5 in; 2.1 in")
    assert found["diameters-before-size"] == "undetermined"
    assert "nonconforming" not in found.values()


@pytest.mark.parametrize(
    ("when", "verdict"), [("09:10", "conforms"), ("9:10 am", "conforms"), ("09:35", "nonconforming")]
)
def test_its_time_is_asked_for_and_judged(sleeve: Small, when: str, verdict: str) -> None:
    assert answered(sleeve, "-; -; 2.5 in; 2.1 in", when)["diameters-before-size"] == verdict


def test_a_time_that_is_that_of_a_row_leaves_both_places(sleeve: Small) -> None:
    assert answered(sleeve, "-; -; 2.5 in; 2.1 in", "09:20")["diameters-before-size"] == "undetermined"


def test_what_no_place_changes_is_said(sleeve: Small) -> None:
    """The thickest place thinner than the thinnest is wrong whenever it was measured."""
    found = answered(sleeve, "-; -; 2.1 in; 2.5 in")
    assert found["diameters-in-order"] == "nonconforming"


@pytest.fixture
def line(tmp_path: Path) -> Callable[[str, Path | None], list[Item]]:
    def audited(body: str, answers: Path | None = None) -> list[Item]:
        (tmp_path / "a.jsonl").write_text(" ".join(body.split()) + "\n")
        bench = Bench(Settings(builtin_rulebook(), "2026-06-01", answers=answers))
        return list(bench.done(Piece(tmp_path / "a.jsonl", "a.jsonl")).items)

    return audited


TWICE = """
{"procedure": "log", "records": "every-step", "job": {"reference": "J-1", "date": "2026-05-04", "location": "manhole",
"work": "sheath-repair", "sheath": "lead", "construction": "single", "pressurized": "no", "manhole-depth": "3 ft"},
"steps": [{"do": "test-atmosphere", "at": "08:00", "combustible-gas": "0 %LFL", "oxygen": "20.9 %"},
{"do": "enter-manhole", "at": "08:05"}, {"do": "leave-manhole", "at": "09:00"},
{"do": "test-atmosphere", "at": "09:10"},
{"do": "enter-manhole", "at": "09:15"}]}"""


def test_of_two_steps_in_one_line_the_one_is_answered_that_was_asked_about(
    line: Callable[..., list[Item]], tmp_path: Path
) -> None:
    """Symptom: the answer for the second gas test of a line took the place of what the first had read."""
    asks = [ask for item in line(TWICE) for ask in item.asks]
    (ask,) = [each for each in asks if "combustible gas" in each.question]
    assert "test atmosphere no. 2" in ask.question
    file = tmp_path / "answers.csv"
    file.write_bytes(questions_file([msgspec.structs.replace(ask, answer="40 %LFL; 20.9 %")]))
    (item,) = line(TWICE, file)
    assert item.report is not None
    (broken,) = [each for each in item.report.findings if each.rule == "gas-before-entry"]
    assert (broken.verdict, broken.found.count("40 %LFL")) == ("nonconforming", 1)


def test_an_answer_for_a_row_without_such_a_step_is_told_and_not_taken(sleeve: Small) -> None:
    """The sheet has changed since it was asked about: the step stands in another row, and was not done twice."""
    items = sleeve.audited(ROWS)
    file = sleeve.answered(items, {DIAMETERS: "26 in; -; -; -"})
    lines = ROWS.strip().splitlines()
    found = sleeve.audited("\n".join([lines[0], *lines]), file)
    notes = [note.says for item in found if item.report for note in item.report.notes if note.kind == "answer"]
    assert [note.partition("not taken: ")[2] for note in notes] == ["row 4 has no trim-sleeve; it stands in row 5"]


DOWN = """
{"procedure": "log", "records": "every-step", "job": {"reference": "J-1", "date": "2026-05-04", "location": "manhole",
"work": "sheath-repair", "sheath": "lead", "construction": "single", "pressurized": "no", "manhole-depth": "3 ft"},
"steps": [{"do": "test-atmosphere", "at": "08:00", "combustible-gas": "0 %LFL", "oxygen": "20.9 %"},
{"do": "enter-manhole", "at": "08:05"}, WORK {"do": "leave-manhole", "at": "10:00"}, AFTER
{"do": "close-manhole", "at": "10:10"}]}"""
BELOW = " ".join(f'{{"do": "{step}", "at": "09:{number:02d}"}},' for number, step in enumerate(
    ["clean-lead", "scuff-lead", "wipe-lead", "assemble-sleeve", "shrink-sleeve", "inspect-sleeve", "cool-closure"] * 4
))  # fmt: skip


@pytest.mark.parametrize(
    ("after", "expected"),
    [("", {"undetermined"}), ('{"do": "scuff-lead", "at": "10:05"},', {"nonconforming", "undetermined"})],
)
def test_work_that_an_answer_tells_of_is_not_found_outside_the_manhole(
    line: Callable[..., list[Item]], tmp_path: Path, after: str, expected: set[str]
) -> None:
    """Symptom: three steps that were answered, among much work below, were found to be done after leaving."""
    body = DOWN.replace("WORK", BELOW).replace("AFTER", after)
    asks = [ask for item in line(body) for ask in item.asks]
    said = {"largest": "2.5 in", "smallest": "2.1 in", "size": "S-4", "sleeve-length": "26 in"}
    answered = [
        msgspec.structs.replace(ask, answer="; ".join(said.get(each.reading, "-") for each in ask.wants))
        for ask in asks
        if {each.reading for each in ask.wants} & set(said)
    ]
    file = tmp_path / "answers.csv"
    file.write_bytes(questions_file(answered))
    (item,) = line(body, file)
    assert item.report is not None
    assert not [each.says for each in item.report.notes if each.kind == "answer"]
    found = [each for each in item.report.findings if each.rule == "in-manhole-after-leaving"]
    assert {each.verdict for each in found} == expected
    assert [each.message for each in found if each.verdict == "nonconforming"] == (
        ["scuff-lead (line 1); needed: an entry before it"] if after else []
    )


BLOWER = """
{"procedure": "log", "records": "every-step", "job": {"reference": "J-1", "date": "2026-05-04", "location": "manhole",
"work": "sheath-repair", "sheath": "lead", "construction": "single", "pressurized": "no", "manhole-depth": "3 ft"},
"steps": [{"do": "ventilate", "at": "08:00"}, {"do": "light-torch", "at": "09:00"},
{"do": "stop-ventilation", "at": "09:05"}, {"do": "ventilate", "at": "09:20"},
{"do": "assemble-sleeve", "at": "09:25"}, {"do": "shrink-sleeve", "started": "09:00", "at": "09:30"},
{"do": "shut-torch", "at": "09:40"}, {"do": "stop-ventilation", "at": "10:00"}]}"""


def test_what_was_broken_between_known_times_stays_broken(line: Callable[..., list[Item]], tmp_path: Path) -> None:
    """Symptom: a blower that stood for 15 minutes beside a lit torch could no longer be said, once the crew had
    answered which sleeve it was, where the steps overlap."""
    asks = [ask for item in line(BLOWER) for ask in item.asks]
    (ask,) = [each for each in asks if "size" in {one.reading for one in each.wants}]
    answer = "; ".join("S-4" if one.reading == "size" else "-" for one in ask.wants)
    file = tmp_path / "answers.csv"
    file.write_bytes(questions_file([msgspec.structs.replace(ask, answer=answer)]))
    for answers in (None, file):
        (item,) = line(BLOWER, answers)
        assert verdicts([item])["air-supply-with-flame"] == "nonconforming"


def test_a_reading_of_both_sides_is_not_asked_for_one(line: Callable[..., list[Item]]) -> None:
    """Symptom: the width of the tape on side B was asked for, and the answer refused: it is one value for both."""
    tape = """{"procedure": "log", "records": "every-step", "job": {"reference": "J-1", "date": "2026-05-04",
    "work": "auxiliary-repair", "sheath": {"A": "lead", "B": "polyethylene"}}, "steps": ["wrap-aluminum-tape"]}"""
    wants = [one for item in line(tape) for ask in item.asks for one in ask.wants if one.reading == "width"]
    assert wants and {one.side for one in wants} == {""}

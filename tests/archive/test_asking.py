"""An unknown table is asked about until its column file can be built, and the file reads back the same."""

from __future__ import annotations

from pathlib import Path

from ringcut.archive.answers import column_file, write_columns
from ringcut.archive.asking import Question, questions
from ringcut.archive.columnfile import read_columns
from ringcut.archive.lexicon import RulebookLexicon
from ringcut.archive.spreadsheets import read_spreadsheet
from ringcut.archive.tables import read_table

SHEET = b"""Crew sheet,,,,,,
WO,Date,Time,Task,OK,Side,Bond (in),Remarks
HV-1,3/4/26,11:50,muslin,Q,,,
,,1:05,put rag on,Q,E,5-1/2,x
"""
TOLD = {
    "contractor": "G",
    "columns/Bond (in)": "assemble-sleeve.bond-length",
    "columns/Bond (in)/side": "",
    "dates": "month-first",
    "marks/Q": "done",
    "sides/E": "A",
    "tasks/put rag on": "wrap-muslin",
}


def ask(lexicon: RulebookLexicon) -> tuple[dict[str, str], list[Question]]:
    """Answer what is told above, and else confirm what the table suggests."""
    table = read_table(SHEET, "g.csv")
    answers: dict[str, str] = {}
    asked: list[Question] = []
    while left := questions(table, answers, lexicon):
        for each in left:
            asked.append(each)
            answers[each.key] = TOLD.get(each.key, each.proposal)
        assert len(asked) < 60
    return answers, asked


def test_everything_that_must_be_known_is_asked(lexicon: RulebookLexicon) -> None:
    _, asked = ask(lexicon)
    keys = [each.key for each in asked]
    assert len(set(keys)) == len(keys)
    assert {*TOLD, "heading-row", "clock", "fill-down/WO", "columns/Bond (in)/unit", "columns/Task"} <= set(keys)
    heading = next(each for each in asked if each.key == "heading-row")
    assert heading.proposal == "2"
    mark = next(each for each in asked if each.key == "marks/Q")
    assert mark.examples == ("3:E",)


def test_the_answers_make_a_column_file_that_reads_the_sheet(lexicon: RulebookLexicon, tmp_path: Path) -> None:
    answers, _ = ask(lexicon)
    spec = column_file(answers)
    path = tmp_path / "g.yaml"
    path.write_text(write_columns(spec), encoding="utf-8")
    kept = read_columns(path, "g.yaml", lexicon)
    assert kept == spec
    reading = read_spreadsheet(SHEET, "g.csv", lexicon, kept)
    (log,) = reading.logs
    assert reading.not_taken == ()
    assert [step.place.line for step in log.raw.steps] == [3, 4, 4]
    assert {each.kind for each in reading.assumptions} == {"filled-down", "noon", "sides", "date-order"}

"""Words of a crew that nobody has explained: asked for, with what stands there, and never lost."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pytest
from tests.archive.small import Small, verdicts

from ringcut.archive.columns import ColumnFile
from ringcut.archive.interview.course import interview
from ringcut.archive.interview.draft import Draft
from ringcut.archive.interview.question import Question
from ringcut.archive.lexicon import RulebookLexicon
from ringcut.archive.results import Item
from ringcut.archive.tables import read_tables
from ringcut.archive.work import Bench, Piece, Settings
from ringcut.language.ir import Rulebook
from ringcut.rulebookfiles import builtin_rulebook

BLOCK = """Job,K-1,,
Date,2026-05-04,,
Place,Manhole 3,,
Time,Task,By,Remarks
9:00,enter manhole,TL,
"""
BLOCK_COLUMNS = """contractor: Kestrel
shape: job-sheets
heading-row: 4
facts-block: {Job: reference, Date: date, Place: location}
columns: {Time: time, By: by, Task: task, Remarks: note}
dates: year-first
clock: "24"
time-means: finished
records: every-step
job: {work: sheath-repair, sheath: polyethylene, construction: single, pressurized: no}
"""


def judged(folder: Path, cache: Path, answers: Path | None = None) -> list[Item]:
    (folder / "s.csv").write_text(BLOCK)
    (folder / "c.yaml").write_text(BLOCK_COLUMNS)
    settings = Settings(builtin_rulebook(), "2026-06-01", columns=(folder / "c.yaml",), answers=answers, cache=cache)
    return list(Bench(settings).done(Piece(folder / "s.csv", "s.csv")).items)


def test_a_word_of_a_facts_block_is_asked_for_where_it_stands(small: Small) -> None:
    """Symptom: the place "Manhole 3" was not taken, and the crew was asked for a place as if there were none."""
    items = judged(small.folder, small.cache)
    (ask,) = [ask for item in items for ask in item.asks if "location" in ask.question]
    assert (ask.row, ask.column, ask.text) == (3, "B", "Manhole 3")
    assert "gas-before-entry" in ask.rules
    assert verdicts(items)["gas-before-entry"] == "undetermined"
    again = judged(small.folder, small.cache, small.answered(items, {"location is one of": "manhole"}))
    assert verdicts(again)["gas-before-entry"] == "nonconforming"


def asked(small: Small, book: Rulebook, sheet: str, answers: Mapping[str, str]) -> tuple[ColumnFile, list[Question]]:
    """The column file that answers make, each by words of its question; the others take what is offered."""
    (small.folder / "s.csv").write_text(sheet)
    draft, questions = Draft(), []
    talk = interview(read_tables(small.folder / "s.csv", "s.csv"), draft, RulebookLexicon(book))
    step = next(talk)
    try:
        while True:
            said = None
            if isinstance(step, Question):
                questions.append(step)
                text = next((answer for words, answer in answers.items() if words in step.says), step.guess)
                said = step.check(text) if text else None
            step = talk.send(said)
    except StopIteration:
        return draft.spec, questions


@pytest.mark.parametrize(("reading", "answer"), [("inspect-sleeve.result", "good"), ("cool-closure.by-hand", "yes")])
def test_a_tick_under_a_reading_of_words_is_asked_for(small: Small, book: Rulebook, reading: str, answer: str) -> None:
    """Symptom: an x under a reading that is one of some words was not asked about, and refused in every sheet."""
    step = reading.partition(".")[0]
    sheet = f"WO,Date,Time,By,Task,Seen\nK-1,2026-05-04,9:00,TL,{step},x\nK-2,2026-05-05,9:00,TL,{step},x\n"
    spec, questions = asked(small, book, sheet, {'What does "Seen" hold': reading, '"x" under "Seen"': answer})
    assert spec.columns["Seen"].words == {"x": answer}
    (question,) = [each for each in questions if '"x" under "Seen"' in each.says]
    assert question.guess == "", "a tick says nothing by itself"

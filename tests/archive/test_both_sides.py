"""Two numbers in the remark of a task: side A and side B where the column file says so, and never one value."""

from __future__ import annotations

import pytest
from tests.archive.small import Small

from ringcut.archive.interview.course import interview
from ringcut.archive.interview.draft import Draft
from ringcut.archive.interview.question import Question
from ringcut.archive.lexicon import RulebookLexicon
from ringcut.archive.tables import read_tables
from ringcut.language.ir import Rulebook

ROW = "K-1,2026-05-04,9:00,TL,Tape over,{}"
TASK = "tasks: [{{say: Tape over, do: wrap-rubber-tape, readings: {{{}: '{}'}}, remarks: '{{text}}'}}]\n"


@pytest.fixture
def lead(small: Small) -> Small:
    small.columns = small.columns.replace("sheath-repair, sheath: polyethylene", "trouble-opening, sheath: lead")
    return small


@pytest.mark.parametrize("remark", ["20/22", "20 / 22", "20;22"])
def test_the_column_file_says_that_they_are_the_sides(lead: Small, remark: str) -> None:
    lead.columns += TASK.format("overlap..overlap", "{text} mm")
    (report,) = [item.report for item in lead.audited(ROW.format(remark)) if item.report]
    told = {(each.side, each.found) for each in report.measured if each.rule == "lead-tape-overlap"}
    told |= {(each.side, each.found) for each in report.findings if each.rule == "lead-tape-overlap"}
    assert sorted(side for side, _ in told) == ["A", "B"]


@pytest.mark.parametrize(("key", "remark"), [
    ("overlap", "20/22 mm"), ("overlap", "3/5 in"), ("overlap", "6/8 in"),
    ("overlap..overlap", "20 mm"), ("overlap..overlap", "3/4 in"),
])  # fmt: skip
def test_what_may_be_two_is_not_read_as_one(lead: Small, key: str, remark: str) -> None:
    """Symptom: 20/22 mm was read as a fraction, 0.9 mm, on both sides."""
    lead.columns += TASK.format(key, "{text}")
    items = lead.audited(ROW.format(remark))
    (report,) = [item.report for item in items if item.report]
    assert [each for each in report.measured if each.rule == "lead-tape-overlap"] == []
    (ask,) = [ask for item in items for ask in item.asks if "side A" in ask.question]
    assert (ask.row, remark in ask.question) == (2, True)


@pytest.mark.parametrize("remark", ["3/4 in", "1-1/8 in", "7/8 in"])
def test_a_fraction_of_a_tape_measure_is_one(lead: Small, remark: str) -> None:
    lead.columns += TASK.format("overlap", "{text}")
    (report,) = [item.report for item in lead.audited(ROW.format(remark)) if item.report]
    assert not [each for each in report.notes if each.letter == "F"]
    assert "lead-tape-overlap" in {each.rule for each in report.measured}


def test_asking_finds_them(small: Small, book: Rulebook) -> None:
    """The remark of a task has two bare numbers: which reading they are, and their unit, is asked."""
    (small.folder / "s.csv").write_text(
        "WO,Date,Time,By,Task,Remarks\n" + "\n".join(ROW.format(pair) for pair in ("20/22", "19/21")) + "\n"
    )
    lexicon, draft = RulebookLexicon(book), Draft()
    talk = interview(read_tables(small.folder / "s.csv", "s.csv"), draft, lexicon)
    answers = {'Which step is "Tape over"': "wrap-rubber-tape", "two numbers": "overlap", "which unit": "mm"}
    step = next(talk)
    try:
        while True:
            said = None
            if isinstance(step, Question):
                text = next((answer for words, answer in answers.items() if words in step.says), step.guess)
                said = step.check(text) if text else None
            step = talk.send(said)
    except StopIteration:
        pass
    (task,) = draft.spec.tasks
    assert (task.do, task.readings, task.remarks) == (
        ("wrap-rubber-tape",),
        {"overlap..overlap": "{text} mm"},
        "{text}",
    )

"""An answer that does not fit costs that answer alone: it is told where it stands, and asked again with the reason."""

from __future__ import annotations

import csv
import io
from pathlib import Path

from tests.archive.small import Small, verdicts

from ringcut.archive.again import kept_beside
from ringcut.archive.answering import questions_file, read_answers
from ringcut.archive.results import Ask, Item, Wanted
from ringcut.archive.work import Bench, Piece, Settings
from ringcut.rulebookfiles import builtin_rulebook

ROWS = """
K-1,2026-03-02,08:00,JM,scuff-polyethylene,
K-1,2026-03-02,08:40,JM,move-cable,
K-1,2026-03-02,08:50,JM,Wrapped up,
"""
BEND, WORD = "bend radius", "no step is called that"
COLUMNS = "job: {work: sheath-repair, sheath: polyethylene, construction: single, pressurized: no, location: building"


def asked(items: list[Item], words: str) -> Ask:
    (found,) = [ask for item in items for ask in item.asks if words in ask.question]
    return found


def test_the_others_are_judged_and_it_is_asked_again(small: Small) -> None:
    small.columns = small.columns.replace(COLUMNS, f"{COLUMNS}, cable-diameter: 2 in").replace(
        "milestones", "every-step"
    )
    items = small.audited(ROWS)
    before = asked(items, BEND).question
    answers = small.answered(items, {BEND: "lots", WORD: "clean-polyethylene"})
    again = small.audited(ROWS, answers)
    assert asked(again, BEND).question.startswith('The answer "lots" was not taken: ')
    assert asked(again, BEND).question.endswith(before)
    assert not [ask for item in again for ask in item.asks if WORD in ask.question]
    (report,) = [item.report for item in again if item.report]
    assert [(each.line, each.text) for each in report.notes if each.kind == "answer"] == [(3, "lots")]
    assert "answers.csv" in next(each.says for each in report.notes if each.kind == "answer")
    good = small.answered(items, {BEND: "25 in"})
    assert verdicts(small.audited(ROWS, good))["bend-radius"] == "conforms"


def test_a_cell_that_is_answered_with_no_better_word_says_so(small: Small) -> None:
    items = small.audited(ROWS)
    again = small.audited(ROWS, small.answered(items, {WORD: "tidied"}))
    assert asked(again, WORD).question.startswith('The answer "tidied" was not taken.')


def test_a_time_that_still_runs_back_was_taken_as_answered(small: Small) -> None:
    rows = ROWS.replace("08:40", "07:40")
    items = small.audited(rows)
    again = small.audited(rows, small.answered(items, {"Time runs back": "08:05; 07:45"}))
    assert asked(again, "Time runs back").question.startswith("Time runs back")


def test_a_spoiled_answer_does_not_bring_its_step(small: Small) -> None:
    """Symptom: an answer to a step that is not in the log stood as that step, done and without its reading."""
    ask = Ask("s.csv", "", "K-1", 2, "", "", "Not written: leaks?", "soap-test", "leaks")
    file = small.folder / "answers.csv"
    file.write_bytes(questions_file([ask]).replace(b"leaks?,,", b"leaks?,lots,"))
    assert verdicts(small.audited(ROWS, file)) == verdicts(small.audited(ROWS))


def test_a_log_that_is_no_sheet_is_judged_too(tmp_path: Path, compiled: Path) -> None:
    """Symptom: one unreadable answer, and the log was not judged at all."""
    log = tmp_path / "k.yaml"
    log.write_text("procedure: log\nrecords: milestones\njob: {reference: K-9}\nsteps: [move-cable]\n")
    ask = Ask("k.yaml", "", "K-9", 4, "", "", "Not written?", "move-cable", "bend-radius")
    file = tmp_path / "answers.csv"
    file.write_bytes(questions_file([ask]).replace(b"written?,,", b"written?,lots,"))
    settings = Settings(builtin_rulebook(), "2026-06-01", answers=file, cache=compiled)
    (item,) = Bench(settings).done(Piece(log, "k.yaml")).items
    assert item.unread is None
    assert item.report is not None and [each.text for each in item.report.notes] == ["lots"]


def test_what_is_asked_again_does_not_stand_answered_beside_its_question() -> None:
    """Symptom: the file of a second round had the question twice, and its old answer won over the new one."""
    wants = (Wanted(7, step="s", reading="a"), Wanted(7, step="s", reading="b"))
    first = Ask("f", "", "J", 7, "", "", "?", "s", "a", also=wants[1:])
    file = questions_file([first]).decode("utf-8-sig").replace("?,,", "?,1 in; lots,")
    kept = read_answers(file.encode(), "a.csv").kept
    left = kept_beside(kept, [Ask("f", "", "J", 7, "", "", "?", "s", "b")])
    assert [each.answer for each in left] == ["1 in; ?"]
    assert kept_beside(kept, [first]) == ()
    assert [each.answer for each in kept_beside(kept, [])] == ["1 in; lots"]
    (row,) = csv.DictReader(io.StringIO(questions_file(left).decode("utf-8-sig")))
    assert (row["row"], row["reading"], row["answer"]) == ("7", "a; b", "1 in; ?")

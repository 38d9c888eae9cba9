"""A word that several steps share is settled by the job of its log; where it is not, the entry is asked about."""

from __future__ import annotations

from pathlib import Path

import pytest

from ringcut.archive.results import Item
from ringcut.archive.work import Bench, Piece, Settings
from ringcut.rulebookfiles import builtin_rulebook

SHEET = "reference,step,side\nP-1,Scuffed,{side}\nP-1,scuffed,{side}\n"
COLUMNS = """\
contractor: X
columns: {reference: reference, step: task, side: side}
tasks:
  - {say: Scuffed, do: scuff-lead}
"""


def audited(folder: Path, compiled: Path, job: str, side: str = "", columns: str = "") -> Item:
    head, _, row = job.partition("\n")
    (folder / "jobs.csv").write_text(f"reference,{head}\nP-1,{row}\n", encoding="utf-8")
    (folder / "s.csv").write_text(SHEET.format(side=side), encoding="utf-8")
    (folder / "c.yaml").write_text(columns or COLUMNS, encoding="utf-8")
    given = (folder / "c.yaml",) if columns else ()
    settings = Settings(
        builtin_rulebook(), "2026-04-01", jobs=folder / "jobs.csv", columns=given, cache=compiled, pictures=True
    )
    (item,) = Bench(settings).done(Piece(folder / "s.csv", "s.csv")).items
    assert item.report is not None, item.unread
    return item


def steps(item: Item) -> list[str]:
    assert item.report is not None and item.report.timeline is not None
    return [each.step for each in item.report.timeline.stops]


@pytest.mark.parametrize(
    ("job", "side", "step"),
    [
        ("work,sheath\nsheath-repair,lead", "", "scuff-lead"),
        ("work,sheath\nsheath-repair,polyethylene", "", "scuff-polyethylene"),
        ("work,sheath A,sheath B\nauxiliary-repair,lead,polyethylene", "A", "scuff-lead"),
        ("work,sheath A,sheath B\nauxiliary-repair,lead,polyethylene", "B", "scuff-polyethylene"),
    ],
)
def test_the_sheath_of_the_job_says_which(job: str, side: str, step: str, tmp_path: Path, compiled: Path) -> None:
    """Symptom: «scuffed» was the scuffing of lead on a polyethylene cable."""
    item = audited(tmp_path, compiled, job, side)
    assert steps(item) == [step, step]
    assert not [ask for ask in item.asks if "may be" in ask.question]


@pytest.mark.parametrize(
    ("job", "words"),
    [
        ("work\nsheath-repair", "scuff-lead or scuff-polyethylene"),
        ("work,sheath A,sheath B\nauxiliary-repair,lead,polyethylene", "scuff-lead or scuff-polyethylene"),
        ("work,sheath,construction\ninter-sheath-dam,polyethylene,double", "scuff-polyethylene or scuff-inner-sheath"),
    ],
    ids=["sheath not known", "both ends in one row", "two sheaths of one cable"],
)
def test_what_the_job_does_not_say_is_asked_once(job: str, words: str, tmp_path: Path, compiled: Path) -> None:
    item = audited(tmp_path, compiled, job)
    assert steps(item) == []
    (ask,) = [each for each in item.asks if "may be" in each.question]
    assert words in ask.question
    assert [(each.row, each.column) for each in ask.wants] == [(2, "B"), (3, "B")]


def test_what_the_column_file_says_is_said(tmp_path: Path, compiled: Path) -> None:
    item = audited(tmp_path, compiled, "work,sheath\nsheath-repair,polyethylene", columns=COLUMNS)
    assert steps(item) == ["scuff-lead", "scuff-lead"]


SAID = """\
contractor: X
columns: {reference: reference, step: task, side: side}
tasks: [{say: Scuffed, do: scuffed}]
"""
TICKS = """\
contractor: X
shape: ticks
columns:
  reference: reference
  Cleaned: {step: cleaned}
  Scuffed: {step: scuffed}
  Scuff in: scuff-polyethylene.scuffed-length
marks: {done: [x]}
"""


@pytest.mark.parametrize("sheath", ["lead", "polyethylene"])
def test_a_column_file_may_leave_it_to_the_job(sheath: str, tmp_path: Path, compiled: Path) -> None:
    item = audited(tmp_path, compiled, f"work,sheath\nsheath-repair,{sheath}", columns=SAID)
    assert steps(item) == [f"scuff-{sheath}"] * 2


@pytest.mark.parametrize(
    ("sheath", "row", "done"),
    [
        ("lead", "P-1,x,x,", ["clean-lead", "scuff-lead"]),
        ("polyethylene", "P-1,x,x,", ["clean-polyethylene", "scuff-polyethylene"]),
        # the reading stands beside the tick of its step, and is no step of its own
        ("polyethylene", "P-1,x,x,7 in", ["clean-polyethylene", "scuff-polyethylene"]),
    ],
)
def test_a_tick_under_a_word_of_several_steps_is_settled_by_the_job(
    sheath: str, row: str, done: list[str], tmp_path: Path, compiled: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Symptom: ticks under Cleaned and Scuffed were those of lead in every job of polyethylene."""
    monkeypatch.setattr("tests.archive.test_whichstep.SHEET", f"reference,Cleaned,Scuffed,Scuff in\n{row}\n{{side}}")
    item = audited(tmp_path, compiled, f"work,sheath\nsheath-repair,{sheath}", columns=TICKS)
    assert steps(item) == done

"""Sides the other way round than planned are asked about, and an answer puts them right; nothing else is asked."""

from __future__ import annotations

import csv
import io
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringcut.archive.answering import questions_file
from ringcut.archive.results import Item
from ringcut.archive.swapped import exchanged
from ringcut.archive.work import Bench, Piece, Settings
from ringcut.reading.problems import Place
from ringcut.relations.procedure import Occurrence, Procedure
from ringcut.relations.spans import exactly
from ringcut.rulebookfiles import builtin_rulebook

JOB = "job: {reference: QC-7, work: trouble-opening, sheath: lead, location: aerial}\nsteps:\n"
PLAN = "procedure: plan\n" + JOB + "  - {do: assemble-sleeve, bond-length: {A: 5-1/4 in, B: 6 in}}\n"
SHEET = "reference,step,side,bond-length (in)\nQC-7,assemble-sleeve,A,6\nQC-7,assemble-sleeve,B,5-1/4\n"


def audited(folder: Path, compiled: Path, name: str, text: str, answers: Path | None = None) -> Item:
    (folder / "plan.yaml").write_text(PLAN, encoding="utf-8")
    (folder / name).write_text(text, encoding="utf-8")
    plans = (folder / "plan.yaml",)
    bench = Bench(Settings(builtin_rulebook(), "2026-04-01", answers=answers, plans=plans, cache=compiled))
    (item,) = bench.done(Piece(folder / name, name)).items
    assert item.report is not None, item.unread
    return item


def asked(item: Item) -> list[str]:
    return [each.question for each in item.asks if each.question.startswith("sides-swapped?")]


def log_of(a: str, b: str) -> str:
    return f"procedure: log\n{JOB}  - {{do: assemble-sleeve, bond-length: {{A: {a}, B: {b}}}}}\n"


@pytest.mark.parametrize(
    ("a", "b", "swapped"),
    [
        ("6 in", "5-1/4 in", True),
        ("5-1/4 in", "6 in", False),
        ("6 in", "6 in", False),
        ("6 in", "5-1/2 in", False),
        ("152.4 mm", "5-1/4 in", True),
    ],
)
def test_a_log_is_set_against_its_plan(a: str, b: str, swapped: bool, tmp_path: Path, compiled: Path) -> None:
    item = audited(tmp_path, compiled, "log.yaml", log_of(a, b))
    assert item.report is not None and item.report.compared is not None
    assert len(item.report.compared.swapped) == len(asked(item)) == swapped
    assert all(f"done A {a}, B {b}, planned A 5-1/4 in, B 6 in" in each for each in asked(item))


def test_rows_of_a_sheet_are_asked_for_again_and_the_answer_counts(tmp_path: Path, compiled: Path) -> None:
    item = audited(tmp_path, compiled, "s.csv", SHEET)
    (ask,) = [each for each in item.asks if each.question.startswith("sides-swapped?")]
    assert [(each.row, each.column, each.text) for each in ask.wants] == [(2, "D", "6"), (3, "D", "5-1/4")]
    rows = list(csv.DictReader(io.StringIO(questions_file([ask]).decode("utf-8-sig"))))
    rows[0]["answer"] = "5-1/4; 6"
    out = io.StringIO()
    writer = csv.DictWriter(out, list(rows[0]))
    writer.writeheader()
    writer.writerows(rows)
    (tmp_path / "a.csv").write_text(out.getvalue(), encoding="utf-8")
    again = audited(tmp_path, compiled, "s.csv", SHEET, tmp_path / "a.csv")
    assert asked(again) == []
    assert again.report is not None and again.report.compared is not None
    assert not again.report.compared.changed


@given(st.tuples(*[st.integers(1, 3)] * 4))
def test_only_a_whole_exchange_is_one(values: tuple[int, int, int, int]) -> None:
    plan_a, plan_b, log_a, log_b = values

    def procedure(a: int, b: int) -> Procedure:
        readings = {("bond-length", "A"): exactly(Fraction(a)), ("bond-length", "B"): exactly(Fraction(b))}
        texts = {key: (str(value), Place("f", 1)) for key, value in zip(readings, (a, b), strict=True)}
        each = Occurrence(0, "assemble-sleeve", ("A", "B"), Place("f", 1), readings=dict(readings), texts=texts)
        return Procedure(False, {}, {}, [each])

    found = exchanged(procedure(plan_a, plan_b), procedure(log_a, log_b))
    assert bool(found) == ((plan_a, plan_b) == (log_b, log_a) and plan_a != plan_b)


def test_a_row_a_side_is_the_one_step_that_was_planned(tmp_path: Path, compiled: Path) -> None:
    """Symptom: of the two rows of a sleeve one was «added», although the plan has both sides in one step."""
    sheet = "reference,step,side,bond-length (in)\nQC-7,assemble-sleeve,A,5-1/4\nQC-7,assemble-sleeve,B,6\n"
    item = audited(tmp_path, compiled, "s.csv", sheet)
    assert item.report is not None and item.report.compared is not None
    assert not item.report.compared.differs
    again = audited(tmp_path, compiled, "s.csv", sheet + "QC-7,assemble-sleeve,B,6\n").report
    assert again is not None and again.compared is not None
    assert again.compared.added == ("assemble-sleeve (line 4)",)

"""Questions out, answers in: cells said again, readings and facts added, and what is written is never a formula."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from pathlib import Path

import pytest
from tests.archive.small import Small

from ringcut.archive.answering import HEADINGS, questions_file, read_answers
from ringcut.archive.results import Ask, LogReport
from ringcut.archive.work import Bench, Piece, Settings
from ringcut.reading.problems import Unreadable
from ringcut.rulebookfiles import builtin_rulebook

Judge = Callable[[Path | None], tuple[dict[str, LogReport], list[Ask]]]


@pytest.fixture(scope="module")
def judge(data: Path, compiled: Path) -> Judge:
    def judging(answers: Path | None) -> tuple[dict[str, LogReport], list[Ask]]:
        settings = Settings(
            builtin_rulebook(), "2026-04-01", columns=(data / "contractor-c.yaml",), jobs=data / "workorders.csv",
            answers=answers,
            cache=compiled,
        )  # fmt: skip
        done = Bench(settings).done(Piece(data / "contractor-c.csv", "contractor-c.csv"))
        reports = {item.report.reference: item.report for item in done.items if item.report}
        return reports, [ask for item in done.items for ask in item.asks]

    return judging


def answered(asks: list[Ask], answers: dict[tuple[str, str, str], str]) -> bytes:
    """The file of questions with some answers: (row, column, reading), as they stand there, -> answer."""
    rows = list(csv.DictReader(io.StringIO(questions_file(asks).decode("utf-8-sig"))))
    left = dict(answers)
    for row in rows:
        key = (row["row"], row["column"] if not row["reading"] else "", row["reading"])
        row["answer"] = left.pop(key, "")
    assert not left, "questions that were not asked"
    out = io.StringIO()
    writer = csv.DictWriter(out, HEADINGS)
    writer.writeheader()
    writer.writerows(rows)
    return out.getvalue().encode()


SLEEVE = ("21; 27; 27; 27; 27", "", "bar-length; largest; smallest; size; sleeve-length")


def test_answers_are_judged(judge: Judge, tmp_path: Path) -> None:
    before, asks = judge(None)
    file = tmp_path / "answers.csv"
    file.write_bytes(
        answered(
            asks,
            {
                ("12", "", "voltage"): "0 V",
                ("23", "K", ""): "1 in",
                ("31", "N", ""): "6.1 psi",
                ("33", "", "isolated"): "no",
                SLEEVE: "17 in; ?; 2.1 in; -; 28 in",
                ("44", "I", ""): "5",
                ("44", "N; O", ""): "?; 80 degF",
                ("39", "A", ""): "HV-2044",
            },
        )
    )
    after, left = judge(file)
    assert list(after) == ["HV-2031", "HV-2044", "HV-2047"]

    def verdicts(reports: dict[str, LogReport], reference: str) -> dict[str, str]:
        return {each.rule: each.verdict for each in reports[reference].rules}

    old, new = verdicts(before, "HV-2031"), verdicts(after, "HV-2031")
    assert {rule: (old[rule], new[rule]) for rule in ("lead-tape-overlap", "restoring-pressure", "hold-isolated")} == {
        "lead-tape-overlap": ("undetermined", "conforms"),
        "restoring-pressure": ("undetermined", "conforms"),
        "hold-isolated": ("undetermined", "nonconforming"),
    }
    assert (new["sleeve-long-enough"], new["lead-tape-covers-bar"]) == ("conforms", "conforms")
    assert new["sleeve-slips-over"] == "undetermined"
    assert verdicts(after, "HV-2047")["adhesive-bond-length"] == "conforms"
    assert len(left) < len(asks)


@pytest.mark.parametrize("said", ["", " ", "not known", "n/a", "?"])
def test_no_answer_changes_nothing(said: str, judge: Judge, tmp_path: Path) -> None:
    before, asks = judge(None)
    file = tmp_path / "answers.csv"
    file.write_bytes(answered(asks, {("31", "N", ""): said}))
    assert judge(file)[0] == before


def test_an_answer_that_is_no_reading_is_refused_like_any_cell(judge: Judge, tmp_path: Path) -> None:
    _, asks = judge(None)
    file = tmp_path / "answers.csv"
    file.write_bytes(answered(asks, {("31", "N", ""): "lots"}))
    reports, left = judge(file)
    assert {each.rule: each.verdict for each in reports["HV-2031"].rules}["restoring-pressure"] == "undetermined"
    assert [(ask.column, ask.text) for ask in left if ask.row == 31] == [("N", "lots")]


def test_of_an_answer_to_several_things_each_part_stands_for_itself(judge: Judge, tmp_path: Path) -> None:
    """Symptom: one part that was none cost them all, and each was told the reason of one."""
    _, asks = judge(None)
    file = tmp_path / "answers.csv"
    file.write_bytes(answered(asks, {SLEEVE: "17 in; -5 in; 2.1 in; S-4; 28"}))
    reports, left = judge(file)
    report = reports["HV-2031"]
    refused = {note.text: note.says for note in report.notes if note.kind == "answer"}
    assert sorted(refused) == ["-5 in", "28"]
    assert "largest: -5 in cannot be" in refused["-5 in"] and "answers.csv:" in refused["-5 in"]
    assert "sleeve-length: 28 has no unit" in refused["28"]
    again = [ask for ask in left if "-5 in" in ask.question or '"28"' in ask.question]
    assert sorted(each.reading for ask in again for each in ask.wants) == ["largest", "sleeve-length"]


def test_a_file_that_is_no_file_of_questions_is_told(tmp_path: Path) -> None:
    file = tmp_path / "other.csv"
    file.write_text("a,b\n1,2\n")
    with pytest.raises(Unreadable, match="no heading with question and answer"):
        read_answers(file, "other.csv")
    file.write_text("question,answer\nwhat?,that\n")
    with pytest.raises(Unreadable, match="columns are missing"):
        read_answers(file, "other.csv")


@pytest.mark.parametrize("text", ['=HYPERLINK("x")', "+1", "-1", "@SUM(A1)", "\tx"])
def test_a_cell_that_a_spreadsheet_would_run_is_defused_and_read_back(text: str, tmp_path: Path) -> None:
    written = questions_file([Ask("f.csv", "", "J", 3, "C", text, "what?")])
    (_, row) = csv.reader(io.StringIO(written.decode("utf-8-sig")))
    assert row[HEADINGS.index("their text")] == f"'{text}"
    file = tmp_path / "q.csv"
    file.write_bytes(written.replace(b"what?,,", b"what?,6 psi,"))
    (answer,) = read_answers(file, "q.csv").answers
    assert answer.wanted.text == text
    assert answer.said.text == "6 psi"


def test_the_next_file_of_questions_has_the_answers_of_the_last(judge: Judge, tmp_path: Path) -> None:
    """Symptom: the questions of a second round came alone, and with their answers the first ones were lost."""
    _, asks = judge(None)
    first = tmp_path / "first.csv"
    first.write_bytes(answered(asks, {("33", "", "isolated"): "no", ("44", "N; O", ""): "?; 80 degF"}))
    reports, left = judge(first)
    second = tmp_path / "second.csv"
    second.write_bytes(questions_file([*left, *read_answers(first, "first.csv").kept]))
    assert judge(second)[0].keys() == reports.keys()
    again = judge(second)[0]["HV-2031"]
    assert {each.rule: each.verdict for each in again.rules}["hold-isolated"] == "nonconforming"
    rows = list(csv.DictReader(io.StringIO(second.read_bytes().decode("utf-8-sig"))))
    assert [row["answer"] for row in rows if row["answer"]] == ["no", "?; 80 degF"]
    assert [row["their text"] for row in rows if row["column"] == "N; O"] == ["101; #REF!"]


def test_what_an_answer_lacks_is_asked_for_in_the_row_of_the_sheet(judge: Judge, tmp_path: Path) -> None:
    """Symptom: after one of two diameters was answered, the other was asked for in a row of the file of answers."""
    _, asks = judge(None)
    file = tmp_path / "answers.csv"
    file.write_bytes(answered(asks, {SLEEVE: "?; ?; 2.1 in; ?; ?"}))
    _, left = judge(file)
    rows = {one.row for each in left if each.reference == "HV-2031" for one in each.wants if one.reading == "largest"}
    assert rows == {27}


def test_a_question_to_the_crew_does_not_speak_of_the_column_file(small: Small) -> None:
    """A remark that is none of those expected was asked about in words about a file that no crew has seen."""
    small.columns += 'tasks: [{say: Cooled, do: cool-closure, remarks: by hand, readings: {by-hand: "yes"}}]\n'
    items = small.audited("K-1,2026-05-04,9:00,TL,shrink sleeve,\nK-1,2026-05-04,9:40,TL,Cooled,warm yet")
    (ask,) = [ask for item in items for ask in item.asks if any(each.step == "cool-closure" for each in ask.wants)]
    assert ask.question.startswith('"warm yet" does not tell it. Not in the log (what was read; - for what was not): ')
    assert [each.reading for each in ask.wants] == ["ambient-temperature", "by-hand", "minutes", "surface-temperature"]
    assert "column file" not in ask.question

"""Tables read by that one of several column files which fits: sheets and column files are invented for this."""

from __future__ import annotations

import io
from pathlib import Path

import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ringcut.archive.columnfile import read_columns
from ringcut.archive.columns import NamedColumns
from ringcut.archive.fitting import choices
from ringcut.archive.lexicon import RulebookLexicon
from ringcut.archive.spreadsheets import Reading, read_by_fitting, read_spreadsheet
from ringcut.language.compile import compile_partly
from ringcut.language.sources import read_sources
from ringcut.reading.problems import Problem, Unreadable

ALDER = """
contractor: Alder (invented)
dates: month-first
columns: {WO: reference, Date: date, Time: time, Task: task, Remarks: note}
tasks: [{say: Shut, do: shrink-sleeve}]
"""
BIRCH = """
contractor: Birch (invented)
dates: day-first
columns: {Job: reference, Date: date, Time: time, Did: task, By: by, Remarks: note}
tasks: [{say: Shut, do: shut-torch}]
"""
OF_ALDER = "WO,Date,Time,Task,Remarks\nA-1,3/4/2026,9:00,Shut,\n"
OF_BIRCH = "Job,Date,Time,Did,By,Remarks\nB-1,3/4/2026,9:00,Shut,R.,\n"
OWN = "reference,step,at\nC-1,shrink-sleeve,2026-03-04T09:00:00-06:00\n"
NEITHER = "Ticket,Date,Time,Work,Remarks\nD-1,3/4/2026,9:00,Shut,\n"


CONTRACTORS = Path(__file__).parent / "contractors"
FILES = sorted(each for each in CONTRACTORS.iterdir() if each.suffix in (".csv", ".txt", ".xlsx"))
SHEETS = [each for each in FILES if not each.stem.endswith(("-jobs", "-expected"))]


WORDS = RulebookLexicon(compile_partly(read_sources(Path(__file__).parents[2] / "rulebook"), []))
SPECS = {each.stem: read_columns(each.with_suffix(".yaml"), each.stem, WORDS) for each in SHEETS}


class Reader:
    """Reads a file by column files that are given as ``name: text``."""

    def __init__(self, lexicon: RulebookLexicon) -> None:
        self.lexicon = lexicon

    def named(self, **texts: str) -> list[NamedColumns]:
        return [
            NamedColumns(f"{name}.yaml", read_columns(text.encode(), f"{name}.yaml", self.lexicon))
            for name, text in texts.items()
        ]

    def read(self, data: str | bytes, name: str = "s.csv", **texts: str) -> Reading:
        data = data.encode() if isinstance(data, str) else data
        return read_by_fitting(data, name, self.lexicon, self.named(**(texts or {"alder": ALDER, "birch": BIRCH})))

    def problem(self, data: str | bytes, **texts: str) -> Problem:
        with pytest.raises(Unreadable) as refused:
            self.read(data, **texts)
        (problem,) = refused.value.problems
        return problem


@pytest.fixture(scope="session")
def reader(lexicon: RulebookLexicon) -> Reader:
    return Reader(lexicon)


def workbook(**sheets: str) -> bytes:
    book = openpyxl.Workbook()
    book.remove(book.worksheets[0])
    for name, text in sheets.items():
        sheet = book.create_sheet(name)
        for line in text.splitlines():
            sheet.append(line.split(","))
    made = io.BytesIO()
    book.save(made)
    return made.getvalue()


def by(reading: Reading) -> dict[str, str]:
    return {each.sheet: each.column_file for each in reading.tables}


def steps(reading: Reading) -> list[tuple[str, str, str]]:
    return [
        (log.reference, step.do.text, step.at.text if step.at else "")  # type: ignore[union-attr]
        for log in reading.logs
        for step in log.raw.steps
    ]


@pytest.mark.parametrize("order", [("alder", "birch"), ("birch", "alder")])
def test_each_table_is_read_by_its_own_whatever_the_order(order: tuple[str, ...], reader: Reader) -> None:
    texts = {name: {"alder": ALDER, "birch": BIRCH}[name] for name in order}
    alder, birch = reader.read(OF_ALDER, **texts), reader.read(OF_BIRCH, **texts)
    assert (by(alder), by(birch)) == ({"": "alder.yaml"}, {"": "birch.yaml"})
    assert steps(alder) == [("A-1", "shrink-sleeve", "2026-03-04T09:00")]
    assert steps(birch) == [("B-1", "shut-torch", "2026-04-03T09:00")]
    assert [log.sayings for log in (*alder.logs, *birch.logs)] == [("Shut",), ("Shut",)]


def test_it_is_read_as_by_that_column_file_alone(reader: Reader, lexicon: RulebookLexicon) -> None:
    for text, which in ((OF_ALDER, 0), (OF_BIRCH, 1)):
        one = reader.named(alder=ALDER, birch=BIRCH)[which]
        alone = read_spreadsheet(text.encode(), "s.csv", lexicon, one.spec, None, one.name)
        assert reader.read(text) == alone


def test_the_encoding_and_separator_of_a_column_file_count_for_its_own_tables_only(reader: Reader) -> None:
    wide = ALDER + 'encoding: utf-16\nseparator: "|"\n'
    sheet = OF_ALDER.replace(",", "|").encode("utf-16")
    assert by(reader.read(sheet, alder=wide, birch=BIRCH)) == {"": "alder.yaml"}
    assert by(reader.read(OF_BIRCH, alder=wide, birch=BIRCH)) == {"": "birch.yaml"}
    assert by(reader.read(OWN, alder=wide, birch=BIRCH)) == {"": ""}


def test_of_two_that_fit_the_one_that_names_more_headings_is_taken(reader: Reader) -> None:
    more = ALDER.replace("Remarks: note", "Remarks: note, Crew: by")
    sheet = "WO,Date,Time,Task,Crew,Remarks\nA-1,3/4/2026,9:00,Shut,R.,\n"
    assert by(reader.read(sheet, few=ALDER, more=more)) == {"": "more.yaml"}
    assert by(reader.read(sheet, more=more, few=ALDER)) == {"": "more.yaml"}


def test_a_table_that_two_fit_alike_is_not_guessed(reader: Reader) -> None:
    problem = reader.problem(f"Week 10,,,,\n{OF_ALDER}", alder=ALDER, other=ALDER.replace("month-", "day-"))
    assert (problem.place.file, problem.place.line) == ("s.csv", 2)
    assert problem.found == "alder.yaml and other.yaml both fit it, and each names 5 of its headings"
    assert "in a run of its own with the right one" in problem.hint


def test_a_table_that_none_fits_is_read_as_without_a_column_file(reader: Reader) -> None:
    reading = reader.read(OWN)
    assert (by(reading), [log.reference for log in reading.logs]) == ({"": ""}, ["C-1"])
    (said,) = [each.says for each in reading.assumptions if each.subject == "no column file"]
    assert said == (
        "read as the product's own log form, for no column file fits: alder.yaml has none of its 5 headings there; "
        "birch.yaml has none of its 6 headings there"
    )


def test_half_the_headings_are_no_fit_where_the_order_and_the_task_are_others(reader: Reader) -> None:
    """Date, Time and Remarks are everybody's: by them month and day of a third contractor would change places."""
    problem = reader.problem(NEITHER)
    assert problem.found == (
        "this is not the product's own log form, and no column file fits: alder.yaml has 3 of its 5 headings there, "
        "but not WO, Task; birch.yaml has 3 of its 6 headings there, but not Job, Did"
    )
    assert "beside the others" in problem.hint


def test_a_heading_that_is_another_word_for_the_order_will_do(reader: Reader) -> None:
    both = ALDER.replace("WO: reference", "WO: reference, Ticket: reference")
    sheet = NEITHER.replace("Work", "Task")
    assert by(reader.read(sheet, alder=both, birch=BIRCH)) == {"": "alder.yaml"}


def test_a_column_file_that_names_sheets_is_for_those(reader: Reader) -> None:
    data = workbook(North=OF_ALDER, South=OF_ALDER)
    texts = {"north": f"{ALDER}sheets: [North]\n", "south": f"{ALDER}sheets: [South, West]\n"}
    reading = reader.read(data, "w.xlsx", **texts)
    assert by(reading) == {"North": "north.yaml", "South": "south.yaml"}
    noted = [(each.text, each.says) for each in reading.noted if each.kind == "sheet"]
    assert noted == [("West", "in the column file, but not in this workbook")]
    csv = reader.read(OF_ALDER, **texts)
    assert by(csv) == {"": ""}
    (said,) = [each.says for each in csv.assumptions if each.subject == "no column file"]
    assert said.endswith("north.yaml names sheets of a workbook; south.yaml names sheets of a workbook")


def test_the_sheets_of_one_workbook_may_be_of_several_contractors(reader: Reader) -> None:
    data = workbook(A=OF_ALDER, Cover="Invented,\nfor,tests\n", B=OF_BIRCH, C=OWN)
    reading = reader.read(data, "w.xlsx")
    assert by(reading) == {"A": "alder.yaml", "B": "birch.yaml", "C": ""}
    assert [step[:2] for step in steps(reading)] == [
        ("A-1", "shrink-sleeve"), ("B-1", "shut-torch"), ("C-1", "shrink-sleeve"),
    ]  # fmt: skip
    assert [log.raw.place.file for log in reading.logs] == ["w.xlsx#A", "w.xlsx#B", "w.xlsx#C"]
    (cover,) = [each for each in reading.noted if each.kind == "sheet"]
    assert (cover.text, "no column file fits" in cover.says) == ("Cover", True)


def test_a_workbook_of_one_contractor_is_read_as_by_his_column_file_alone(
    reader: Reader, lexicon: RulebookLexicon
) -> None:
    data = workbook(Cover="Invented,\nfor,tests\n", A=OF_ALDER)
    one = reader.named(alder=ALDER)[0]
    assert reader.read(data, "w.xlsx") == read_spreadsheet(data, "w.xlsx", lexicon, one.spec, None, one.name)


def test_a_sheet_that_two_fit_alike_is_told_and_the_others_are_read(reader: Reader) -> None:
    data = workbook(A=OF_ALDER, B=OF_BIRCH)
    reading = reader.read(data, "w.xlsx", alder=ALDER, again=ALDER, birch=BIRCH)
    assert by(reading) == {"B": "birch.yaml"}
    (problem,) = reading.undecided
    assert problem.found.startswith("sheet A: alder.yaml and again.yaml both fit it")
    assert (problem.place.file, problem.place.line) == ("w.xlsx", 1)


def test_a_single_column_file_is_for_every_table(reader: Reader, lexicon: RulebookLexicon) -> None:
    """It is not asked whether it fits: what it misses is told, as it always was."""
    assert [each.by for each in choices(OWN.encode(), "s.csv", reader.named(alder=ALDER), lexicon)] == reader.named(
        alder=ALDER
    )
    assert reader.problem(OWN, alder=ALDER).found.startswith("only 0 of the 5 headings of the column file stand")
    assert by(reader.read(NEITHER, alder=ALDER)) == {"": "alder.yaml"}


@pytest.mark.parametrize("data", [b"", b"PK\x03\x04 no workbook", b"%PDF-1.4", b"\0\0\0\0", b"\xff\xfe"])
def test_what_is_no_table_is_told_as_without_several(data: bytes, reader: Reader, lexicon: RulebookLexicon) -> None:
    with pytest.raises(Unreadable) as plain:
        read_spreadsheet(data, "s.csv", lexicon)
    problem = reader.problem(data, alder=f"{ALDER}encoding: utf-8\n", birch=BIRCH)
    assert problem.place == plain.value.problems[0].place
    assert problem.found.partition(", and ")[0] == plain.value.problems[0].found.partition(", and ")[0]


def test_a_file_that_is_gone_is_told(reader: Reader, tmp_path: Path, lexicon: RulebookLexicon) -> None:
    with pytest.raises(Unreadable, match="cannot be opened"):
        read_by_fitting(tmp_path / "gone.csv", "gone.csv", lexicon, reader.named(alder=ALDER, birch=BIRCH))


@settings(max_examples=30, deadline=None)
@given(st.sampled_from(SHEETS), st.permutations([each.stem for each in SHEETS]), st.integers(1, len(SHEETS)))
def test_among_any_others_and_in_any_order_a_sheet_reads_as_by_its_own_column_file_alone(
    sheet: Path, order: list[str], number: int
) -> None:
    """Step rows, the long form, ticks and job sheets, in three encodings: of one contractor each, invented."""
    names = dict.fromkeys([*order[:number], sheet.stem])
    given_files = [NamedColumns(name, SPECS[name]) for name in names]
    found = read_by_fitting(sheet, sheet.name, WORDS, given_files)
    assert found == read_spreadsheet(sheet, sheet.name, WORDS, SPECS[sheet.stem], None, sheet.stem)
    assert set(by(found).values()) == {sheet.stem}
    others = [each for each in given_files if each.name != sheet.stem]
    if len(others) > 1:
        assert [each.by for each in choices(sheet, sheet.name, others, WORDS)] == [None] * len(
            choices(sheet, sheet.name, [], WORDS)
        )

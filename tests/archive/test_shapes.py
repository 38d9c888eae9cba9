"""Five further files of other shapes, each with its column file; all invented."""

from __future__ import annotations

import datetime
import io
from pathlib import Path

import openpyxl
import pytest

from ringcut.archive.columnfile import read_columns
from ringcut.archive.jobs import read_jobs
from ringcut.archive.lexicon import RulebookLexicon
from ringcut.archive.logs import ReadLog
from ringcut.archive.spreadsheets import Reading, read_spreadsheet
from ringcut.archive.streams import read_logs
from ringcut.reading.problems import Problem
from ringcut.reading.raw import RawStep


def read(data: Path, lexicon: RulebookLexicon, sheet: str, columns: str = "") -> Reading:
    spec = read_columns(data / columns, columns, lexicon) if columns else None
    return read_spreadsheet(data / sheet, sheet, lexicon, spec, None, columns)


def told(log: ReadLog) -> list[tuple[str, dict[str, object]]]:
    """Each step with its readings: a text, or a text a side."""
    found = []
    for step in log.raw.steps:
        assert isinstance(step, RawStep)
        values: dict[str, object] = {}
        for each in step.readings:
            sides = {side.text: value.text for side, value in each.sides}
            values[each.name.text] = sides or (each.value.text if each.value else "")
        found.append((step.do.text, values))
    return found


def test_long_form(data: Path, lexicon: RulebookLexicon) -> None:
    reading = read(data, lexicon, "long-d.csv", "long-d.yaml")
    assert (reading.tables[0].encoding, reading.tables[0].separator) == ("UTF-8", "semicolons")
    first, second = reading.logs
    assert told(first) == [
        ("test-atmosphere", {"combustible-gas": "0 %LEL", "oxygen": "20.9 %"}),
        ("confirm-zero", {"gauge-pressure": "0 psi"}),
        ("wrap-rubber-tape", {"layers": "2", "overlap": {"A": "25.4 mm"}}),
        ("assemble-sleeve", {"bond-length": {"A": "13.0 cm"}}),
        ("measure-insulation", {"resistance": ">1000 megohm"}),
    ]
    assert told(second) == [("test-atmosphere", {})]
    assert [(each.where, each.kind) for each in reading.not_taken] == [
        ("9:G", "over-range"),
        ("11:G", "no-unit"),
    ]
    assert {each.kind for each in reading.assumptions} == {
        "not-said",
        "sides",
        "date-order",
        "decimal-comma",
        "over-range",
    }


def test_a_row_a_job_with_tick_columns(data: Path, lexicon: RulebookLexicon) -> None:
    reading = read(data, lexicon, "ticks-e.tsv", "ticks-e.yaml")
    assert (reading.tables[0].encoding, reading.tables[0].separator) == ("UTF-16", "tabs")
    first, second, third = reading.logs
    assert told(first)[-1] == ("assemble-sleeve", {"bond-length": {"A": "5-1/4 in", "B": "5 in"}})
    assert str(first.raw.keys["sorted"]) == "no"
    zero = first.raw.steps[4]
    assert isinstance(zero, RawStep) and str(zero.at) == "2026-03-09T09:05"
    status = {each.do.text: str(each.status) for each in second.raw.steps if isinstance(each, RawStep) and each.status}
    assert status == {"test-atmosphere": "not-applicable", "wrap-muslin": "not-done"}
    assert [str(fact.value) for fact in second.raw.job if fact.name.text == "date"] == ["2026-03-10"]
    assert [(each.where, each.kind) for each in reading.not_taken] == [
        ("3:K", "two-readings"),
        ("4:D", "mark"),
        ("4:J", "spreadsheet-date"),
    ]
    assert ("open-manhole", {}) in told(third)


def workbook() -> bytes:
    """Two jobs, a sheet each; what a spreadsheet makes of dates, percentages and formulas; and a sheet of
    notes."""
    book = openpyxl.Workbook()
    for number, (order, step, value) in enumerate((("HV-9", "zero check", 0), ("HV-10", "air on", "=B2*2"))):
        sheet = book.create_sheet(f"Job {number + 1}")
        sheet.append(["Order no", order])
        sheet.append(["Date", datetime.date(2026, 3, 2 + number)])
        sheet.append(["Place: manhole"])
        sheet.append(["Crew", "R. Example", "", "Cable dia", "2.05 in"])
        sheet.append([])
        sheet.append(["Step done", "Finished", "Check", "Gauge (psi)", "Notes"])
        sheet.append(["cones", datetime.time(7, 5), "y", None, "=1+1"])
        sheet.append([step, datetime.time(9, 10), "y", value, None])
        sheet.append(["zero check", 0.5, "y", datetime.date(2026, 3, 4), None])
    book["Sheet"].append(["only notes here"])
    data = io.BytesIO()
    book.save(data)
    return data.getvalue()


def test_a_sheet_a_job(data: Path, lexicon: RulebookLexicon) -> None:
    columns = read_columns(data / "f.yaml", "f.yaml", lexicon)
    reading = read_spreadsheet(workbook(), "f.xlsx", lexicon, columns, None, "f.yaml")
    assert [table.sheet for table in reading.tables] == ["Job 1", "Job 2"]
    assert [log.reference for log in reading.logs] == ["HV-9", "HV-10"]
    first = reading.logs[0]
    facts = {fact.name.text: str(fact.value) for fact in first.raw.job}
    assert facts["cable-diameter"] == "2.05 in"
    assert (facts["location"], facts["date"], facts["timezone"]) == ("manhole", "2026-03-02", "-06:00")
    guard = first.raw.steps[0]
    assert isinstance(guard, RawStep)
    assert (str(guard.at), [str(by) for by in guard.by]) == ("2026-03-02T07:05", ["R. Example"])
    assert ("spreadsheet-dates", (2,)) in [(each.kind, each.rows) for each in reading.assumptions]
    assert [(each.place.file, each.where, each.kind) for each in reading.not_taken] == [
        ("f.xlsx#Job 1", "9:B", "time"),
        ("f.xlsx#Job 1", "9:D", "spreadsheet-date"),
        ("f.xlsx#Job 2", "8:D", "formula"),
        ("f.xlsx#Job 2", "9:B", "time"),
        ("f.xlsx#Job 2", "9:D", "spreadsheet-date"),
    ]
    assert [each.text for each in reading.noted if each.kind == "formula-text"] == ["=1+1", "=1+1"]


def test_the_own_log_form_needs_no_column_file(data: Path, lexicon: RulebookLexicon) -> None:
    reading = read(data, lexicon, "own-form.csv")
    (log,) = reading.logs
    assert log.reference == "HV-3001"
    assert told(log) == [
        ("open-manhole", {}),
        ("test-atmosphere", {}),
        ("confirm-zero", {"gauge-pressure": "0 psi"}),
        ("assemble-sleeve", {"bond-length": "5-1/2 in"}),
        ("assemble-sleeve", {"bond-length": "5 in"}),
        ("hold-test", {"start-pressure": "6.1 psi"}),
    ]
    assert (reading.assumptions, reading.not_taken, reading.noted) == ((), (), ())


def test_json_lines_go_on_behind_a_bad_line(data: Path, lexicon: RulebookLexicon) -> None:
    jobs = read_jobs(data / "workorders.csv", "workorders.csv", lexicon)
    found = list(read_logs(data / "g.jsonl", "g.jsonl", lexicon, jobs=jobs).logs)
    logs = [each for each in found if isinstance(each, ReadLog)]
    assert {each.place.line for each in found if isinstance(each, Problem)} == {3, 4}
    assert [(log.reference, log.lines) for log in logs] == [("HV-2031", (1,)), ("HV-2047", (5,))]
    own = {fact.name.text: str(fact.value) for fact in logs[1].raw.job}
    assert own["location"] == "vault", "what the log itself says comes before the jobs file"
    assert own["work"] == "auxiliary-repair"
    layers = logs[1].raw.steps[0]
    assert isinstance(layers, RawStep) and str(layers.readings[0].value) == "2.0", "digits as they stand in the file"


@pytest.mark.parametrize("ending", ["yaml", "json"])
def test_one_log_in_a_file(tmp_path: Path, lexicon: RulebookLexicon, ending: str) -> None:
    text = '{"procedure": "log", "job": {"reference": "HV-1"}, "steps": ["open-manhole"]}\n'
    path = tmp_path / f"log.{ending}"
    path.write_text(text, encoding="utf-8")
    opened = read_logs(path, path.name, lexicon)
    (log,) = opened.logs
    assert isinstance(log, ReadLog) and log.reference == "HV-1" and opened.sheet is None


SHEET = "step,at,status\nopen manhole,07:30,\n"


@pytest.mark.parametrize(
    ("above", "records"),
    [
        ("", "milestones"),
        ("records,every-step\n", "every-step"),
        ("records,milestones\n", "milestones"),
        ("plan-digest,0123456789ab\n", "every-step"),  # a form made of a plan has a row for each step
    ],
)
def test_an_own_form_that_does_not_say_how_records_are_kept(above: str, records: str, lexicon: RulebookLexicon) -> None:
    """Symptom: what such a sheet did not have was held against the crew, and nobody was told why."""
    reading = read_spreadsheet(f"{above}reference,HV-1\n\n{SHEET}".encode(), "s.csv", lexicon)
    (log,) = reading.logs
    assert log.raw.keys["records"].text == records
    assert ("records" in [each.subject for each in reading.assumptions]) == (not above)


def test_a_reference_that_is_the_name_of_the_file_is_an_assumption(lexicon: RulebookLexicon) -> None:
    """Symptom: a form without a reference was called after its file, and nothing was said to be assumed."""
    reading = read_spreadsheet(f"records,every-step\n\n{SHEET}".encode(), "week 12/mh 4.csv", lexicon)
    assert [log.reference for log in reading.logs] == ["mh 4"]
    assert [(each.kind, "its name, mh 4, is taken" in each.says) for each in reading.assumptions] == [
        ("reference", True)
    ]


def test_columns_that_no_form_has_are_told_with_the_way_to_a_column_file(lexicon: RulebookLexicon) -> None:
    reading = read_spreadsheet(b"reference,step,Vibe\nHV-1,open manhole,good\n", "s.csv", lexicon)
    assert [each.says for each in reading.assumptions if "--ask" in each.says]
    assert [each.says for each in reading.noted if each.kind == "column"] == [
        "not in the product's own log form: 1 cell not read"
    ]

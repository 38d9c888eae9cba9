"""A weekly sheet as one (invented) contractor types it: what is read, assumed and not taken, cell by cell."""

from __future__ import annotations

from pathlib import Path

import pytest

from ringcut.archive.columns import ColumnFile
from ringcut.archive.jobs import read_jobs
from ringcut.archive.lexicon import RulebookLexicon
from ringcut.archive.logs import ReadLog
from ringcut.archive.spreadsheets import Reading, read_spreadsheet
from ringcut.reading.raw import RawStep


@pytest.fixture(scope="module")
def reading(data: Path, columns_c: ColumnFile, lexicon: RulebookLexicon) -> Reading:
    jobs = read_jobs(data / "workorders.csv", "workorders.csv", lexicon)
    return read_spreadsheet(data / "contractor-c.csv", "contractor-c.csv", lexicon, columns_c, jobs, "columns/c.yaml")


def test_what_was_read_comes_first(reading: Reading) -> None:
    (table,) = reading.tables
    assert (table.encoding, table.separator, table.heading_line) == ("Windows-1252", "commas", 4)
    assert (table.below, table.step_rows) == (40, 37)
    left = [(each.line, each.because) for each in table.left_out]
    assert left == [(36, "blank"), (37, "total"), (38, "heading again")]
    assert [log.reference for log in reading.logs] == ["HV-2031", "2044.0", "HV-2047"]


ASSUMED = {
    "filled-down": (
        [*range(6, 36), 40, *range(42, 45)],
        ["WO, MH/Loc, Date, Tech"],
        ["take the value above"],
    ),
    "marks": (list(range(5, 36)), ["OK"], ["ü is a tick", "P is a tick", "û is a cross"]),
    "time-forms": (
        [7, 14, 39],
        ["Time"],
        ["715 is 07:15 (7)", "8.05 is 08:05 (14)", "0.3125 is 07:30, a fraction"],
    ),
    "sides": (
        [27, 28],
        ["Side"],
        ["E is A, by columns/c.yaml", "W is B", 'Bond "A" (in) agrees', "Bond B agrees"],
    ),
    "noon": (list(range(29, 36)), ["Time"], ["1:05 to 2:20 after 12:10, so 13:05 to 14:20"]),
    "date-order": ([5, 41, 44], ["Date"], ["3/4/26 is 4 March 2026: month first, by columns/c.yaml"]),
    "midnight": ([42], ["Time"], ["00:20 after 23:30, so 2026-03-06"]),
    "same-minute": ([17, 18], [], ["9:10 twice", "Temp bond on, then Opened sheath"]),
    "several-steps": ([19, 24, 26, 29], ["by columns/c.yaml"], ["repair-conductors, place-desiccant"]),
    "interval": ([9], ["LEL"], ["<1 is 0 to 1 %LFL"]),
}


@pytest.mark.parametrize("kind", ASSUMED)
def test_assumption(reading: Reading, kind: str) -> None:
    (found,) = [each for each in reading.assumptions if each.kind == kind]
    rows, subject, says = ASSUMED[kind]
    assert list(found.rows) == rows
    assert all(part in found.subject for part in subject)
    assert all(part in found.says for part in says)


def test_there_are_no_other_assumptions(reading: Reading) -> None:
    assert [each.kind for each in reading.assumptions] == [
        "filled-down",
        "marks",
        "time-forms",
        "sides",
        "noon",
        "date-order",
        "midnight",
        "same-minute",
        "several-steps",
        "interval",
    ]


NOT_TAKEN = [
    ("23:K", "4-Mar", "3/4 turned into a date by a spreadsheet", "3/4?"),
    ("31:N", "42", "42 under PSI; 6.2 before", "kPa? 42 kPa is 6.1 psi"),
    ("34", "will call from yard", "17 cells, 16 headings", ""),
    ("39:A", "2044.0", "not in workorders.csv", "Did they mean HV-2044?"),
    ("39:C", "13/03/2026", "day first, unlike all others, and not in the week of 2 March 2026", ""),
    ("41:M", "209", "209 under O2", "20.9?"),
    ("44:I", "12,7", "a decimal comma", "cm? 12.7 cm is 5 in"),
    ("44:N", "101", "101 under PSI", "absolute kPa?"),
    ("44:O", "#REF!", "a broken formula", ""),
]


@pytest.mark.parametrize(("where", "text", "says", "likelier"), NOT_TAKEN)
def test_cell_is_not_taken(reading: Reading, where: str, text: str, says: str, likelier: str) -> None:
    (found,) = [each for each in reading.not_taken if each.where == where]
    assert found.text == text
    assert says in found.says
    assert found.likelier == likelier or (likelier and found.likelier.startswith(likelier))


def test_nothing_else_is_refused(reading: Reading) -> None:
    assert [each.where for each in reading.not_taken] == [where for where, *_ in NOT_TAKEN]


def test_a_text_that_starts_with_an_equals_sign_is_told(reading: Reading) -> None:
    noted = {(each.place.line, each.place.letter): each for each in reading.noted}
    assert noted[44, "P"].text == '=HYPERLINK("photo")'
    assert noted[12, "P"].says.startswith("'none' is no voltage")
    assert noted[39, "F"].kind == "proves-nothing"


def steps(log: ReadLog, line: int) -> list[RawStep]:
    return [each for each in log.raw.steps if isinstance(each, RawStep) and each.place.line == line]


def values(step: RawStep) -> dict[str, str]:
    return {each.name.text: each.value.text for each in step.readings if each.value}


def test_times_run_through_noon_and_midnight(reading: Reading) -> None:
    first, _, last = reading.logs
    at = {line: str(steps(first, line)[0].at) for line in (7, 10, 14, 28, 29, 35)}
    assert at == {
        7: "2026-03-04T07:15",
        10: "2026-03-04T07:40",
        14: "2026-03-04T08:05",
        28: "2026-03-04T12:10",
        29: "2026-03-04T13:05",
        35: "2026-03-04T14:20",
    }
    assert [str(steps(last, line)[0].at) for line in range(41, 45)] == [
        "2026-03-05T23:30",
        "2026-03-06T00:20",
        "2026-03-06T01:45",
        "2026-03-05T09:00",
    ]


def test_a_row_with_a_bad_cell_counts_for_its_other_cells(reading: Reading) -> None:
    first, _, last = reading.logs
    (tape,) = steps(first, 23)
    assert values(tape) == {"layers": "2", "lap": "half"}
    (gas,) = steps(last, 41)
    assert values(gas) == {"combustible-gas": "0 %LFL"}
    assert [(step.do.text, step.readings[0].sides[0][0].text) for step in steps(last, 44) if step.readings] == [
        ("assemble-sleeve", "B")
    ]


def test_a_cross_is_not_done_and_an_unquoted_comma_keeps_the_remark(reading: Reading) -> None:
    (told,) = steps(reading.logs[0], 34)
    assert (str(told.status), str(told.reason)) == ("not-done", "line busy, will call from yard")


def test_two_readings_in_a_cell_and_readings_in_words(reading: Reading) -> None:
    first = reading.logs[0]
    assert values(steps(first, 33)[0]) == {
        "duration": "30 min",
        "start-pressure": "6.1 psi",
        "end-pressure": "6.0 psi",
        "start-temperature": "71 degF",
        "end-temperature": "70 degF",
    }
    assert values(steps(first, 21)[0])["bar-angle"] == "12 o'clock"
    assert values(steps(first, 18)[0]) == {"opening-length": '15½"'}


def test_sides_of_rows_and_headings(reading: Reading) -> None:
    first, second, _ = reading.logs
    assert [
        (str(steps(first, line)[0].side[0]), values(steps(first, line)[0])["bond-length"]) for line in (27, 28)
    ] == [
        ("A", "5½”"),
        ("B", "4 7/8 in"),
    ]
    bond = steps(second, 39)[0]
    assert [(str(side), str(value)) for side, value in bond.readings[0].sides] == [
        ("A", "5 in"),
        ("B", "5 in"),
    ]


def test_a_reference_that_only_looks_like_another_takes_no_facts(reading: Reading) -> None:
    _, second, third = reading.logs
    assert (second.matched, second.likelier) == (False, "HV-2044")
    assert {fact.name.text for fact in second.raw.job} == {"reference", "contractor", "location"}
    assert third.matched
    assert {"work", "pressurized", "date"} <= {fact.name.text for fact in third.raw.job}


def test_a_finding_can_quote_the_cell(reading: Reading) -> None:
    assert reading.logs[0].texts["14:D"] == "8.05"
    assert reading.logs[0].texts["9:L"] == "<1"
    assert steps(reading.logs[0], 9)[0].readings[0].name.place.letter == "L"

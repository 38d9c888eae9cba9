"""Findings as CSV: no log is lost, and no cell is a formula."""

from __future__ import annotations

import csv
import io

import pytest

from ringcut.judge.findings import Report
from ringcut.report import csvreport
from ringcut.report.published import NotRead, Trouble
from ringcut.report.spreadsheet import defused, plain


def table(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(csvreport.heading() + text, newline="")))


def test_one_row_a_finding(broken: Report) -> None:
    rows = table("".join(csvreport.rows(broken)))
    assert [row["rule"] for row in rows] == [each.rule for each in broken.findings]
    short = next(row for row in rows if row["rule"] == "adhesive-bond-length")
    assert (short["verdict"], short["side"], short["class"]) == ("nonconforming", "B", "major")


def test_a_log_without_findings_has_a_row(broken: Report) -> None:
    import msgspec

    clean: Report = msgspec.structs.replace(broken, findings=(), verdict="conforms")
    (row,) = table("".join(csvreport.rows(clean)))
    assert (row["reference"], row["log-verdict"], row["rule"]) == (broken.reference, "conforms", "")


def test_what_was_not_read_has_a_row_a_problem() -> None:
    lost = NotRead("a.csv", (Trouble("a.csv", 3, 0, "no order", "an order", "", "B"), Trouble("", 0, 0, "bad", "", "")))
    rows = table("".join(csvreport.unread_rows(lost)))
    assert [(row["file"], row["line"], row["letter"], row["log-verdict"]) for row in rows] == [
        ("a.csv", "3", "B", "not read"),
        ("a.csv", "", "", "not read"),
    ]


@pytest.mark.parametrize("text", ["=1+1", "+A1", "-A1", "@x", "\tx", "\rx"])
def test_formulas_are_defused(text: str, broken: Report) -> None:
    import msgspec

    hostile: Report = msgspec.structs.replace(broken, reference=text)
    rows = table("".join(csvreport.rows(hostile)))
    assert rows[0]["reference"] == defused(text) == f"'{text}"
    assert plain(defused(text)) == text

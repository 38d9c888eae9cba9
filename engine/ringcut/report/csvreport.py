"""Reports as CSV: one row a finding, and one row for a log without any, so that no log is lost."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator

from ringcut.judge.findings import Finding, Report
from ringcut.report.published import NotRead
from ringcut.report.spreadsheet import defused

HEADINGS = (
    "file", "reference", "log-verdict", "verdict", "class", "rule", "line", "letter", "side", "closure", "steps",
    "found", "needed", "margin", "why-undetermined", "message", "evidence", "remedy", "basis", "told-under", "cause",
)  # fmt: skip


def heading() -> str:
    """The heading row."""
    return _row(HEADINGS)


def rows(report: Report) -> Iterator[str]:
    """The rows of a report, each ending with a line end."""
    for finding in report.findings:
        yield _row(_finding(report, finding))
    if not report.findings:
        yield _row([report.file, report.reference, report.verdict, *[""] * (len(HEADINGS) - 3)])


def unread_rows(found: NotRead) -> Iterator[str]:
    """The rows of a file or log that could not be read: its verdict is "not read"."""
    for each in found.problems:
        said = ". ".join(part for part in (each.found, each.expected, each.hint) if part)
        cells = dict.fromkeys(HEADINGS, "") | {
            "file": each.file or found.file,
            "log-verdict": "not read",
            "line": str(each.line or ""),
            "letter": each.letter,
            "message": said,
        }
        yield _row(list(cells.values()))


def _finding(report: Report, each: Finding) -> list[str]:
    return [
        each.file or report.file, report.reference, report.verdict, each.verdict, each.class_, each.rule,
        str(each.line or ""), each.letter, each.side, each.closure, "; ".join(each.steps), each.found, each.needed,
        each.margin, each.why_undetermined, each.message, "; ".join(each.evidence), each.remedy, each.basis,
        each.told_under, each.cause,
    ]  # fmt: skip


def _row(cells: tuple[str, ...] | list[str]) -> str:
    out = io.StringIO()
    # a NUL or a lone line end in a cell would cut the file for other readers
    csv.writer(out, lineterminator="\r\n").writerow([defused(cell.replace("\0", "\u2400")) for cell in cells])
    return out.getvalue()

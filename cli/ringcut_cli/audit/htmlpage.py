"""An audit as one HTML file that needs nothing else: for one log, for a few, and for many.

Everything that comes from files goes through Jinja2's escaping. Of many logs the page has a row each, the gravest
first, up to a number that a browser can still sort and filter.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import msgspec

from ringcut.archive.results import FileRead, LogReport, UnreadLog
from ringcut.archive.telling import Arranged, arranged
from ringcut.judge.findings import CLASSES, CONFORMS, NOT_APPLICABLE
from ringcut_cli.audit.outputs import overall
from ringcut_cli.audit.readtext import noted_alike, unread_line
from ringcut_cli.audit.running import Ended
from ringcut_cli.shown.page import harmless
from ringcut_cli.shown.reporttext import verdict_word

PAGES = Path(__file__).parent / "pages"
WHOLE = 30
"""So many logs are shown whole, each with its picture; of more, the gravest that do not conform or cannot be said."""
MOST_ROWS = 5000
SIGNS = {"nonconforming": "\u2715", "undetermined": "?", "conforms": "\u2713", "not applicable": "\u2013",
         "under concession": "\u00a7"}  # fmt: skip
"""A sign for each verdict, because colour never carries meaning alone."""


class Row(msgspec.Struct, frozen=True):
    """A log in the table of many."""

    number: int
    """How many logs came before it, and one."""
    reference: str
    file: str
    line: int
    verdict: str
    critical: int
    major: int
    minor: int
    contractor: str
    crew: str
    where: str
    day: str
    rules: str

    @property
    def grave(self) -> tuple[int, ...]:
        """Gravest first, then as they came."""
        return -self.critical, -self.major, -self.minor, list(SIGNS).index(self.verdict), self.number


class Shown(msgspec.Struct, frozen=True):
    """A log that is shown whole; ``number`` is that of its row."""

    number: int
    report: LogReport
    told: Arranged


class HtmlSink:
    """Collects, and writes the page at the end."""

    def __init__(self, write: Callable[[bytes], None]) -> None:
        self.write = write
        self.files: list[FileRead] = []
        self.lost: list[str] = []
        self.whole: list[tuple[tuple[int, ...], LogReport]] = []
        self.rows: list[Row] = []
        self.came = 0

    def file(self, read: FileRead) -> None:
        """Kept."""
        self.files.append(read)

    def log(self, report: LogReport) -> None:
        """A row; the gravest whole."""
        self.came += 1
        row = _row(report, self.came)
        self.rows.append(row)
        self.whole.append((row.grave, report))
        if len(self.whole) > 2 * WHOLE:
            self.whole = sorted(self.whole, key=lambda each: each[0])[:WHOLE]
        if len(self.rows) > 2 * MOST_ROWS:
            self.rows = sorted(self.rows, key=lambda each: each.grave)[:MOST_ROWS]

    def _shown(self) -> list[Shown]:
        gravest = sorted(self.whole, key=lambda each: each[0])[:WHOLE]
        return [
            Shown(grave[-1], report, arranged(report))
            for grave, report in gravest
            if self.came <= WHOLE or report.verdict not in (CONFORMS, NOT_APPLICABLE)
        ]

    def unread(self, found: UnreadLog) -> None:
        """Kept as text."""
        if len(self.lost) < MOST_ROWS:
            self.lost += unread_line(found)

    def end(self, ended: Ended) -> None:
        """Write the page."""
        rows = sorted(self.rows, key=lambda row: row.grave)[:MOST_ROWS]
        shown = self._shown()
        text = _page(
            verdict=overall(ended),
            verdicts=[(name, ended.summary.verdicts[name]) for name in SIGNS if name in ended.summary.verdicts],
            ended=ended,
            summary=ended.summary,
            files=self.files,
            lost=self.lost,
            shown=shown,
            whole={each.number for each in shown},
            judged=self.whole[0][1] if self.whole else None,
            rows=rows if ended.summary.logs > 1 else [],
            left=ended.summary.logs - len(rows),
        )
        self.write(text.encode("utf-8", "xmlcharrefreplace"))


def _row(report: LogReport, number: int) -> Row:
    broken = dict.fromkeys(each.rule for each in report.findings if each.verdict == "nonconforming")
    counts = report.counts
    return Row(
        number, report.reference, report.file, report.findings[0].line if report.findings else 0, report.verdict,
        counts.critical, counts.major, counts.minor, report.contractor, report.crew, report.where, report.day,
        ", ".join(broken),
    )  # fmt: skip


def _page(**about: Any) -> str:
    # jinja2 costs a fifteenth of a second to import, and only a page needs it
    from jinja2 import Environment, FileSystemLoader, StrictUndefined
    from markupsafe import Markup

    environment = Environment(
        loader=FileSystemLoader(PAGES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
        finalize=lambda value: harmless(value) if type(value) is str else value,
    )
    environment.globals.update(signs=SIGNS, word=verdict_word, classes=CLASSES, noted_alike=noted_alike)
    # our own style and script, not a text of somebody's file
    own = {
        name: Markup((PAGES / f"audit.{end}").read_text("utf-8")) for name, end in (("style", "css"), ("script", "js"))
    }
    environment.globals.update(own)
    environment.filters["percent"] = lambda share: f"{share:.0%}"
    environment.filters["plain"] = lambda name: str(name).replace("-", " ")
    return environment.get_template("audit.html.j2").render(**about)

"""An audit as one HTML file that needs nothing else: for one log, for a few, and for many.

Everything that comes from files goes through Jinja2's escaping. Of many logs the page has a row each, the gravest
first, up to a number that a browser can still sort and filter.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any

import msgspec

from ringcut.archive.results import FileRead, LogReport, UnreadLog
from ringcut.archive.summary import Summary
from ringcut.archive.telling import Arranged, arranged, short_cause
from ringcut.judge.findings import CLASSES, CONFORMS, NOT_APPLICABLE, UNDETERMINED, Finding
from ringcut_cli.audit.countstext import expected, unnamed
from ringcut_cli.audit.gravest import Departures
from ringcut_cli.audit.logtext import as_planned, likely, taken_as
from ringcut_cli.audit.outputs import overall
from ringcut_cli.audit.picture import picture
from ringcut_cli.audit.readtext import by_file, count, noted_alike, refused_alike, unread_line, verdicts_said
from ringcut_cli.audit.running import Ended
from ringcut_cli.shown.page import harmless
from ringcut_cli.shown.reporttext import shortened, verdict_word

PAGES = Path(__file__).parent / "pages"
WHOLE = 30
"""So many logs are shown whole, each with its picture; of more, the gravest that do not conform or cannot be said."""
MOST_ROWS = 5000
WHY = 3
"""Causes that a row names of a log that cannot be said."""
MOST_PLANS = 200
"""So many logs that differ from their plan have a row; of more, those that differ most."""
SHARES = 60
"""Contractors, crews, places and weeks that have a row; of more weeks, the last."""
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
    """What is broken, and of a log that cannot be said, why."""

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

    def __init__(self, write: Callable[[bytes], None], several: bool = False) -> None:
        self.write = write
        self.several = several
        """Whether tables were read by one of several column files, so that it is told by which."""
        self.files: list[FileRead] = []
        self.lost: list[str] = []
        self.whole: list[tuple[tuple[int, ...], LogReport]] = []
        self.rows: list[Row] = []
        self.came = 0
        self.planned = Departures(MOST_PLANS)

    def file(self, read: FileRead) -> None:
        """Kept."""
        self.files.append(read)

    def log(self, report: LogReport) -> None:
        """A row; the gravest whole."""
        self.came += 1
        self.planned.add(report)
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
            ended=ended,
            summary=ended.summary,
            shares=_has_shares(ended.summary),
            files=self.files,
            by_file=by_file if self.several else lambda table: "",
            lost=self.lost,
            shown=shown,
            whole={each.number for each in shown},
            judged=self.whole[0][1] if self.whole else None,
            rows=rows if ended.summary.logs > 1 else [],
            left=ended.summary.logs - len(rows),
            planned=self.planned,
            departures=self.planned.found(),
            assumed=sum(len(each.assumptions) for each in self.files),
            left_out=sum(len(each.not_taken) for each in self.files),
        )
        self.write(text.encode("utf-8", "xmlcharrefreplace"))


def _row(report: LogReport, number: int) -> Row:
    broken = dict.fromkeys(each.rule for each in report.findings if each.verdict == "nonconforming")
    counts = report.counts
    return Row(
        number, report.reference, report.file, report.findings[0].line if report.findings else 0, report.verdict,
        counts.critical, counts.major, counts.minor, report.contractor, report.crew, report.where, report.day,
        ", ".join(broken) if broken or report.verdict != UNDETERMINED else "; ".join(_why(report)),
    )  # fmt: skip


def _has_shares(summary: Summary) -> bool:
    """Whether there is anything to say by contractor, crew, place or week, or of uncertain readings."""
    shares = (summary.by_contractor, summary.by_crew, summary.by_place, summary.by_week, summary.risks)
    return any(shares)


def _why(report: LogReport) -> list[str]:
    """What keeps us from saying, the commonest first."""
    causes = Counter(short_cause(each) for each in report.findings if each.verdict == UNDETERMINED)
    return [cause for cause, _ in causes.most_common(WHY)] or list(report.not_covered[:WHY])


def _evidence(finding: Finding) -> list[str]:
    """What shows a finding, apart from what was found and from what is only not there."""
    absent = bool(finding.why_undetermined)
    return [
        each
        for each in finding.evidence
        if each != finding.found and not (absent and each.partition(",")[0].endswith("is not there"))
    ]


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
    environment.globals.update(
        signs=SIGNS,
        word=verdict_word,
        classes=CLASSES,
        noted_alike=noted_alike,
        refused_alike=refused_alike,
        count=count,
        shortened=shortened,
        picture=picture,
        as_planned=as_planned,
        evidence=_evidence,
        verdicts_said=verdicts_said,
        unnamed=unnamed,
        expected=expected,
        likely=likely,
        SHARES=SHARES,
    )
    # our own style and script, not a text of somebody's file
    own = {
        name: Markup((PAGES / f"audit.{end}").read_text("utf-8")) for name, end in (("style", "css"), ("script", "js"))
    }
    environment.globals.update(own)
    environment.filters["percent"] = lambda share: f"{share:.0%}"
    environment.filters["taken_as"] = taken_as
    environment.filters["plain"] = lambda name: str(name).replace("-", " ")
    return environment.get_template("audit.html.j2").render(**about)

"""An audit in a terminal: one screen, and what it rests on below.

The screen tells what was read and what not, then of each log what does not conform, what cannot be said and what to
ask, or counts where there are many. Every assumption, every cell that was not taken, evidence and basis follow.
"""

from __future__ import annotations

from collections.abc import Sequence

from ringcut.archive.results import FileRead, LogReport, UnreadLog
from ringcut_cli.audit.countstext import counts_page, patterns_page
from ringcut_cli.audit.logtext import log_page
from ringcut_cli.audit.readtext import file_page, read_page, unread_line
from ringcut_cli.audit.running import Ended
from ringcut_cli.audit.screentext import questions_of, screen_page
from ringcut_cli.shown.page import Page, out

FEW = 12
"""Up to so many logs are told one by one."""
UNREAD_SHOWN = 40


class TextSink:
    """Holds a few logs, so that a page can be made of them; of more only the gravest are held."""

    def __init__(self, questions: str = "") -> None:
        self.questions = questions
        self.files: list[FileRead] = []
        self.logs: list[LogReport] = []
        self.grave: list[tuple[int, str, str]] = []
        self.lost: list[UnreadLog] = []
        self.count = 0

    def file(self, read: FileRead) -> None:
        """Kept; of very many files the first."""
        self.files.append(read)

    def log(self, report: LogReport) -> None:
        """Kept while they are few."""
        self.count += 1
        if self.count <= FEW:
            self.logs.append(report)

    def unread(self, found: UnreadLog) -> None:
        """Kept, the first ones."""
        if len(self.lost) < UNREAD_SHOWN:
            self.lost.append(found)

    def end(self, ended: Ended) -> None:
        """Write the page."""
        page = Page()
        for read in self.files:
            file_page(page, read)
        self._lost(page, ended)
        if self.count <= FEW:
            for report, asks in zip(self.logs, questions_of(self.logs, ended.asks), strict=True):
                screen_page(page, report, asks)
        if self.count > FEW:
            counts_page(page, ended)
        patterns_page(page, ended.patterns)
        self._said(page, ended)
        self._details(page)
        out(page.written())

    def _details(self, page: Page) -> None:
        """What the screen rests on."""
        if len(self.files) <= FEW:
            for read in self.files:
                read_page(page, read, named=len(self.files) > 1)
        if self.count <= FEW and self.logs:
            page.heading("IN DETAIL", "evidence and basis, log by log")
            for report in self.logs:
                log_page(page, report)
        page.gap()
        for report in self.logs[:1]:
            digests = report.digests
            page.text(f"Judged by {report.rulebook}, {digests.rulebook[:12]}; ringcut {digests.version}.")
            page.text(report.ends_with)

    def _lost(self, page: Page, ended: Ended) -> None:
        if not self.lost:
            return
        page.heading("NOT READ", f"{ended.summary.not_read}, of these nothing was judged")
        for found in self.lost:
            for text in unread_line(found):
                page.text(text, 2)
        if ended.summary.not_read > len(self.lost):
            page.text(f"and {ended.summary.not_read - len(self.lost)} more", 2)

    def _said(self, page: Page, ended: Ended) -> None:
        numbers = ", [1]" if len(ended.asks) == 1 else f", [1] to [{len(ended.asks)}]" if ended.asks else ""
        numbers = numbers if self.count <= FEW else ""
        said: Sequence[str] = (
            f"Questions to the crew: {len(ended.asks)}{numbers}"
            + (f", in {self.questions}" if self.questions else " (--questions FILE.csv)"),
            *ended.aloud,
            f"{ended.from_store} of the results were known from the store." if ended.from_store else "",
            "Stopped from the keyboard: this is what was done until then." if ended.stopped else "",
            "A worker process was lost: this is what was done until then." if ended.lost else "",
        )
        page.gap()
        for line in said:
            if line:
                page.text(line)

"""An audit in a terminal: one screen, and what it rests on below.

The screen tells what was read and what not, then of each log what does not conform, what cannot be said and what to
ask, or counts where there are many. Every assumption, every cell that was not taken, evidence and basis follow.
"""

from __future__ import annotations

from collections.abc import Sequence

from ringcut.archive.results import FileRead, LogReport, UnreadLog
from ringcut_cli.audit.countstext import counts_page, patterns_page
from ringcut_cli.audit.gravest import Departures, Gravest
from ringcut_cli.audit.logtext import log_page
from ringcut_cli.audit.manytext import ROOM, files_line, many_page
from ringcut_cli.audit.readtext import count, file_page, quiet_page, read_page, unread_line
from ringcut_cli.audit.running import Ended
from ringcut_cli.audit.screentext import questions_of, screen_page
from ringcut_cli.shown.page import Page, out

FEW = 12
"""Up to so many logs are told one by one, up to so many files one by one before everything else."""
SCREEN = 44
"""Lines that logs told one by one may fill; where they are more, what all of them come to stands before them."""
QUIET = 2
"""Up to so many files with one log each are told one by one."""
UNREAD_SHOWN = 40
UNREAD_ON_SCREEN = 4
"""Texts about what could not be read that stand on the screen of many logs; the others follow below it."""
NAMED = 200
"""Of so many logs that do not conform, the gravest, the page below the screen tells what breaks them."""
ASKED = 2000
"""Up to so many questions stand with their logs below the screen of many; of more only the file has all."""


class TextSink:
    """Holds a few logs, so that a page can be made of them; of more only the gravest are held."""

    def __init__(self, questions: str = "", several: bool = False) -> None:
        self.questions = questions
        self.several = several
        """Whether tables were read by one of several column files, so that it is told by which."""
        self.files: list[FileRead] = []
        self.logs: list[LogReport] = []
        self.gravest = Gravest(NAMED)
        self.lost: list[UnreadLog] = []
        self.count = 0
        self.planned = Departures(ROOM)

    def file(self, read: FileRead) -> None:
        """Kept."""
        self.files.append(read)

    def log(self, report: LogReport) -> None:
        """Kept while they are few; of many, the gravest."""
        self.count += 1
        self.gravest.add(report)
        if self.count <= FEW:
            self.logs.append(report)
        self.planned.add(report)

    def unread(self, found: UnreadLog) -> None:
        """Kept, the first ones."""
        if len(self.lost) < UNREAD_SHOWN:
            self.lost.append(found)

    def end(self, ended: Ended) -> None:
        """Write the page."""
        page = Page()
        if len(self.files) > FEW:
            files_line(page, self.files, self.several)
        else:
            self._few_files(page)
        lost = [text for found in self.lost for text in unread_line(found)]
        shown = len(lost) if self.count <= FEW else UNREAD_ON_SCREEN
        self._lost(page, ended, lost[:shown], "" if len(lost) <= shown else "and more, below")
        together = self._together(ended)
        if together:
            many_page(page, ended, self.gravest.found(), self.questions, self.planned)
        else:
            self._one_by_one(page, ended)
        patterns_page(page, ended.patterns)
        self._said(page, ended, together)
        self._details(page, ended, lost if len(lost) > shown else [], together)
        out(page.written())

    def _few_files(self, page: Page) -> None:
        """A file each; those with one log of which nothing is to be said in one line, where they are several."""
        lost = {found.file for found in self.lost}
        read = [each for each in self.files if each.kind != "procedure" or each.file not in lost]
        quiet = [each for each in read if each.kind == "procedure"]
        for each in read:
            if each not in quiet or len(quiet) <= QUIET:
                file_page(page, each, several=self.several)
        if len(quiet) > QUIET:
            quiet_page(page, quiet)

    def _together(self, ended: Ended) -> bool:
        """Whether the logs are told together first: they are many, or one by one they fill more than a screen."""
        if self.count > FEW:
            return True
        alone = Page(colour=False)
        self._one_by_one(alone, ended)
        return len(self.logs) > 1 and alone.written().count("\n") > SCREEN

    def _one_by_one(self, page: Page, ended: Ended) -> None:
        for report, asks in zip(self.logs, questions_of(self.logs, ended.asks), strict=True):
            screen_page(page, report, asks)

    def _details(self, page: Page, ended: Ended, lost: Sequence[str], together: bool) -> None:
        """What the screen rests on."""
        if self.count > FEW:
            self._counted(page, ended)
        elif together:
            page.heading("LOG BY LOG")
            self._one_by_one(page, ended)
        if lost:
            self._lost(page, ended, lost, _more_lost(ended, self.lost))
        self._files(page)
        if self.count <= FEW and self.logs:
            page.heading("IN DETAIL", "evidence and basis, log by log")
            for report in self.logs:
                log_page(page, report)
        page.gap()
        for report in self.logs[:1]:
            digests = report.digests
            page.text(f"Judged by {report.rulebook}, {digests.rulebook[:12]}; ringcut {digests.version}.")
            page.text(report.ends_with)

    def _files(self, page: Page) -> None:
        """Every assumption and every cell that was not taken; first, where they are many, each file by name."""
        telling = [read for read in self.files if read.kind != "procedure"]
        if len(self.files) > FEW and telling:
            page.heading("FILES", _single(len(self.files) - len(telling)))
            for read in telling[:NAMED]:
                file_page(page, read, close=True, several=self.several)
        for read in telling[:NAMED]:
            read_page(page, read, named=len(self.files) > 1)
        if len(telling) > NAMED:
            page.gap()
            page.text(f"and {count(len(telling) - NAMED, 'file')} more: --format json tells of all")

    def _counted(self, page: Page, ended: Ended) -> None:
        """Every log that does not conform, with all that breaks it, and the counts by whom and where."""
        grave = [each.report for each in self.gravest.found()]
        if grave:
            bad = ended.summary.rate.nonconforming
            page.heading("EACH LOG THAT DOES NOT CONFORM", f"the {len(grave)} gravest" if bad > len(grave) else "")
            asks = questions_of(grave, ended.asks) if len(ended.asks) <= ASKED else [[] for _ in grave]
            for report, own in zip(grave, asks, strict=True):
                screen_page(page, report, own, detailed=False)
        counts_page(page, ended.summary)

    def _lost(self, page: Page, ended: Ended, texts: Sequence[str], more: str) -> None:
        if not texts:
            return
        page.heading("NOT READ", f"{ended.summary.not_read}, of these nothing was judged")
        for text in texts:
            page.text(text, 2)
        if more or (more := _more_lost(ended, self.lost)):
            page.text(more, 2)

    def _said(self, page: Page, ended: Ended, together: bool) -> None:
        numbers = ", [1]" if len(ended.asks) == 1 else f", [1] to [{len(ended.asks)}]" if ended.asks else ""
        said: Sequence[str] = (
            "Questions to the crew: none."
            if not ended.asks
            else ""
            if together
            else f"Questions to the crew: {len(ended.asks)}{numbers}"
            + (f", in {self.questions}" if self.questions else " (--questions FILE.csv)"),
            *ended.aloud,
            _from_store(ended.from_store),
            "Stopped from the keyboard: this is what was done until then." if ended.stopped else "",
            "A worker process was lost: this is what was done until then." if ended.lost else "",
        )
        page.gap()
        for line in said:
            if line:
                page.text(line)


def _from_store(known: int) -> str:
    if not known:
        return ""
    return f"{count(known, 'result')} {'was' if known == 1 else 'were'} in the store already."


def _single(number: int) -> str:
    return f"{number} more {'has' if number == 1 else 'have'} one log each" if number else ""


def _more_lost(ended: Ended, lost: Sequence[UnreadLog]) -> str:
    left = ended.summary.not_read - len(lost)
    return f"and {left} more" if left > 0 else ""

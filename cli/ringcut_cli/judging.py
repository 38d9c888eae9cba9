"""Judging files for a person: the rulebook and the concessions once, then each file with its page."""

from __future__ import annotations

from hashlib import sha256
from pathlib import Path
from typing import NamedTuple

import msgspec

from ringcut.checking import read
from ringcut.judge.concessions import Concessions, conceded, read_concessions
from ringcut.judge.findings import Report
from ringcut.judge.judge import judge_procedure
from ringcut.language.ir import Rulebook
from ringcut.language.ruletext import TableText
from ringcut.reading.problems import Place, Problem, Unreadable
from ringcut.reading.procedurefile import read_raw
from ringcut.report.readas import ReadAs, read_as
from ringcut_cli.inputs import bytes_of, name_of
from ringcut_cli.rulebooks import rulebook
from ringcut_cli.shown.page import Page
from ringcut_cli.shown.problemtext import problems_page
from ringcut_cli.shown.reporttext import report_page


class Unread(NamedTuple):
    """A file that could not be read, with every problem."""

    file: str
    problems: tuple[Problem, ...]


class Judging:
    """One rulebook and one day for any number of files."""

    def __init__(
        self, folder: Path | None, day: str, concessions: Path | None = None, stock: Path | None = None
    ) -> None:
        self.day, self.folder, self.stock = day, folder, stock
        self.stocked: tuple[bytes, TableText] | None = None
        if stock is not None:
            from ringcut.draft.stock import read_stock

            data = stock.read_bytes()
            self.stocked = data, read_stock(data, str(stock))
        self.book = self._book(day)
        self.given = Concessions()
        if concessions is not None:
            self.given = read_concessions(concessions.read_bytes(), str(concessions), self.book)
        self.used: frozenset[int] = frozenset()
        self.references: set[str] = set()

    def judge(self, file: str) -> tuple[Report | Unread, str]:
        """The report of a file, or why it cannot be read, and the page that says so."""
        name = name_of(file)
        page = Page()
        read: tuple[ReadAs, ...] = ()
        try:
            data = bytes_of(file)
            raw = read_raw(data, name, [])
            read = read_as(raw, data, self.book) if raw is not None else ()
            report = self._checked(data, name)
        except OSError as error:
            hint = "give a plan or a log, or - for standard input"
            unread = Unread(name, (Problem(Place(name), error.strerror or str(error), hint=hint),))
        except Unreadable as error:
            unread = Unread(name, error.problems)
        else:
            report = self._conceded(report)
            report_page(page, report, read)
            return report, page.written()
        problems_page(page, name, unread.problems, read)
        return unread, page.written()

    def _book(self, day: str) -> Rulebook:
        book = rulebook(self.folder, day)
        if self.stocked is None:
            return book
        from ringcut.draft.stock import with_stock

        return with_stock(book, self.stocked[1])

    def _checked(self, data: bytes, name: str) -> Report:
        """A plan is judged by the edition in force on the day judged for, a log by that of its own day."""
        procedure = read(data, name, self.book)
        book = self.book
        if not procedure.plan and procedure.day and self.folder is not None and self.folder.is_file():
            book = self._book(procedure.day)
            procedure = read(data, name, book)
        report = judge_procedure(procedure, book, file=name, as_of=self.day)
        if self.stocked is not None:
            digests = msgspec.structs.replace(report.digests, stock=sha256(self.stocked[0]).hexdigest())
            report = msgspec.structs.replace(report, stock=str(self.stock), digests=digests)
        if not procedure.plan:
            return report
        from ringcut.fit.leftopen import with_choices

        return with_choices(report, procedure, book)

    def _conceded(self, report: Report) -> Report:
        self.references.add(report.reference)
        if not self.given.digest:
            return report
        changed, used = conceded(report, self.given, self.day)
        self.used |= used
        changed_aloud: Report = msgspec.structs.replace(changed, aloud=(*changed.aloud, *self.given.aloud))
        return changed_aloud

    def left_over(self) -> list[str]:
        """What is said of concessions that nothing met: each of a job that was judged, the others by their number."""
        left = [each for number, each in enumerate(self.given.usable) if number not in self.used]
        here = [each for each in left if each.job.text in self.references]
        told = [f"{each.place}: the concession on {each.rule} for {each.job} was not used." for each in here]
        others = sorted({each.job.text for each in left} - self.references)
        if others:
            told.append(f"Concessions for other jobs, not looked at: {', '.join(others)}.")
        return told

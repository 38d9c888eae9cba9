"""One log of an archive judged: by the edition in force on its day, with concessions, quoted by row and cell."""

from __future__ import annotations

import datetime
from collections import Counter
from collections.abc import Iterable
from typing import Protocol

import msgspec

from ringcut.archive.again import asked_again, not_taken_answers
from ringcut.archive.answering import Answers
from ringcut.archive.given import Given
from ringcut.archive.ledger import Noted, NotTaken
from ringcut.archive.logs import ReadLog
from ringcut.archive.measured import measured_of
from ringcut.archive.notes import notes_of
from ringcut.archive.odd import odd_readings
from ringcut.archive.otherside import with_other_side
from ringcut.archive.questions import asks_of
from ringcut.archive.quoting import cells_of, mark_unread, placed, refused_cells
from ringcut.archive.results import Item, LogReport, PlanCompared, UnreadLog
from ringcut.archive.spreadsheets import Known, Reading
from ringcut.archive.timeline import timeline
from ringcut.archive.uncertain import chances_of
from ringcut.archive.unrecorded import together, words_of
from ringcut.archive.whatif import would_follow
from ringcut.archive.whichstep import settled
from ringcut.judge import cover
from ringcut.judge.concessions import Concessions, conceded
from ringcut.judge.findings import Report
from ringcut.judge.judge import judge_procedure
from ringcut.language import ir
from ringcut.reading.problems import Place, Problem
from ringcut.reading.raw import RawProcedure, RawReading, RawStep
from ringcut.relations.procedure import Procedure
from ringcut.relations.resolve import ADMINISTRATIVE, resolve
from ringcut.relations.spans import Words
from ringcut.report.published import not_read


class Books(Protocol):
    """Rulebooks by day."""

    def on(self, day: str) -> ir.Rulebook:
        """The rulebook in force on a day, ISO 8601."""


class Plans(Protocol):
    """Plans that logs are compared with."""

    def compare(self, raw: RawProcedure, log: Procedure, book: ir.Rulebook) -> PlanCompared | None:
        """The comparison with the plan of the same reference or digest, if there is one."""

    def why_not(self, raw: RawProcedure) -> str:
        """Why nothing was compared, where the log names a plan that is not given; else empty."""


NO_ANSWERS = Answers()


class Auditor:
    """Judges logs one by one; everything that holds for all of them is given once.

    ``as_of``: the day for logs that do not say theirs, and the day on which concessions must hold.
    """

    def __init__(
        self,
        books: Books,
        as_of: str,
        concessions: Concessions | None = None,
        plans: Plans | None = None,
        pictures: bool = False,
    ) -> None:
        self.books, self.as_of, self.plans = books, as_of, plans
        self.concessions = concessions or Concessions()
        self.pictures = pictures

    def audit(self, log: ReadLog, sheet: Reading | None = None, answers: Answers = NO_ANSWERS) -> Item:
        """Judge a log, with what was answered for it. A log that cannot be resolved is told with its problems and not
        judged; an answer that cannot be read costs that answer."""
        unasked, book = log, self.books.on(self.as_of)
        log = answers.given(log, book)
        unsettled: tuple[NotTaken, ...] = ()
        if sheet is not None:
            log, unsettled = settled(log, book)
        read = self._resolved(log)
        if isinstance(read, list) and (spoiled := _spoiled(log, read)):
            log = answers.given(unasked, book, spoiled)
            if sheet is not None:
                log, unsettled = settled(log, book)
            read = self._resolved(log)
        if isinstance(read, list) and sheet is not None:
            log = msgspec.structs.replace(log, raw=without_bad_readings(log.raw, read))
            read = self._resolved(log)
        if isinstance(read, list):
            troubles = not_read(log.raw.place.file, sorted(set(read))).problems
            return Item(unread=UnreadLog(log.raw.place.file, log.raw.place.line, log.reference, troubles))
        procedure, book = read
        _in_rows(procedure, log)
        refused, noted, columns = _not_taken(log, sheet)
        mine = Given(log, cells_of(log), (*refused, *unsettled), noted, columns)
        mark_unread(procedure, refused_cells(mine.not_taken, mine.columns, mine.noted), book)
        report = judge_procedure(procedure, book, file=log.raw.place.file, as_of=procedure.day or self.as_of)
        if self.concessions.digest:
            report, _ = conceded(report, self.concessions, self.as_of)
        made = self._report(report, mine, procedure, book)
        asks = asked_again(asks_of(made, mine, procedure, book), mine)
        return Item(made, None, odd_readings(procedure, book), asks, log.raw.place.line)

    def _resolved(self, log: ReadLog) -> tuple[Procedure, ir.Rulebook] | list[Problem]:
        raw, book = log.raw, self.books.on(self.as_of)
        problems: list[Problem] = []
        procedure = resolve(raw, book, problems)
        if procedure.day and procedure.day != self.as_of:
            other = self.books.on(procedure.day)
            if other is not book:
                book, problems = other, []
                procedure = resolve(raw, book, problems)
        if not problems:
            problems += cover.impossible(procedure, book)
        procedure.claims = [(each.text, each.place) for each in log.claims]
        return problems or (procedure, book)

    def _report(self, report: Report, mine: Given, procedure: Procedure, book: ir.Rulebook) -> LogReport:
        log, refused = mine.log, refused_cells(mine.not_taken, mine.columns, mine.noted)
        found = [placed(each, procedure, mine.cells, refused) for each in report.findings]
        findings = with_other_side(found, procedure, book)
        told_together = together(findings, procedure, book)
        words = dict.fromkeys(words_of(findings[number]) for number in told_together)
        measured = measured_of(procedure, book, report)
        compared = self.plans.compare(log.raw, procedure, book) if self.plans else None
        fields = {name: getattr(report, name) for name in Report.__struct_fields__}
        fields["findings"] = findings
        fields["reference"] = report.reference or log.reference
        return LogReport(
            **fields,
            day=procedure.day,
            week=_week(procedure.day),
            contractor=_fact(procedure, "contractor"),
            crew=crew_of(procedure),
            where=log.where or _fact(procedure, "location"),
            order_closure=log.closure,
            likelier=log.likelier,
            job_known=tuple(sorted({name for name, _ in procedure.job} - set(ADMINISTRATIVE))),
            ends_after=_last(procedure),
            not_recorded=tuple(words),
            together=tuple(told_together),
            notes=(*notes_of(mine, procedure, report, measured), *not_taken_answers(log)),
            measured=measured,
            would=would_follow(findings, mine, procedure, book),
            chances=chances_of(procedure, book),
            compared=compared,
            not_compared=self.plans.why_not(log.raw) if self.plans else "",
            timeline=timeline(procedure, book) if self.pictures else None,
        )


def _last(procedure: Procedure) -> str:
    """The last entry of a log that is not finished, with its line; empty where it is finished, or has no entry."""
    there = [each for each in procedure.occurrences if not each.implied]
    if procedure.finished or not there:
        return ""
    return f"{there[-1].label} (line {there[-1].place.line})"


def _not_taken(
    log: ReadLog, sheet: Reading | None
) -> tuple[tuple[NotTaken, ...], tuple[Noted, ...], tuple[Known, ...]]:
    """What was not taken and what was noted in the rows of a log, and the columns of its table."""
    if sheet is None:
        return (), (), ()
    file, lines = log.raw.place.file, set(log.lines)
    alone = sum(each.raw.place.file == file for each in sheet.logs) == 1
    refused = tuple(
        each
        for each in sheet.not_taken
        if each.place.file == file
        # what stands above the rows of a sheet of one job belongs to it as its rows do
        and (each.place.line in lines or alone and each.fact and each.place.line < min(lines))
    )
    noted = tuple(each for each in sheet.noted if each.place.file == file and each.place.line in lines)
    named = file.rpartition("#")[2] if len(sheet.tables) > 1 else sheet.tables[0].sheet
    table = next((each for each in sheet.tables if each.sheet == named), sheet.tables[0])
    return refused, noted, table.columns


def _in_rows(procedure: Procedure, log: ReadLog) -> None:
    """What was answered stands in the row that was asked about, and no more in a line of the file of answers."""
    file = log.raw.place.file
    rows = {each.said.place: Place(file, each.row) for each in log.answered}
    for each in procedure.occurrences if rows else ():
        each.place = rows.get(each.place, each.place)
        for key, (text, place) in each.texts.items():
            each.texts[key] = (text, rows.get(place, place))


def _spoiled(log: ReadLog, problems: Iterable[Problem]) -> dict[Place, str]:
    """The answers at which a problem stands, by their place, and what it is."""
    places = {each.said.place for each in log.answered}
    return {each.place: each.in_words for each in problems if each.place in places}


def _week(day: str) -> str:
    if not day:
        return ""
    year, week, _ = datetime.date.fromisoformat(day).isocalendar()
    return f"{year}-W{week:02d}"


def _fact(procedure: Procedure, name: str) -> str:
    value = procedure.job.get((name, ""))
    if isinstance(value, Words) and len(value.options) == 1:
        return value.options[0]
    return procedure.job_texts[name][0] if name in procedure.job_texts else ""


def crew_of(procedure: Procedure) -> str:
    """Who did it: everybody named in at least a quarter of the entries that name somebody (not the office)."""
    named = [each.by for each in procedure.occurrences if each.by and not each.implied]
    counted = Counter(name for names in named for name in dict.fromkeys(names))
    return ", ".join(sorted(name for name, count in counted.items() if 4 * count >= len(named)))


def without_bad_readings(raw: RawProcedure, problems: Iterable[Problem]) -> RawProcedure:
    """The procedure without the readings at which a problem stands: a bad cell costs that cell, not the log."""
    bad = {each.place for each in problems}

    def good(given: RawReading) -> bool:
        values = [given.value, *(value for _, value in given.sides), *given.items]
        return not any(value is not None and value.place in bad for value in values)

    steps = tuple(
        msgspec.structs.replace(step, readings=tuple(filter(good, step.readings)))
        if isinstance(step, RawStep)
        else step
        for step in raw.steps
    )
    changed: RawProcedure = msgspec.structs.replace(raw, steps=steps, job=tuple(filter(good, raw.job)))
    return changed

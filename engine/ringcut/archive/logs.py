"""Entries gathered into logs: one a work order, or one a closure where the jobs file knows their facts
apart."""

from __future__ import annotations

from fractions import Fraction

import msgspec

from ringcut.archive.begun import begun
from ringcut.archive.cells import Cell
from ringcut.archive.clock import put_on_one_clock
from ringcut.archive.columns import ColumnFile
from ringcut.archive.entries import Doing, Entry
from ringcut.archive.factcells import same_fact
from ringcut.archive.jobs import Job, Jobs, key_of
from ringcut.archive.ledger import Ledger
from ringcut.archive.lexicon import Lexicon
from ringcut.archive.longform import merged
from ringcut.archive.ownform import fact_reading
from ringcut.reading.phrase import Phrase
from ringcut.reading.problems import Place
from ringcut.reading.raw import RawProcedure, RawReading, RawStep
from ringcut.reading.suggest import canonical

_HALF = Fraction(720)


class Answered(msgspec.Struct, frozen=True):
    """What the crew answered to one thing asked of a log: of a cell (``column``), a reading, or a job fact."""

    row: int
    column: str
    step: str
    reading: str
    side: str
    said: Phrase
    says: str = ""
    """Why it was not taken; empty where it was."""


class ReadLog(msgspec.Struct):
    """A log of one order, and how it was put together."""

    reference: str
    raw: RawProcedure
    lines: tuple[int, ...]
    matched: bool = True
    """Its reference stands in the jobs file (or there is none)."""
    likelier: str = ""
    """The reference it may be meant for; its facts are not taken from there."""
    closure: str = ""
    where: str = ""
    texts: dict[str, str] = {}
    """``row:letter``: the cell's own text, where a text of the log was made of it."""
    claims: tuple[Phrase, ...] = ()
    """The words of rows that name no step and claim them all."""
    answered: tuple[Answered, ...] = ()
    sayings: tuple[str, ...] = ()
    """What its column file says of tasks."""


class Gatherer:
    """Collects the entries of a file; ``logs`` puts them together."""

    def __init__(
        self, spec: ColumnFile, jobs: Jobs | None, ledger: Ledger, columns_name: str, digest: str, lexicon: Lexicon
    ) -> None:
        self.lexicon = lexicon
        self.spec, self.jobs, self.ledger, self.digest = spec, jobs, ledger, digest
        self.said_in = Place(columns_name)
        self._sayings = tuple(say for task in spec.tasks for say in task.say)
        self._orders: dict[str, list[Entry]] = {}
        self._asked: set[tuple[str, int, int]] = set()

    def add(self, entry: Entry) -> None:
        """Take an entry to its order; one without a reference belongs to none, which is told."""
        reference = entry.reference
        if not reference:
            cell = Cell("", entry.line, max(reference.column, 1))
            self.ledger.refuse("reference", cell, "no work order in this row, so it belongs to no log")
            return
        self._check(reference)
        self._orders.setdefault(key_of(reference.text), []).append(entry)

    def _check(self, cell: Cell) -> None:
        key = (self.ledger.file, cell.line, cell.column)
        if self.jobs is None or key in self._asked:
            return
        self._asked.add(key)
        text = cell.text.strip()
        found = self.jobs.of(text)
        if not found:
            near = self.jobs.likelier(text)
            said = f"Did they mean {near}?" if near else ""
            self.ledger.refuse("reference", cell, f"not in {self.jobs.file}", said)
        elif found[0].reference != text:
            self.ledger.note(
                "reference", cell, f"taken as {found[0].reference}: only letter case, blanks or signs differ"
            )

    def logs(self) -> list[ReadLog]:
        """Every log, in the order in which its first row stands."""
        made = []
        for entries in self._orders.values():
            self.ledger.file = entries[0].file
            self._without_day(entries)
            timed = [entry.timed for entry in entries if entry.timed]
            unclear = {id(each) for each in put_on_one_clock(timed, self.spec.clock, self.ledger)}
            for entry in entries:
                if id(entry.timed) in unclear:
                    entry.timed = entry.started = None
            made += self._of_order(entries)
        return made

    def _without_day(self, entries: list[Entry]) -> None:
        """Times without a date, in an order that has dates, lie on no day: they are not taken, which is told."""
        if not any(entry.timed and entry.timed.date for entry in entries):
            return
        for entry in entries:
            timed = entry.timed
            if timed is None or timed.date is not None:
                continue
            if timed.undated:
                self.ledger.refuse("time", timed.cell, timed.undated)
            else:
                self.ledger.note("time", timed.cell, "not taken, for the date of its row is not known")
            entry.timed = entry.started = None

    def _of_order(self, entries: list[Entry]) -> list[ReadLog]:
        text = entries[0].reference.text.strip()
        jobs = self.jobs.of(text) if self.jobs else []
        by_closure = [job for job in jobs if job.closure]
        if not by_closure:
            return [self._log(text, entries, jobs[0] if jobs else None)]
        logs = []
        for job in by_closure:
            own = [each for each in entries if each.closure is None or key_of(each.closure.text) == key_of(job.closure)]
            if any(each.closure for each in own):
                logs.append(self._log(text, own, job))
        known = {key_of(job.closure) for job in by_closure}
        rest = [each for each in entries if each.closure and key_of(each.closure.text) not in known]
        for each in rest:
            assert each.closure
            cell = Cell(each.closure.text, each.line, each.closure.place.column)
            self.ledger.refuse("reference", cell, f"closure {each.closure.text} of {text} is not in the jobs file")
        if rest or not logs:
            plain = next((job for job in jobs if not job.closure), None)
            logs.append(self._log(text, rest or entries, plain))
        return logs

    def _log(self, text: str, entries: list[Entry], job: Job | None) -> ReadLog:
        first = entries[0].reference
        texts = {f"{line}:{letter}": said for each in entries for (line, letter), said in each.texts.items()}
        raw = RawProcedure(
            "log",
            job=self._job(entries, job),
            steps=tuple(self._steps(entries)),
            keys=self._keys(),
            place=first.place(entries[0].file),
            digest=self.digest,
        )
        return ReadLog(
            job.reference if job else text,
            raw,
            tuple(dict.fromkeys(each.line for each in entries)),
            matched=self.jobs is None or job is not None,
            likelier="" if job or not self.jobs else self.jobs.likelier(text),
            closure=job.closure if job else "",
            where=next((each.where for each in entries if each.where), ""),
            texts=texts,
            claims=tuple(each.claim for each in entries if each.claim),
            sayings=self._sayings,
        )

    def _keys(self) -> dict[str, Phrase]:
        # what is missing in a log of which nobody has said what it holds cannot be held against the crew
        keys = {"records": Phrase(self.spec.records or "milestones", self.said_in)}
        if self.spec.time_means == "started":
            keys["stamp"] = Phrase("started", self.said_in)
        if self.spec.sorted is False:
            keys["sorted"] = Phrase("no", self.said_in)
        return keys

    def _job(self, entries: list[Entry], job: Job | None) -> tuple[RawReading, ...]:
        """Facts of the jobs file, then of the sheet, then of the column file; the first that says something
        counts."""
        facts: dict[str, RawReading] = {}
        reference = entries[0].reference
        said = job.reference if job else reference.text.strip()
        facts["reference"] = RawReading(Phrase("reference"), reference.phrase(entries[0].file, said))
        for given in job.facts if job else ():
            facts[canonical(given.name.text)] = given
        for entry in entries:
            for name, phrase in entry.facts.items():
                self._fact(facts, name, phrase, entry)
        spec = {**({"contractor": self.spec.contractor} if self.spec.contractor else {}), **self.spec.job}
        if self.spec.timezone:
            spec["timezone"] = self.spec.timezone
        for name, text in spec.items():
            facts.setdefault(
                canonical(name), RawReading(Phrase(canonical(name), self.said_in), Phrase(text, self.said_in))
            )
        day = next((each.day for each in entries if each.day), None)
        if day:
            place = Place(entries[0].file, entries[0].line)
            facts.setdefault("date", RawReading(Phrase("date", place), Phrase(day.isoformat(), place)))
        return tuple(facts.values())

    def _fact(self, facts: dict[str, RawReading], name: str, phrase: Phrase, entry: Entry) -> None:
        known = facts.get(canonical(name))
        if self.spec.shape == "own-form":
            fact = canonical(name.removesuffix(" A").removesuffix(" B"))
            more = fact_reading(name, phrase, facts.get(fact))
            if more is not None or fact != canonical(name):
                facts |= {fact: more} if more is not None else {}
                return
        if known is None:
            facts[canonical(name)] = RawReading(Phrase(canonical(name), phrase.place), phrase)
        elif known.value is not None and not same_fact(known.value.text, phrase.text, self.lexicon.fact(name)):
            cell = Cell(phrase.text, phrase.place.line, phrase.place.column)
            self.ledger.refuse("fact", cell, f"{name} is {known.value.text} in {known.value.place}")

    # steps

    def _steps(self, entries: list[Entry]) -> list[RawStep]:
        rows = merged(entries) if self.spec.shape == "long" else entries
        return [self._step(entry, doing) for entry in rows for doing in entry.doings]

    def _step(self, entry: Entry, doing: Doing) -> RawStep:
        file = entry.file
        timed = entry.timed
        started = begun(entry, self.ledger)
        return RawStep(
            do=Phrase(doing.step, doing.said.place),
            at=timed.cell.phrase(file, timed.text) if timed else None,
            started=entry.started[1].phrase(file, started) if entry.started and started else None,
            by=entry.by,
            side=(entry.side,) if entry.side else (),
            closure=entry.closure,
            status=entry.status,
            reason=entry.reason,
            evidence=entry.evidence,
            note=entry.note,
            readings=_readings(doing),
            place=doing.said.place,
            unlisted=entry.unplaced and timed is None,
        )


def _readings(doing: Doing) -> tuple[RawReading, ...]:
    """Values for one side each become one reading with a value a side."""
    made: dict[str, RawReading] = {}
    for taken in doing.readings:
        name = Phrase(taken.name, taken.value.place)
        if not taken.side:
            made[taken.name] = RawReading(name, taken.value)
            continue
        known = made.get(taken.name)
        sides = (*(known.sides if known else ()), (Phrase(taken.side, taken.value.place), taken.value))
        made[taken.name] = RawReading(name, known.value if known else None, sides)
    return tuple(made.values())

"""What an audit gives: one report a log, and what was read of each file. These structs are the published JSON."""

from __future__ import annotations

import msgspec

from ringcut.archive.ledger import Assumption, Noted, NotTaken
from ringcut.archive.spreadsheets import TableRead
from ringcut.archive.timeline import Timeline
from ringcut.judge.findings import Report
from ringcut.report.published import Trouble


class Note(msgspec.Struct, frozen=True, rename="kebab"):
    """Something worth knowing of a log that is no verdict."""

    line: int
    letter: str
    text: str
    """The cell's own text."""
    says: str
    kind: str = ""
    """agreed, clock-angle, grown, lasting, entered-late, or what was noted of a cell."""


class Changed(msgspec.Struct, frozen=True, rename="kebab"):
    """A reading that was done otherwise than planned."""

    step: str
    line: int
    reading: str
    side: str
    planned: str
    done: str


class Exchanged(msgspec.Struct, frozen=True, rename="kebab"):
    """A reading whose sides were done as those of the plan the other way round: ``sides-swapped``, a question."""

    step: str
    reading: str
    says: str
    places: tuple[tuple[str, int, str], ...]
    """(side, line, letter of the column) of each value in the log."""


class FactChanged(msgspec.Struct, frozen=True, rename="kebab"):
    """A job fact of which the log says otherwise than its plan; ``side`` where the sides differ."""

    fact: str
    side: str
    planned: str
    done: str


class PlanCompared(msgspec.Struct, frozen=True, rename="kebab"):
    """A log beside its plan. Steps are called by their name or id, with the line in their own file."""

    plan: str
    """The file of the plan."""
    left_out: tuple[str, ...] = ()
    added: tuple[str, ...] = ()
    out_of_order: tuple[str, ...] = ()
    changed: tuple[Changed, ...] = ()
    swapped: tuple[Exchanged, ...] = ()
    exact: bool = True
    """False: too many ways to pair repeated steps; the best that was found is told."""
    facts: tuple[FactChanged, ...] = ()
    not_written: tuple[str, ...] = ()
    """Planned steps that the log does not have and need not have: it keeps milestones, or is not finished."""

    @property
    def differs(self) -> bool:
        """Whether anything is told."""
        return bool(self.left_out or self.added or self.out_of_order or self.changed or self.facts)


class Measured(msgspec.Struct, frozen=True, rename="kebab"):
    """A limit that holds, with what was found: for one row, and one side where its sides differ."""

    rule: str
    line: int
    letter: str
    side: str
    found: str
    needed: str
    computed: bool = False
    """Worked out from several readings, so that no cell shows it."""


class Chance(msgspec.Struct, frozen=True, rename="kebab"):
    """A limit judged of readings with a standard uncertainty: its verdict, and the probability that it is kept."""

    rule: str
    class_: str = msgspec.field(name="class")
    line: int
    side: str
    verdict: str
    chance: float
    """Of conformity, 0 to 1 (JCGM 106:2012)."""


class Would(msgspec.Struct, frozen=True, rename="kebab"):
    """What would follow if a cell that was not taken meant what it likelier means. Told, and never used."""

    where: str
    """Row and column letter."""
    value: str
    says: str


class LogReport(Report, frozen=True, rename="kebab", kw_only=True):
    """The judgement of one log of an archive, with where it comes from."""

    day: str = ""
    week: str = ""
    """ISO 8601 week, as 2026-W10."""
    contractor: str = ""
    crew: str = ""
    where: str = ""
    """The place as the crew writes it."""
    order_closure: str = ""
    likelier: str = ""
    """Where the reference is in no jobs file: the one it may be meant for."""
    job_known: tuple[str, ...] = ()
    """The job facts that are given, apart from reference, date and the like."""
    ends_after: str = ""
    """The last entry of a log that is not finished."""
    not_recorded: tuple[str, ...] = ()
    """Steps and readings that a log of milestones need not have: told together, no finding of their own in text."""
    together: tuple[int, ...] = ()
    """Places in ``findings`` of those that ``not_recorded`` tells."""
    notes: tuple[Note, ...] = ()
    measured: tuple[Measured, ...] = ()
    """The limits that hold, with their numbers."""
    would: tuple[Would, ...] = ()
    """What the likelier readings of refused cells would change."""
    chances: tuple[Chance, ...] = ()
    """The limits that were judged of readings with an uncertainty."""
    compared: PlanCompared | None = None
    not_compared: str = ""
    """Why nothing was compared, where the log names a plan that is none of those given."""
    timeline: Timeline | None = None
    """Where a picture was asked for."""


class UnreadLog(msgspec.Struct, frozen=True, rename="kebab"):
    """A log that could not be read, so that nothing of it was judged."""

    file: str
    line: int
    reference: str
    problems: tuple[Trouble, ...]


class Odd(msgspec.Struct, frozen=True):
    """A reading whose last digit nothing makes usual: what a copy would have in common."""

    what: str
    """``step.reading``, with the side."""
    text: str
    line: int
    ways: int
    """How many last digits it might as well have had."""


class Wanted(msgspec.Struct, frozen=True, rename="kebab"):
    """One thing a question asks for: a cell said again, a reading of a step, or (without a step) a job fact."""

    row: int
    column: str = ""
    text: str = ""
    """What stands in their cell."""
    step: str = ""
    reading: str = ""
    side: str = ""


class Ask(msgspec.Struct, frozen=True, rename="kebab"):
    """One question to the crew, with what is needed to use its answer. It asks for one thing, or for several that
    have one cause: the others stand under ``also``."""

    file: str
    sheet: str
    reference: str
    row: int
    column: str
    text: str
    """What stands in their cell."""
    question: str
    step: str = ""
    reading: str = ""
    side: str = ""
    answer: str = ""
    also: tuple[Wanted, ...] = ()
    rules: tuple[str, ...] = ()
    """The rules that cannot be said until it is answered."""

    @property
    def wants(self) -> tuple[Wanted, ...]:
        """Everything it asks for, in the order of the answer."""
        return (Wanted(self.row, self.column, self.text, self.step, self.reading, self.side), *self.also)


class Item(msgspec.Struct, frozen=True):
    """One log of a file, judged or not read."""

    report: LogReport | None = None
    unread: UnreadLog | None = None
    odd: tuple[Odd, ...] = ()
    asks: tuple[Ask, ...] = ()
    line: int = 0
    """The line (or first row) where the log stands."""


class FileRead(msgspec.Struct, frozen=True, rename="kebab"):
    """What a file of logs gave, before anything is judged."""

    file: str
    kind: str
    digest: str = ""
    tables: tuple[TableRead, ...] = ()
    assumptions: tuple[Assumption, ...] = ()
    not_taken: tuple[NotTaken, ...] = ()
    noted: tuple[Noted, ...] = ()
    problems: tuple[Trouble, ...] = ()
    logs: int = 0


class Audited(msgspec.Struct, frozen=True):
    """Everything one file, or some lines of one, gave."""

    items: tuple[Item, ...]
    file: FileRead | None = None
    unread: UnreadLog | None = None
    """The file itself could not be read."""

"""A procedure with its names looked up and its measures read: what rules are judged on."""

from __future__ import annotations

from fractions import Fraction

import msgspec

from ringcut.reading.problems import NOWHERE, Place
from ringcut.relations.spans import Value


class Occurrence(msgspec.Struct):
    """One doing of a step. ``begin`` and ``finish`` are seconds on the log's own clock, None where not known."""

    index: int
    step: str
    sides: tuple[str, ...]
    place: Place
    id: str = ""
    closure: str = ""
    by: tuple[str, ...] = ()
    begin: Fraction | None = None
    finish: Fraction | None = None
    optional: bool = False
    readings: dict[tuple[str, str], Value] = {}
    """(reading, side) -> value; side is empty for a reading that does not differ by side."""
    texts: dict[tuple[str, str], tuple[str, Place]] = {}
    """(reading, side) -> what was typed, and where."""
    placed: bool = True
    """False: without a time, in a log whose rows are in no order."""
    unread: frozenset[tuple[str, str]] = frozenset()
    """(reading, side) of which something is written that nobody could read; side is empty where it may be any."""
    evidence: tuple[str, ...] = ()
    note: str = ""
    implied: bool = False
    """The end of a step that lasts: it has no row of its own."""
    until: str = ""
    """For a step that lasts: the row that ends it, where that is not its own ``at``."""
    unlisted: bool = False
    """Told when asked: it has no row of its own, so that nobody knows where in the list it belongs."""
    uncertain: bool = False
    """The end of a step that lasts of which it is not known whether it was one."""

    @property
    def label(self) -> str:
        """How the entry is called in a message: its id where it has one."""
        return self.id or self.step


class NotDone(msgspec.Struct, frozen=True):
    """An entry that says a step was not done, does not apply or was not recorded."""

    step: str
    status: str
    reason: str
    sides: tuple[str, ...]
    closure: str
    place: Place


class Procedure(msgspec.Struct):
    """A plan or a log on one vocabulary."""

    plan: bool
    job: dict[tuple[str, str], Value]
    """(fact, side) -> value."""
    job_texts: dict[str, tuple[str, Place]]
    occurrences: list[Occurrence]
    edges: list[tuple[int, int]] = []
    """In a plan: (earlier, later) pairs by index, as written."""
    not_done: list[NotDone] = []
    sides: tuple[str, ...] = ("A", "B")
    milestones: bool = False
    finished: bool = True
    rows_in_order: bool = True
    assumptions: list[str] = []
    claims: list[tuple[str, Place]] = []
    """What rows without a step say was done, word for word: "all steps per practice"."""
    displaced: list[int] = []
    """In a plan: steps whose next entry says ``after`` something else."""
    displacing: list[int] = []
    """For each of them, that next entry."""
    place: Place = NOWHERE
    digest: str = ""
    reference: str = ""
    zone: int = 0
    """Seconds east of UTC of the log's own clock."""
    day: str = ""
    """The day of the first entry of a log, ISO 8601; empty where not known."""

    @property
    def closures(self) -> tuple[str, ...]:
        """The closures named, in order of their first naming; one unnamed where none is."""
        named = dict.fromkeys(each.closure for each in self.occurrences if each.closure)
        return tuple(named) or ("",)

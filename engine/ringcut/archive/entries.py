"""One row (or one tick) as an entry of a log: what was done, when, by whom, on which side, with which
readings."""

from __future__ import annotations

import datetime

import msgspec

from ringcut.archive.cells import Cell
from ringcut.archive.clock import Timed
from ringcut.archive.hours import Hour
from ringcut.reading.phrase import Phrase


class Taken(msgspec.Struct, frozen=True):
    """A reading that was taken: its name, the side its column is for, its value."""

    name: str
    value: Phrase
    side: str = ""


class Doing(msgspec.Struct):
    """One step of an entry. ``brought``: it is there because a reading of it is in the row, not by the task's
    words."""

    step: str
    said: Phrase
    readings: list[Taken]
    brought: bool = False

    def has(self, name: str, side: str) -> bool:
        """It has this reading on this side."""
        return any(each.name == name and each.side == side for each in self.readings)


class Entry(msgspec.Struct):
    """A row. ``reference`` is its own or filled-down reference cell."""

    file: str
    line: int
    reference: Cell
    doings: list[Doing]
    task: str = ""
    closure: Phrase | None = None
    date: datetime.date | None = None
    timed: Timed | None = None
    started: tuple[Hour, Cell] | None = None
    by: tuple[Phrase, ...] = ()
    side: Phrase | None = None
    unsided: Cell | None = None
    """The cell that says a side which nobody has explained."""
    status: Phrase | None = None
    reason: Phrase | None = None
    note: Phrase | None = None
    evidence: tuple[Phrase, ...] = ()
    claim: Phrase | None = None
    """The words of a row that names no step, and claims them all."""
    marked: bool = False
    """Its status stands in place of a reading, and counts only where no other row has a reading of the same doing."""
    unplaced: bool = False
    """Where in the work it was done, its place in the sheet does not say."""
    where: str = ""
    """The place as the crew writes it."""
    facts: dict[str, Phrase] = {}
    texts: dict[tuple[int, str], str] = {}
    """(row, column letter): the cell's own text, where a phrase made of it differs."""

    @property
    def day(self) -> datetime.date | None:
        """The date it was done, as far as the row or its time says it."""
        return self.date or (self.timed.date if self.timed else None)


def put(doings: list[Doing], step: str, taken: Taken) -> None:
    """Add a reading to the step of the row that has not got it yet; where there is none, the reading brings
    its step."""
    for doing in doings:
        if doing.step == step and not doing.has(taken.name, taken.side):
            if doing.brought and not doing.readings:
                doing.said = taken.value
            doing.readings.append(taken)
            return
    doings.append(Doing(step, taken.value, [taken], brought=True))


def stand(doings: list[Doing], step: str, said: Phrase) -> None:
    """Let the step be there, if only because a cell speaks of it."""
    if all(doing.step != step for doing in doings):
        doings.append(Doing(step, said, [], brought=True))

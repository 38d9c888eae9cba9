"""Rows of a sheet with a row a job: a column for each step with a mark or a time, and columns of readings among them.

The order of the columns is the order of the work. A reading belongs to the tick of its step; a step that has no
tick column of its own stands where its first reading stands; where that is behind the last tick, as in a block of
lengths at the end of the row, nothing says when it was done.
"""

from __future__ import annotations

from collections import Counter

import msgspec

from ringcut.archive.cells import Cell
from ringcut.archive.entries import Doing, Entry
from ringcut.archive.headings import Heading
from ringcut.archive.lexicon import Lexicon
from ringcut.archive.readingcells import ReadingCells, target_of
from ringcut.archive.rowcells import RowCells
from ringcut.archive.sheets import Line
from ringcut.archive.values import is_nothing
from ringcut.archive.whencells import WhenCells


class _Done(msgspec.Struct):
    """The entry of a step, and the number of the column that it stands in; ``ticked``: a column of its own says so."""

    column: int
    entry: Entry
    ticked: bool

    def does(self, steps: set[str], lexicon: Lexicon) -> bool:
        return any(not steps.isdisjoint((doing.step, *lexicon.shared(doing.step))) for doing in self.entry.doings)


class TickCells:
    """Reads the rows of one such sheet."""

    def __init__(self, rows: RowCells, when: WhenCells, readings: ReadingCells) -> None:
        self.rows, self.when, self.readings = rows, when, readings
        self.file = rows.file
        columns = rows.having("reading")
        held = Counter((each, heading.side) for heading in columns for each in heading.spec.reading)
        ticks = Counter(step for heading in rows.having("step") for step in heading.spec.step)
        again = {target_of(reading)[0] for (reading, _), count in held.items() if count > 1}
        self._several = again | {step for step, count in ticks.items() if count > 1}
        """Steps of which a row may have several, so that a reading can only belong to what stands before it."""
        self._empty_says = rows.spec.marks.empty in ("not-done", "not-applicable")
        """An empty tick is an answer by itself; else it is as if there were no such step in the row."""

    def entries(self, line: Line) -> list[Entry]:
        """The steps of a job in the order of their columns."""
        found = []
        for heading in self.rows.having("step"):
            cell = line.cells[heading.column]
            if cell or self._empty_says:
                found.append(_Done(heading.column, self._tick(cell, heading, line), True))
        for heading in self.rows.having("reading"):
            cell = line.cells[heading.column]
            if cell and not line.shifted:
                self._reading(cell, heading, line, found)
        last = max((each.column for each in found if each.ticked), default=0)
        for each in found:
            self.rows.one_side(line, each.entry)
            each.entry.unplaced = bool(last) and not each.ticked and each.column > last
        return [each.entry for each in sorted(found, key=lambda each: each.column)]

    def _base(self, heading: Heading, line: Line) -> Entry:
        entry = self.rows.base(line)
        entry.date = self.when.date_of(line)
        entry.task = heading.text
        return entry

    def _tick(self, cell: Cell, heading: Heading, line: Line) -> Entry:
        entry = self._base(heading, line)
        entry.doings = [Doing(step, cell.phrase(self.file, step), []) for step in heading.spec.step]
        entry.texts[(cell.line, cell.letter)] = cell.text
        if not self.when.tick(cell, line, entry):
            self.rows.mark(cell, line, entry, heading.text)
        return entry

    def _reading(self, cell: Cell, heading: Heading, line: Line, found: list[_Done]) -> None:
        own = self._of(heading, found)
        mark = self.readings.mark(cell, heading)
        if own is None and is_nothing(cell) and mark is None:
            self.rows.ledger.note("no-reading", cell, "no reading")
            return
        entry = own.entry if own else self._base(heading, line)
        if mark is None:
            _settle(entry, heading, self.rows.lexicon)
            self.readings.take(cell, heading, entry)
        elif own is None:
            step = target_of(heading.spec.reading[0])[0]
            entry.doings = [Doing(step, cell.phrase(self.file, step), [], brought=True)]
            self.rows.put_status(cell, mark.status, line, entry)
        else:
            self.rows.ledger.note("no-reading", cell, "no reading")
        if own is None and entry.doings:
            found.append(_Done(heading.column, entry, False))

    def _of(self, heading: Heading, found: list[_Done]) -> _Done | None:
        """The entry that a reading belongs to: the nearest before it of its step that has not got it yet, else the
        tick behind it."""
        steps = {target_of(each)[0] for each in heading.spec.reading}
        names = {name for each in heading.spec.reading for name in target_of(each)[1]}
        free = [
            each
            for each in found
            if each.does(steps, self.rows.lexicon)
            and not any(doing.has(name, heading.side) for doing in each.entry.doings for name in names)
        ]
        before = [each for each in free if each.column < heading.column]
        if before:
            return max(before, key=lambda each: each.column)
        behind = [each for each in free if each.ticked and not steps & self._several]
        return min(behind, key=lambda each: each.column, default=None)


def _settle(entry: Entry, heading: Heading, lexicon: Lexicon) -> None:
    """Of a word that several steps share, a reading of one of them tells which is meant."""
    for doing in entry.doings:
        own = [step for each in heading.spec.reading if (step := target_of(each)[0]) in lexicon.shared(doing.step)]
        doing.step = own[0] if own else doing.step

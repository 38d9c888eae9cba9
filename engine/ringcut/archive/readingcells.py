"""Cells of reading columns: which step of the row they belong to, on which side, and what they say."""

from __future__ import annotations

from ringcut.archive.cells import Cell
from ringcut.archive.columns import ColumnFile
from ringcut.archive.entries import Entry, Taken, put
from ringcut.archive.headings import Heading
from ringcut.archive.ledger import Ledger
from ringcut.archive.lexicon import Lexicon
from ringcut.archive.values import (
    Context,
    Spoiled,
    broken,
    is_nothing,
    read_value,
    take_two,
    take_value,
    unit_of,
)
from ringcut.reading.suggest import canonical

Target = tuple[str, tuple[str, ...]]
"""A step, and the one or two readings of it that a cell holds."""


def target_of(text: str) -> Target:
    """``step.reading`` or ``step.first..second``, taken apart."""
    step, _, rest = text.strip().partition(".")
    return canonical(step), tuple(canonical(name) for name in rest.split("..") if name.strip())


class ReadingCells:
    """Takes the readings of rows. ``before`` remembers the largest reading of a column for a message."""

    def __init__(self, spec: ColumnFile, lexicon: Lexicon, ledger: Ledger) -> None:
        self.spec, self.lexicon, self.ledger = spec, lexicon, ledger
        self._before: dict[tuple[str, int], str] = {}

    def take(self, cell: Cell, heading: Heading, entry: Entry) -> str:
        """Put the cell's readings to the entry's steps; a text that only belongs to the note is given
        back."""
        if is_nothing(cell):
            if cell:
                self.ledger.note("no-reading", cell, "no reading")
            return ""
        target = self._target(heading, entry)
        if target in (None, ("note", ())) and self._spoiled(cell, heading, entry):
            return ""
        if target == ("note", ()):
            self.ledger.note("kept-as-note", cell, f"no step of this row has a reading {heading.text}; kept as a note")
            return f"{heading.text} {cell.text.strip()}"
        if target is None:
            steps = ", ".join(dict.fromkeys(target_of(each)[0] for each in heading.spec.reading))
            self.ledger.refuse("no-step", cell, f"{heading.text} is read at {steps}; this row is none of them")
            return ""
        if not self._side_agrees(cell, heading, entry):
            return ""
        self.take_as(cell, target, heading, entry)
        return ""

    def _target(self, heading: Heading, entry: Entry) -> Target | None:
        targets = [target_of(each) for each in heading.spec.reading]
        present = {doing.step for doing in entry.doings}
        for target in targets:
            if target[0] in present:
                return target
        if heading.spec.otherwise:
            otherwise = heading.spec.otherwise
            return ("note", ()) if otherwise == "note" else target_of(otherwise)
        return targets[0] if len(targets) == 1 else None

    def _spoiled(self, cell: Cell, heading: Heading, entry: Entry) -> bool:
        """A cell that goes to no step is still looked at: what cannot be meant as it stands is told."""
        step, names = target_of(heading.spec.reading[0])
        word = self.lexicon.word(step, names[0]) if names else None
        context = self._context(heading, entry)
        spoiled = broken(cell, context)
        if not spoiled and word and len(names) == 1:
            found = read_value(" ".join(cell.text.split()), word, context, self.ledger, cell)
            spoiled = found if isinstance(found, Spoiled) and found.kind == "unit-mixed-up" else None
        if spoiled:
            self.ledger.refuse(spoiled.kind, cell, spoiled.says, spoiled.likelier)
        return spoiled is not None

    def _context(self, heading: Heading, entry: Entry, unit: str | None = None) -> Context:
        meant = unit_of(heading.spec, heading.unit, self.spec.units) if unit is None else unit
        said = self._before.get((entry.reference.text, heading.column), "")
        return Context(heading.spec, heading.text, meant, self.spec.dates, said)

    def _side_agrees(self, cell: Cell, heading: Heading, entry: Entry) -> bool:
        if not heading.side or entry.side is None:
            return True
        if entry.side.text == heading.side:
            says = f"the heading {heading.text} agrees"
            self.ledger.assume("sides", cell.line, says, self._side_heading)
            return True
        says = f"side {entry.side.text} in the row, side {heading.side} in the heading"
        self.ledger.refuse("side", cell, says)
        return False

    _side_heading = "Side"

    def take_as(self, cell: Cell, target: Target, heading: Heading, entry: Entry, unit: str | None = None) -> None:
        """Read the cell as one reading, or two, of a step."""
        step, names = target
        words = [self.lexicon.word(step, name) for name in names]
        found = [word for word in words if word is not None]
        if not found or len(found) < len(words):
            self.ledger.refuse("no-step", cell, f"{step} has no reading {', '.join(names)}")
            return
        key = (entry.reference.text, heading.column)
        context = self._context(heading, entry, unit)
        if len(found) == 2:
            two = take_two(cell, (found[0], found[1]), context, self.ledger)
            pairs = list(zip(names, two, strict=True)) if two else []
        else:
            one = take_value(cell, found[0], context, self.ledger)
            pairs = [(names[0], one)] if one is not None else []
        for name, text in pairs:
            put(
                entry.doings,
                step,
                Taken(name, cell.phrase(self.ledger.file, text), self._side_of(heading, entry)),
            )
            if text != cell.text:
                entry.texts[(cell.line, cell.letter)] = cell.text
        if pairs and cell.text.strip() not in ("0", "0.0"):
            self._before[key] = cell.text.strip()

    def _side_of(self, heading: Heading, entry: Entry) -> str:
        """A column for one side says its side; in a row for that same side the plain value will do."""
        return "" if entry.side is not None else heading.side

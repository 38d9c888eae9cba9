"""Cells of reading columns: which step of the row they belong to, on which side, and what they say."""

from __future__ import annotations

import msgspec

from ringcut.archive.cells import Cell
from ringcut.archive.columns import ColumnFile
from ringcut.archive.entries import Entry, Taken, put, stand
from ringcut.archive.headings import Heading
from ringcut.archive.ledger import Ledger
from ringcut.archive.lexicon import Lexicon
from ringcut.archive.marks import Mark, read_mark
from ringcut.archive.templates import fill, match
from ringcut.archive.values import (
    Context,
    Spoiled,
    broken,
    is_nothing,
    is_one,
    read_value,
    take_two,
    take_value,
    unit_of,
)
from ringcut.language import ir
from ringcut.reading.measures import read_yes_no
from ringcut.reading.suggest import canonical

Target = tuple[str, tuple[str, ...]]
"""A step, and the one or two readings of it that a cell holds."""

_NOTE: Target = ("note", ())
_NOT_APPLICABLE = ("n/a", "na")


def target_of(text: str) -> Target:
    """``step.reading`` or ``step.first..second``, taken apart; the same twice is side A, then side B."""
    step, _, rest = text.strip().partition(".")
    return canonical(step), tuple(canonical(name) for name in rest.split("..") if name.strip())


class ReadingCells:
    """Takes the readings of rows. ``before`` remembers the largest reading of a column for a message."""

    def __init__(self, spec: ColumnFile, lexicon: Lexicon, ledger: Ledger) -> None:
        self.spec, self.lexicon, self.ledger = spec, lexicon, ledger
        self._before: dict[tuple[str, str], str] = {}
        self._marks: dict[str, Mark | None] = {}

    def mark(self, cell: Cell, heading: Heading) -> Mark | None:
        """The mark that stands in place of a reading, and says that its step was not done, does not apply or was not
        recorded."""
        text = cell.text.strip()
        if not text or _said(heading, text):
            return None
        if text not in self._marks:
            plain = text.casefold() in _NOT_APPLICABLE
            self._marks[text] = Mark("not-applicable") if plain else read_mark(text, self.spec.marks)
        found = self._marks[text]
        if found is None or found.status == "done":
            return None
        answers = any(word.kind == "yes-no" for word in self._words(heading))
        return None if answers and found.status == "not-done" else found

    def _words(self, heading: Heading) -> list[ir.Word]:
        found = [
            self.lexicon.word(step, name) for step, names in map(target_of, heading.spec.reading) for name in names
        ]
        return [word for word in found if word is not None]

    def take(self, cell: Cell, heading: Heading, entry: Entry) -> str:
        """Put the cell's readings to the entry's steps; a text that only belongs to the note is given
        back."""
        if is_nothing(cell) and not _said(heading, cell.text.strip()):
            if cell:
                self.ledger.note("no-reading", cell, "no reading")
            return ""
        target = self.target(cell, heading, entry)
        if target in (None, _NOTE) and self._spoiled(cell, heading, entry):
            return ""
        if target == _NOTE:
            self.ledger.note("kept-as-note", cell, f"no step of this row has a reading {heading.text}; kept as a note")
            return f"{heading.text} {cell.text.strip()}"
        if target is None:
            steps = ", ".join(dict.fromkeys(target_of(each)[0] for each in heading.spec.reading))
            self.ledger.refuse("no-step", cell, f"{heading.text} is read at {steps}; this row is none of them")
            return ""
        if not self._side_agrees(cell, heading, entry, target):
            return ""
        self.take_as(cell, target, heading, entry)
        return ""

    def target(self, cell: Cell, heading: Heading, entry: Entry) -> Target | None:
        """The readings that a cell holds: of the step that its row has. Of several of that step, the first that the
        cell can be read as."""
        targets = [target_of(each) for each in heading.spec.reading]
        present = {doing.step for doing in entry.doings}
        first = next((target for target in targets if target[0] in present), None)
        if first is not None:
            own = [target for target in targets if target[0] == first[0]]
            return next((each for each in own if len(own) > 1 and self._reads(cell, each, heading, entry)), first)
        if heading.spec.otherwise:
            return _NOTE if heading.spec.otherwise == "note" else target_of(heading.spec.otherwise)
        return targets[0] if len(targets) == 1 else None

    def _reads(self, cell: Cell, target: Target, heading: Heading, entry: Entry) -> bool:
        return bool(self._read(cell, target, heading, entry, Ledger(self.ledger.file)))

    def _spoiled(self, cell: Cell, heading: Heading, entry: Entry) -> bool:
        """A cell that goes to no step is still looked at: what cannot be meant as it stands is told."""
        step, names = target_of(heading.spec.reading[0])
        word = self.lexicon.word(step, names[0]) if names else None
        context = self._context(heading, entry, f"{step}.{names[0]}" if names else "")
        spoiled = broken(cell, context)
        if not spoiled and word and len(names) == 1:
            found = read_value(" ".join(cell.text.split()), word, context, self.ledger, cell)
            spoiled = found if isinstance(found, Spoiled) and found.kind == "unit-mixed-up" else None
        if spoiled:
            self.ledger.refuse(spoiled.kind, cell, spoiled.says, spoiled.likelier)
        return spoiled is not None

    def _context(self, heading: Heading, entry: Entry, reading: str) -> Context:
        meant = unit_of(heading.spec, heading.unit, self.spec.units, reading)
        said = self._before.get((entry.reference.text, heading.text), "")
        return Context(heading.spec, heading.text, meant, self.spec.dates, said)

    def _side_agrees(self, cell: Cell, heading: Heading, entry: Entry, target: Target) -> bool:
        if not heading.side or entry.side is None:
            return True
        if entry.side.text == heading.side:
            says = f"the heading {heading.text} agrees"
            self.ledger.assume("sides", cell.line, says, self._side_heading)
            return True
        says = f"side {entry.side.text} in the row, side {heading.side} in the heading"
        self.ledger.refuse("which-side", cell, says, reading=f"{target[0]}.{'..'.join(target[1])}")
        return False

    _side_heading = "Side"

    def take_as(self, cell: Cell, target: Target, heading: Heading, entry: Entry) -> None:
        """Read the cell as one reading, or two, of a step. A cell that cannot be read costs its reading: that the
        step was done, it still tells."""
        step, names = target
        if any(self.lexicon.word(step, name) is None for name in names) or not names:
            self.ledger.refuse("no-step", cell, f"{step} has no reading {', '.join(names)}")
            return
        both = len(set(names)) < len(names)
        if both and (entry.side is not None or heading.side):
            side = entry.side.text if entry.side is not None else heading.side
            says = f"{heading.text} holds both sides, and this is said to be side {side}"
            self.ledger.refuse("side", cell, says, reading=f"{step}.{'..'.join(names)}")
            return
        taken = self._read(cell, target, heading, entry, self.ledger)
        place = (cell.line, cell.letter)
        if not taken:
            stand(entry.doings, step, cell.phrase(self.ledger.file, step))
            entry.texts.setdefault(place, cell.text)
        sides = ("A", "B") if both else (self._side_of(heading, entry),) * len(names)
        for name, text, side in zip(names, taken, sides, strict=False):
            put(entry.doings, step, Taken(name, cell.phrase(self.ledger.file, text), side))
            if text != cell.text:
                entry.texts[place] = cell.text
        if taken and cell.text.strip() not in ("0", "0.0"):
            self._before[(entry.reference.text, heading.text)] = cell.text.strip()

    def _read(self, cell: Cell, target: Target, heading: Heading, entry: Entry, ledger: Ledger) -> tuple[str, ...]:
        """The value of each reading; nothing where the cell is not taken."""
        step, names = target
        words = [word for name in names if (word := self.lexicon.word(step, name)) is not None]
        both = f"{step}.{'..'.join(names)}"
        contexts = [
            msgspec.structs.replace(self._context(heading, entry, f"{step}.{name}"), reading=both) for name in names
        ]
        said = self._meant(cell, heading, words, ledger)
        if len(words) == 2:
            if len(set(names)) < len(names) and is_one(said or cell.text, words[0], contexts[0], cell):
                says = f"one {words[0].name} where that of side A and that of side B belong, as 5-1/2 / 5-1/4"
                ledger.refuse("two-readings", cell, says, reading=both)
                return ()
            two = take_two(cell, (words[0], words[1]), (contexts[0], contexts[1]), ledger, said)
            return two or ()
        one = take_value(cell, words[0], contexts[0], ledger, said) if words else None
        return (one,) if one is not None else ()

    def _meant(self, cell: Cell, heading: Heading, words: list[ir.Word], ledger: Ledger) -> str:
        """What the cell's text stands for by the column file, or as a tick or a cross for yes or no; else nothing."""
        text = cell.text.strip()
        said = _said(heading, text)
        if said:
            ledger.assume("marks", cell.line, f"{text} is {said}, {ledger.by}", heading.text)
        elif [word.kind for word in words] == ["yes-no"] and read_yes_no(text) is None:
            mark = read_mark(text, self.spec.marks)
            said = {"done": "yes", "not-done": "no"}.get(mark.status, "") if mark else ""
            if said and len(text) == 1 and text.casefold() not in "yn":
                ledger.assume("marks", cell.line, f"{text} is {said}", heading.text)
        return said

    def _side_of(self, heading: Heading, entry: Entry) -> str:
        """A column for one side says its side; in a row for that same side the plain value will do."""
        return "" if entry.side is not None else heading.side


def _said(heading: Heading, text: str) -> str:
    """What the words of a column mean by a text; nothing where they do not know it."""
    for saying, means in heading.spec.words.items():
        found = match(saying, text)
        if found is not None:
            return fill(means, found)
    return ""

"""Rows of a sheet, whatever its shape, as entries."""

from __future__ import annotations

from collections.abc import Iterator

import msgspec

from ringcut.archive.cells import Cell
from ringcut.archive.claimed import claim_of, claims_all
from ringcut.archive.columns import Column, ColumnFile, fold
from ringcut.archive.entries import Doing, Entry, Taken, put
from ringcut.archive.headings import Heading, take_apart
from ringcut.archive.ledger import Ledger
from ringcut.archive.lexicon import Lexicon
from ringcut.archive.longform import names_beside
from ringcut.archive.marks import Mark
from ringcut.archive.readingcells import ReadingCells, Target, target_of
from ringcut.archive.rowcells import RowCells
from ringcut.archive.sheets import Line, Sheet
from ringcut.archive.tasks import Said, TaskBook
from ringcut.archive.tickcells import TickCells
from ringcut.archive.values import Context, Spoiled, is_nothing, is_one, read_value, two_values
from ringcut.archive.whencells import WhenCells
from ringcut.language import ir
from ringcut.reading.phrase import Phrase
from ringcut.reading.problems import Place
from ringcut.reading.suggest import canonical


class RowReader:
    """Reads the rows of one sheet."""

    def __init__(self, sheet: Sheet, spec: ColumnFile, lexicon: Lexicon, ledger: Ledger) -> None:
        self.sheet, self.spec, self.lexicon, self.ledger = sheet, spec, lexicon, ledger
        self.file = ledger.file
        self.rows = RowCells(sheet, spec, lexicon, ledger)
        self.when = WhenCells(self.rows)
        self.tasks = TaskBook(spec, lexicon)
        self.readings = ReadingCells(spec, lexicon, ledger)
        self._above: Cell | None = None
        self.ticks = TickCells(self.rows, self.when, self.readings)
        self._names = names_beside(sheet.lines, self.rows, spec) if spec.shape == "long" else {}

    def entries(self) -> Iterator[Entry]:
        """Every entry, in the order of rows (and, in tick sheets, columns)."""
        for line in self.sheet.lines:
            if self.spec.shape == "ticks":
                yield from self.ticks.entries(line)
            else:
                entry = self._entry(line)
                self._above = entry.reference if entry.reference else self._above
                yield entry

    def _entry(self, line: Line) -> Entry:
        entry = self.rows.base(line)
        entry.date = self.when.date_of(line)
        task_cell = self.rows.cell(line, "task")
        notes = self.rows.cells(line, "note")
        said = self._task(task_cell, notes, entry)
        self.when.read(line, entry)
        self.rows.status(line, entry)
        if task_cell and said:
            self._said_readings(said, task_cell, notes, entry)
        if line.shifted:
            self.rows.one_side(line, entry)
            return entry
        kept, marked = [], []
        unit = self.rows.cell(line, "unit")
        for heading in self.rows.having("reading"):
            cell = line.cells[heading.column]
            if unit and not heading.unit:  # the unit of a row is that of its bare numbers
                heading = msgspec.structs.replace(heading, unit=unit.text.strip())
            mark = self.readings.mark(cell, heading)
            if mark:
                marked.append((cell, heading, mark))
            else:
                kept.append(self.readings.take(cell, heading, entry))
        for cell, heading, mark in marked:
            self._marked(cell, heading, mark, entry, line)
        if self.spec.shape == "long":
            self._long(line, entry)
        self._keep(entry, line, [text for text in kept if text])
        if all(doing.brought for doing in entry.doings):
            self._claim(entry, line)
        self.rows.one_side(line, entry)
        return entry

    def _claim(self, entry: Entry, line: Line) -> None:
        """A row that names no step and claims them all; it stands in its log as a claim, which is asked about."""
        cell = claim_of(line.row.cells)
        if cell is not None:
            entry.claim = cell.phrase(self.file)
            if self._above is not None and (not entry.reference or cell.column == entry.reference.column):
                entry.reference = self._above  # it stands below the rows that it speaks of

    def _marked(self, cell: Cell, heading: Heading, mark: Mark, entry: Entry, line: Line) -> None:
        """A mark in place of the only reading of the row's step says it of the step, as a status would."""
        steps = {doing.step for doing in entry.doings}
        own = steps & {target_of(each)[0] for each in heading.spec.reading}
        if own and len(steps) == 1 and not entry.status and not any(doing.readings for doing in entry.doings):
            self.rows.put_status(cell, mark.status, line, entry)
        else:
            self.ledger.note("no-reading", cell, "no reading")

    def _keep(self, entry: Entry, line: Line, texts: list[str]) -> None:
        if texts:
            text = "; ".join([*([entry.note.text] if entry.note else []), *texts])
            entry.note = Phrase(text, entry.note.place if entry.note else Place(self.file, line.line))

    def _task(self, cell: Cell | None, notes: list[Cell], entry: Entry) -> Said | None:
        if cell is None:
            return None
        entry.task = " ".join(cell.text.split())
        remarks = [note.text for note in notes] if len(notes) > 1 else [entry.note.text if entry.note else ""]
        said = self.tasks.read(entry.task, *remarks)
        if said is None:
            if not claims_all(entry.task):  # which is asked about as what it is
                near = self.tasks.near(entry.task)
                says = "no step is called that"
                says += "" if self.spec.shape == "own-form" else ", and the column file does not say what it is"
                self.ledger.refuse("task", cell, says, near and f"{near}?")
            return None
        if said.undecided:
            forms = ", ".join(repr(form) for form in said.undecided)
            self.ledger.refuse("task", cell, f"which step it is, its remark has to say: one of {forms}")
            return None
        entry.doings = [Doing(step, cell.phrase(self.file, step), []) for step in said.steps]
        entry.texts[(cell.line, cell.letter)] = cell.text
        if len(said.steps) > 1:
            says = f"{entry.task}: {', '.join(said.steps)}"
            self.ledger.assume("several-steps", entry.line, says, f"one row, several steps, {self.ledger.by}")
        if not said.steps:
            self.ledger.note("proves-nothing", cell, "by the column file these words prove no step")
        return said

    def _said_readings(self, said: Said, cell: Cell, notes: list[Cell], entry: Entry) -> None:
        """Readings in the words of the task or of its remark."""
        note = notes[max(said.remark, 0)] if notes else None
        if said.other_remark and note:
            self._other_remark(said, note, entry)
        context = Context(Column(holds="ignore", decimal=said.decimal or self.spec.decimal), dates=self.spec.dates)
        for told in said.readings:
            step, names = self._told_target(told.name, entry)
            words = [word for name in names if (word := self.lexicon.word(step, name)) is not None]
            if not words or len(words) < len(names):
                self.ledger.note("no-step", cell, f"no step of this row has a reading {told.name}")
                continue
            source = note if note and told.in_remark else cell
            taken = self._told_values(told.value, words, context, source)
            both = len(set(names)) < len(names)
            if both and entry.side is not None and not isinstance(taken, Spoiled):
                taken = Spoiled("side", f"both sides stand here, and the row is side {entry.side.text}")
            if isinstance(taken, Spoiled):
                named = f"{told.value!r} is no {' and '.join(dict.fromkeys(names))}"
                says = named + ("" if taken.kind == "unreadable" else f": {taken.says}")
                self.ledger.note("unreadable", source, says, f"{step}.{'..'.join(names)}")
                continue
            for name, value, side in zip(names, taken, ("A", "B") if both else ("", ""), strict=False):
                put(entry.doings, step, Taken(name, source.phrase(self.file, value), side))
            entry.texts[(source.line, source.letter)] = source.text

    def _told_values(
        self, text: str, words: list[ir.Word], context: Context, source: Cell
    ) -> tuple[str, ...] | Spoiled:
        """The values of one reading, or of two, in words of a task or a remark."""
        if len(words) == 2:
            if words[0] is words[1] and is_one(text, words[0], context, source):
                return Spoiled("two-readings", "one value where that of side A and that of side B belong, as 20/22 mm")
            return two_values(" ".join(text.split()), (words[0], words[1]), (context, context), self.ledger, source)
        taken = read_value(text, words[0], context, self.ledger, source)
        return taken if isinstance(taken, Spoiled) else (taken,)

    def _other_remark(self, said: Said, note: Cell, entry: Entry) -> None:
        """A remark that is none of those which the column file expects of this task: what it tells of the step is not
        known."""
        step = self._told_target(said.unsaid[0], entry)[0] if said.unsaid else ""
        says = "not as the column file expects the remark of this task; kept as a note"
        self.ledger.note("remark", note, says, f"{step}.*" if step else "")

    def _told_target(self, name: str, entry: Entry) -> Target:
        if "." in name.partition("..")[0]:
            return target_of(name)
        names = tuple(each for each in name.split("..") if each)
        return self._step_with(entry, names[0] if names else name), names

    def _step_with(self, entry: Entry, name: str) -> str:
        return next((doing.step for doing in entry.doings if self.lexicon.word(doing.step, name)), "")

    # a row a reading

    def _long(self, line: Line, entry: Entry) -> None:
        """A row with the name, value and unit of one reading."""
        name, cell = self.rows.cell(line, "reading-name"), self.rows.cell(line, "value")
        if not name:
            return
        value = self.rows.having("value")[0]
        cell = cell or line.cells[value.column]
        known = {fold(said): targets for said, targets in self.spec.readings.items()}
        said = known.get(fold(name.text), (name.text.strip(),) if "." in name.text else ())
        if said == ("status",):
            self.rows.mark(cell, line, entry, name.text.strip())
        elif said != ("ignore",):
            self._long_value(name, cell, said or self._own_word(name, entry), line, entry)

    def _own_word(self, name: Cell, entry: Entry) -> tuple[str, ...]:
        """The reading that the vocabulary calls so, of the row's step."""
        word = canonical(name.text)
        step = self._step_with(entry, word)
        return (f"{step}.{word}",) if step else ()

    def _long_value(self, name: Cell, cell: Cell, said: tuple[str, ...], line: Line, entry: Entry) -> None:
        if not said:
            if cell:
                self.ledger.refuse("unreadable", name, "the column file does not say which reading this is")
            return
        value = self.rows.having("value")[0]
        unit = self.rows.cell(line, "unit")
        column = msgspec.structs.replace(value.spec, reading=said, **({"unit": unit.text.strip()} if unit else {}))
        words = [self.lexicon.word(step, each) for step, names in map(target_of, said) for each in names]
        sided = all(word is not None and word.sided for word in words)
        side = value.side or (take_apart(name.text, self.spec.sides)[1] if sided else "")
        beside = self._names.get((line.line, said), set()) - {fold(name.text)}
        if sided and not side and entry.side is None and beside and cell:
            says = f"{name.text.strip()} beside {', '.join(sorted(beside))}: which side is which, nobody has said"
            entry.texts.setdefault((name.line, name.letter), name.text)
            self.ledger.refuse("which-side", cell, says, reading=said[0])
            return
        heading = msgspec.structs.replace(value, text=name.text.strip(), spec=column, side=side)
        own = {doing.step for doing in entry.doings} & {target_of(each)[0] for each in said}
        if entry.task and not own:
            # a reading of another item brings no step: which item is meant, the row says itself
            steps = ", ".join(dict.fromkeys(target_of(each)[0] for each in said))
            if entry.doings:
                self.ledger.refuse("no-step", name, f"{heading.text} is read at {steps}; this row is {entry.task}")
            return
        mark = self.readings.mark(cell, heading)
        if mark is None and is_nothing(cell) and not column.words:
            mark = Mark("not-recorded")
        if mark and own:
            entry.marked = not entry.status
            self.ledger.note("no-reading", cell, "no reading")
            self.rows.put_status(cell, mark.status, line, entry)
            return
        note = self.readings.take(cell, heading, entry)
        self._keep(entry, line, [note] if note else [])

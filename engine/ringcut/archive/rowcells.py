"""Cells of a row by what they hold: people, side, status, facts, notes."""

from __future__ import annotations

from ringcut.archive.cells import Cell
from ringcut.archive.columns import ColumnFile, fold
from ringcut.archive.entries import Entry
from ringcut.archive.factcells import read_fact
from ringcut.archive.headings import Heading
from ringcut.archive.ledger import Ledger
from ringcut.archive.lexicon import Lexicon
from ringcut.archive.marks import read_mark
from ringcut.archive.sheets import Line, Sheet
from ringcut.reading.phrase import Phrase

_BOTH = ("both", "all", "a+b", "a/b", "a & b", "a and b")


class RowCells:
    """Looks up and reads the cells of one sheet's rows that belong to no step alone."""

    def __init__(self, sheet: Sheet, spec: ColumnFile, lexicon: Lexicon, ledger: Ledger) -> None:
        self.sheet, self.spec, self.lexicon, self.ledger = sheet, spec, lexicon, ledger
        self.file = ledger.file
        self.by_role: dict[str, list[Heading]] = {}
        for heading in sheet.headings:
            self.by_role.setdefault(heading.spec.role, []).append(heading)

    def having(self, role: str) -> list[Heading]:
        """The headings of the columns that hold ``role``."""
        return self.by_role.get(role, [])

    def cell(self, line: Line, role: str) -> Cell | None:
        heading = next(iter(self.by_role.get(role, ())), None)
        cell = line.cells[heading.column] if heading else None
        return cell if cell else None

    def cells(self, line: Line, role: str) -> list[Cell]:
        """What stands in a row under every heading with a role."""
        return [cell for heading in self.having(role) if (cell := line.cells[heading.column])]

    def phrase(self, line: Line, role: str) -> Phrase | None:
        cell = self.cell(line, role)
        return cell.phrase(self.file) if cell else None

    def shown(self, cell: Cell | None) -> str:
        """A free text; one that starts with = is told."""
        if cell and cell.text.lstrip().startswith("="):
            self.ledger.note("formula-text", cell, "starts with = and is shown as text")
        return cell.text.strip() if cell else ""

    def base(self, line: Line) -> Entry:
        """What all steps of a row share."""
        reference = self.cell(line, "reference") or self.sheet.facts.get("reference") or Cell("", line.line, 0)
        entry = Entry(self.file, line.line, reference, [], facts={}, texts={})
        entry.closure = self.phrase(line, "closure") or self.block("closure")
        entry.by = self._people(line)
        entry.side, entry.unsided = self._side(line)
        self._facts(line, entry)
        notes = self.cells(line, "note")
        note = ", ".join(part for part in ("; ".join(map(self.shown, notes)), line.end) if part)
        entry.note = notes[0].phrase(self.file, note) if notes and note else None
        entry.evidence = tuple(
            line.cells[heading.column].phrase(self.file)
            for heading in self.by_role.get("evidence", ())
            if line.cells[heading.column]
        )
        return entry

    def block(self, name: str) -> Phrase | None:
        cell = self.sheet.facts.get(name)
        return cell.phrase(self.file) if cell else None

    def _facts(self, line: Line, entry: Entry) -> None:
        for heading in self.by_role.get("fact", ()):
            cell = line.cells[heading.column]
            if not cell:
                continue
            entry.where = entry.where or cell.text.strip()
            said = read_fact(cell, heading, self.spec, self.lexicon, self.ledger)
            if said is not None:
                entry.facts[heading.spec.fact] = said

    def _people(self, line: Line) -> tuple[Phrase, ...]:
        cells = self.cells(line, "by")
        if not cells:
            phrase = self.block("by")
            return (phrase,) if phrase else ()
        between = self.spec.between_people
        known = {fold(said): person for said, person in self.spec.people.items()}
        return tuple(
            cell.phrase(self.file, known.get(fold(name), name))
            for cell in cells
            for each in (cell.text.split(between) if between else [cell.text])
            if (name := each.strip())
        )

    def _side(self, line: Line) -> tuple[Phrase | None, Cell | None]:
        """The side of a row, if it is of one; or the cell of which nobody has said which side it is."""
        heading = next(iter(self.by_role.get("side", ())), None)
        cell = line.cells[heading.column] if heading else None
        if heading is None or not cell:
            return None, None
        said = fold(cell.text)
        if said in ("both", "all", "a+b", "a/b", "a & b", "a and b"):
            return None, None
        for side, others in (self.spec.sides or {"A": (), "B": ()}).items():
            if said == fold(side):
                return cell.phrase(self.file, side), None
            if said in {fold(other) for other in others}:
                says = f"{cell.text.strip()} is {side}, {self.ledger.by}"
                self.ledger.assume("sides", cell.line, says, heading.text)
                return cell.phrase(self.file, side), None
        return None, cell

    def one_side(self, line: Line, entry: Entry) -> None:
        """Of a row whose side nobody has explained nothing is known that differs by side: not that it was done there,
        nor what was read."""
        cell = entry.unsided
        if cell is None:
            return
        lost = []
        for doing in entry.doings:
            words = {name: self.lexicon.word(doing.step, name) for name in {each.name for each in doing.readings}}
            sided = {name for name, word in words.items() if word is not None and word.sided}
            kept = [each for each in doing.readings if each.side or each.name not in sided]
            if len(kept) < len(doing.readings) or self.lexicon.sided(doing.step):
                lost.append(doing.step)
            doing.readings = kept
        held = f"{lost[0]}.*" if lost else ""
        self.ledger.refuse("side", cell, "the column file does not say which side this is", reading=held)
        if entry.status is None and self.spec.shape != "long" and any(map(self.lexicon.sided, lost)):
            self.put_status(cell, "not-recorded", line, entry)
            entry.reason = cell.phrase(self.file, f"which side {cell.text.strip()} is, nobody has said")

    def status(self, line: Line, entry: Entry) -> None:
        """What the status column says of a row, where there is one."""
        for heading in self.by_role.get("status", ())[:1]:
            self.mark(line.cells[heading.column], line, entry, heading.text)

    def mark(self, cell: Cell, line: Line, entry: Entry, heading: str) -> None:
        """The status that a mark says."""
        mark = read_mark(cell.text, self.spec.marks)
        status, written = ("not-recorded", "") if mark is None else (mark.status, mark.assumed)
        if mark is None:
            self.ledger.refuse("mark", cell, "the column file does not say what this mark means; taken as not recorded")
        elif written and self.spec.shape != "own-form":
            self.ledger.assume("marks", cell.line, written, heading)
        if status != "done":
            self.put_status(cell, status, line, entry)

    def put_status(self, cell: Cell, status: str, line: Line, entry: Entry) -> None:
        """Say of an entry that it was not done, or not recorded, or does not apply, with the reason that is written."""
        entry.status = cell.phrase(self.file, status)
        entry.texts[(cell.line, cell.letter)] = cell.text
        said = self.phrase(line, "reason") or entry.note
        own = cell.text.strip() or "nothing"
        entry.reason = said or cell.phrase(self.file, f"marked {own}, no reason written")

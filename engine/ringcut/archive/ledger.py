"""What was assumed, what was not taken and what is worth knowing, kept while a sheet is read.

Nothing is silent: an assumption names its rows; a cell that is not taken keeps its own text and, where there
is one, the likelier reading in words. Neither is ever put in place of what was written.
"""

from __future__ import annotations

from typing import Literal, get_args

import msgspec

from ringcut.archive.cells import Cell
from ringcut.reading.problems import Place

AssumptionKind = Literal[
    "not-said",
    "reference",
    "filled-down",
    "marks",
    "time-forms",
    "sides",
    "noon",
    "date-order",
    "spreadsheet-dates",
    "midnight",
    "same-minute",
    "several-steps",
    "interval",
    "decimal-comma",
    "over-range",
    "decimals",
]
"""In the order in which they are told."""

_ORDER: tuple[str, ...] = get_args(AssumptionKind)

NotTakenKind = Literal[
    "spreadsheet-date",
    "unit-mixed-up",
    "row-end",
    "reference",
    "date",
    "time",
    "out-of-range",
    "decimal-comma",
    "two-readings",
    "over-range",
    "formula",
    "no-unit",
    "column-unit",
    "unreadable",
    "task",
    "mark",
    "side",
    "which-side",
    "fact",
    "no-step",
]


_LONGEST = 300
"""Characters of a cell that are kept to be quoted."""


class Assumption(msgspec.Struct, frozen=True, rename="kebab", omit_defaults=True):
    """How something was read where the file does not say it; ``rows`` are the rows it was done in."""

    kind: AssumptionKind
    subject: str
    """Column headings and cells concerned."""
    says: str
    rows: tuple[int, ...]
    file: str = ""


def _where(place: Place) -> str:
    return f"{place.line}:{place.letter}" if place.letter else str(place.line or "")


class NotTaken(msgspec.Struct, frozen=True, rename="kebab", omit_defaults=True):
    """A cell (or the end of a row) that was not taken. The rest of its row was."""

    kind: NotTakenKind
    place: Place
    text: str
    """The cell's own text."""
    says: str
    likelier: str = ""
    """The likelier reading, in words; never used."""
    reading: str = ""
    """The ``step.reading`` that it should hold, where the row says which; two as ``step.first..second``; or the job
    fact."""

    @property
    def fact(self) -> str:
        """The job fact that it should hold, if it is that."""
        return "" if "." in self.reading else self.reading

    @property
    def where(self) -> str:
        """Row and column letter."""
        return _where(self.place)


class Noted(msgspec.Struct, frozen=True, rename="kebab", omit_defaults=True):
    """Something worth knowing that is neither an assumption nor a refusal."""

    kind: str
    place: Place
    text: str
    says: str
    reading: str = ""
    """The ``step.reading`` that should stand there, where what stands there is none; ``step.*``: any of the step."""

    @property
    def where(self) -> str:
        """``row:letter``, or the row alone."""
        return _where(self.place)

    @property
    def of_the_file(self) -> bool:
        """Whether it belongs to no row of a log; the others stand with their log."""
        return self.kind in ("column", "reference", "sheet")


class Ledger:
    """Collects while a file is read; ``file`` is the table that is being read, sheets of a workbook apart, and
    ``columns`` the name of its column file."""

    def __init__(self, file: str, columns: str = "") -> None:
        self.file, self.columns = file, columns
        self.not_taken: list[NotTaken] = []
        self.noted: list[Noted] = []
        self._assumed: dict[tuple[str, AssumptionKind, str], dict[str, list[int]]] = {}
        self._refused: set[tuple[str, int, int]] = set()

    @property
    def by(self) -> str:
        """What an assumption rests on, in words."""
        return f"by {self.columns or 'the column file'}"

    def assume(self, kind: AssumptionKind, row: int, says: str, subject: str = "") -> None:
        """Note an assumption made in a row; equal words of one kind and subject are joined."""
        self._assumed.setdefault((self.file, kind, subject), {}).setdefault(says, []).append(row)

    def refuse(self, kind: NotTakenKind, cell: Cell, says: str, likelier: str = "", reading: str = "") -> None:
        """Note a cell that is not taken, and which reading it should hold; a cell is refused once."""
        key = (self.file, cell.line, cell.column)
        if key in self._refused:
            return
        self._refused.add(key)
        self.not_taken.append(NotTaken(kind, cell.place(self.file), clipped(cell.text), says, likelier, reading))

    def refuse_end(self, row: int, text: str, says: str) -> None:
        """Note the end of a row, beyond the last heading."""
        self.not_taken.append(NotTaken("row-end", Place(self.file, row), clipped(text), says))

    def note(self, kind: str, cell: Cell, says: str, reading: str = "") -> None:
        """Note something worth knowing of a cell; ``reading``: the one that it should hold and does not."""
        self.noted.append(Noted(kind, cell.place(self.file), clipped(cell.text), says, reading))

    def assumptions(self) -> tuple[Assumption, ...]:
        """One for each kind and subject, in the order of kinds, with all their rows."""
        made = []
        for (file, kind, subject), sayings in self._assumed.items():
            rows = tuple(sorted({row for rows in sayings.values() for row in rows}))
            told = []
            for says, lines in sayings.items():
                told.append(f"{says} ({ranges(lines)})" if len(sayings) > 1 else says)
            made.append(Assumption(kind, subject, ", ".join(told), rows, file))
        return tuple(sorted(made, key=lambda each: (each.file, _ORDER.index(each.kind), each.rows, each.subject)))


def clipped(text: str) -> str:
    """A cell's own text, as far as a report can show it."""
    return text if len(text) <= _LONGEST else text[:_LONGEST] + "\u2026"


def ranges(rows: list[int] | tuple[int, ...]) -> str:
    """Rows in short: ``7, 9, 29-35``."""
    ordered = sorted(set(rows))
    parts: list[list[int]] = []
    for row in ordered:
        if parts and row == parts[-1][1] + 1:
            parts[-1][1] = row
        else:
            parts.append([row, row])
    return ", ".join(str(first) if first == last else f"{first}-{last}" for first, last in parts)

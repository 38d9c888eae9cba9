"""A cell of a spreadsheet: its own text, where it stands, and what the spreadsheet made of it.

The text is what a person sees in the cell, so that a finding can quote it. What a spreadsheet changed (a date
made out of ``3/4``, a formula that never was computed) is told by ``kind``; nothing is repaired here.
"""

from __future__ import annotations

import datetime
from typing import Literal

import msgspec

from ringcut.reading.phrase import Phrase
from ringcut.reading.problems import Place

CellKind = Literal["text", "number", "date", "time", "formula", "error"]
"""``formula``: a formula whose result is not in the file. ``date`` and ``time``: typed so by the
spreadsheet."""


def letter(column: int) -> str:
    """The letter of a column counted from 1: 1 is A, 27 is AA."""
    name = ""
    while column > 0:
        column, rest = divmod(column - 1, 26)
        name = chr(ord("A") + rest) + name
    return name


class Cell(msgspec.Struct, frozen=True):
    """One cell. ``line`` is the row as a spreadsheet counts it; ``column`` counts from 1."""

    text: str
    line: int
    column: int
    kind: CellKind = "text"
    moment: datetime.datetime | datetime.time | None = None
    """The value of a date or time cell."""

    @property
    def letter(self) -> str:
        """The letter of its column."""
        return letter(self.column)

    @property
    def where(self) -> str:
        """Row and column letter, as in ``23:K``."""
        return f"{self.line}:{self.letter}"

    def place(self, file: str) -> Place:
        """Its place in ``file``."""
        return Place(file, self.line, self.column, self.letter)

    def phrase(self, file: str, text: str | None = None) -> Phrase:
        """Its text, or another reading of it, with its place."""
        return Phrase(self.text.strip() if text is None else text, self.place(file))

    def __bool__(self) -> bool:
        return bool(self.text.strip())


class Row(msgspec.Struct, frozen=True):
    """A row of a table. A cell beyond its end is empty."""

    line: int
    cells: tuple[Cell, ...]

    def __getitem__(self, column: int) -> Cell:
        """The cell in a column counted from 1."""
        return self.cells[column - 1] if column <= len(self.cells) else Cell("", self.line, column)

    @property
    def blank(self) -> bool:
        """No cell has a text."""
        return not any(self.cells)

    @property
    def width(self) -> int:
        """Number of cells up to the last with a text."""
        return max((cell.column for cell in self.cells if cell), default=0)


def row_of(line: int, texts: list[str]) -> Row:
    """A row of plain texts, as in a CSV file."""
    return Row(line, tuple(Cell(text, line, number) for number, text in enumerate(texts, start=1)))

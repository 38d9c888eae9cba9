"""A sheet as it looks before anybody has said what it means: its likely heading, the columns below it, the rows above.

Several files of one contractor are looked at together where their headings are the same.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import msgspec

from ringcut.archive.cells import Cell, Row, letter
from ringcut.archive.columns import fold, squeeze
from ringcut.archive.headings import joined_rows, take_apart
from ringcut.archive.interview.meaning import means_something
from ringcut.archive.lexicon import Lexicon
from ringcut.archive.tables import Table

SEARCHED = 60
"""Rows in which the heading is looked for."""
_LONGEST_HEADING = 40
LONGEST = 200
"""Letters of a heading or a cell that is asked about; a column file cannot name longer ones."""


class HeadingRow(msgspec.Struct, frozen=True):
    """A row that may be the heading: so many of its cells are words that headings have."""

    line: int
    known: int
    cells: int
    numbers: int = 0
    """Cells that begin with a digit."""


class SeenRow(msgspec.Struct, frozen=True):
    """A row below the heading, with its table."""

    table: Table
    row: Row

    def __getitem__(self, column: int) -> Cell:
        return self.row[column]


class SeenColumn(msgspec.Struct, frozen=True):
    """A column: its heading and its cells that have a text, with their rows."""

    heading: str
    column: int
    cells: tuple[tuple[SeenRow, Cell], ...]
    empty: int
    """Rows without a text in it."""

    @property
    def texts(self) -> list[str]:
        """Its texts, each once, in the order in which they come; not those that are too long to be asked about."""
        return list(dict.fromkeys(squeeze(cell.text) for _, cell in self.cells if len(cell.text) <= LONGEST))

    def rows_of(self, text: str) -> list[int]:
        """The rows in which a text stands."""
        wanted = fold(text)
        return [cell.line for _, cell in self.cells if fold(cell.text) == wanted]

    def where(self, text: str) -> str:
        """How often and where, as ``12 rows, first 7:D``."""
        found = self.rows_of(text)
        first = f"{found[0]}:{letter(self.column)}" if found else ""
        return first if len(found) == 1 else f"{len(found)} rows, first {first}"


class Sight(msgspec.Struct):
    """What is seen of the tables with one heading."""

    tables: list[Table]
    heading: Row
    columns: list[SeenColumn]
    rows: list[SeenRow]
    above: list[Row]
    other: list[str]
    """Tables that have another heading."""

    def named(self, heading: str) -> SeenColumn:
        """The column with this heading."""
        return next(each for each in self.columns if fold(each.heading) == fold(heading))

    def keep(self, test: Callable[[SeenRow], bool]) -> None:
        """Look at the rows alone that pass a test."""
        self.rows = [row for row in self.rows if test(row)]
        self.columns = _columns(self.heading, self.rows)


def heading_rows(table: Table, lexicon: Lexicon) -> list[HeadingRow]:
    """The rows that look like a heading, the likeliest first; of equal ones the upper. Never empty."""
    found = []
    for row in table.rows[:SEARCHED]:
        cells = [squeeze(cell.text) for cell in row.cells if cell]
        known = sum(len(text) <= _LONGEST_HEADING and means_something(text, lexicon) for text in cells)
        if cells:
            # a row with numbers in it is one of the work, although its task is a word that headings have too
            numbers = sum(text[0].isdigit() for text in cells)
            found.append(HeadingRow(row.line, known if numbers < 2 else 0, len(cells), numbers))
    return sorted(found, key=lambda each: (-each.known, 2 * each.numbers >= each.cells, *_by_width(each)))


def _by_width(row: HeadingRow) -> tuple[int, int]:
    """Of rows none of whose words are known the widest is the likeliest heading; of others the upper."""
    return (0 if row.known else -row.cells, row.line)


def is_sure(found: Sequence[HeadingRow], table: Table) -> bool:
    """Whether the first is the heading beyond doubt: three words or more, and no other row has half as many."""
    best = found[0]
    others = [each for each in found[1:] if _texts(table.row(each.line)) != _texts(table.row(best.line))]
    return best.known >= 3 and 2 * best.known >= best.cells and all(2 * each.known <= best.known for each in others)


def _texts(row: Row | None) -> list[str]:
    return [fold(cell.text) for cell in row.cells if cell] if row else []


def two_rows(table: Table, line: int, lexicon: Lexicon) -> int:
    """The upper row of a heading in two rows, of which one is ``line``: joined they say more than each; or 0."""

    def known(row: Row | None) -> int:
        return sum(1 for cell in row.cells if cell and means_something(squeeze(cell.text), lexicon)) if row else 0

    best, found = 0, 0
    for above in (line, line - 1):
        upper, lower = table.row(above), table.row(above + 1)
        if upper is None or lower is None or upper.blank or lower.blank or _is_below(upper, lower, lexicon):
            continue
        said = known(joined_heading([upper, lower], lexicon))
        if said > max(best, known(upper), known(lower)):
            best, found = said, above
    return found


def _is_below(upper: Row, lower: Row, lexicon: Lexicon) -> bool:
    """Whether the lower row has, under a heading that stands over one column alone, a text that is no part of it."""
    for cell in upper.cells:
        alone = bool(upper[cell.column + 1]) or not lower[cell.column + 1]
        both = squeeze(f"{cell.text} {lower[cell.column].text}")
        if cell and lower[cell.column] and alone and not means_something(both, lexicon):
            return True
    return False


def joined_heading(rows: list[Row], lexicon: Lexicon) -> Row | None:
    """A heading of two rows as one: the lower words where they say it alone, else both.

    A unit in the upper row, as in ``Bond length (in)`` above ``End A``, is never left out.
    """
    whole = joined_rows(rows, lambda text: False)
    if whole is None or len(rows) < 2:
        return whole
    lower = [squeeze(rows[-1][cell.column].text) for cell in whole.cells]
    alone = [
        text
        if text and means_something(text, lexicon) and not (_unit(cell.text[: -len(text)]) and not _unit(text))
        else ""
        for cell, text in zip(whole.cells, lower, strict=True)
    ]
    cells = [
        msgspec.structs.replace(cell, text=text) if text and alone.count(text) == 1 else cell
        for cell, text in zip(whole.cells, alone, strict=True)
    ]
    return Row(whole.line, tuple(cells))


def _unit(heading: str) -> str:
    return take_apart(heading, {})[2]


def look(
    tables: Sequence[Table], line: int, height: int = 1, join: Callable[[list[Row]], Row | None] = lambda rows: rows[0]
) -> Sight:
    """The tables by the heading that stands in a row, or in so many rows, of the first; ``join``: makes one of them."""
    parts = [row for each in range(line, line + height) if (row := tables[0].row(each)) is not None]
    heading = join(parts)
    assert heading is not None
    wanted, every = _texts(parts[0]), [_texts(row) for row in parts]
    own, other, rows = [], [], []
    for table in tables:
        at = next((row.line for row in table.rows[:SEARCHED] if _texts(row) == wanted), 0)
        if not at:
            other.append(f"{table.file} {table.sheet}".strip())
            continue
        own.append(table)
        below = table.rows[at + height - 1 :]
        rows += [SeenRow(table, row) for row in below if not row.blank and _texts(row) not in every]
    above = [row for row in tables[0].rows[: line - 1] if not row.blank]
    return Sight(own, heading, _columns(heading, rows), rows, above, other)


def _columns(heading: Row, rows: Sequence[SeenRow]) -> list[SeenColumn]:
    """A column for each heading; of equal headings the first, as the reader has it."""
    made: dict[str, SeenColumn] = {}
    for cell in heading.cells:
        if cell and len(cell.text) <= LONGEST and fold(cell.text) not in made:
            cells = tuple((row, row[cell.column]) for row in rows if row[cell.column])
            made[fold(cell.text)] = SeenColumn(squeeze(cell.text), cell.column, cells, len(rows) - len(cells))
    return list(made.values())


def without(sight: Sight, column: int, text: str) -> None:
    """Take the rows with a text in a column out of the sight: they are no rows of the work."""
    sight.keep(lambda row: fold(row[column].text) != fold(text))

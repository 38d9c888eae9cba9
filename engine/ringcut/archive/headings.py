"""A heading taken apart: ``Bond "A" (in)`` is a bond on side A in inches. And the heading row of a sheet,
found."""

from __future__ import annotations

import re
from collections.abc import Callable

import msgspec

from ringcut.archive.cells import Cell, Row
from ringcut.archive.columns import Column, ColumnFile, fold
from ringcut.archive.tables import Table
from ringcut.reading.measures import kinds_of_unit
from ringcut.reading.problems import Place, Problem, Unreadable

_UNIT = re.compile(r"^(?P<name>.*?)[ ,]*[(\[](?P<unit>[^()\[\]]{1,20})[)\]]\s*$")
_SIDE = re.compile(r"""^(?P<name>.+?)[ ,]*(?:\b(?i:side|end) )?["'\u201c(]?(?P<side>[\w.-]+)["'\u201d)]?\s*$""")
_SEARCHED = 60
_LONGEST = 120


class Heading(msgspec.Struct, frozen=True):
    """A heading: its column (counted from 1), its text, what it holds, the side and unit it names."""

    column: int
    text: str
    spec: Column
    side: str = ""
    unit: str = ""


def take_apart(text: str, sides: dict[str, tuple[str, ...]]) -> tuple[str, str, str]:
    """Name, side and unit of a heading; side and unit are empty where it names none."""
    plain = " ".join(text.split())
    if len(plain) > _LONGEST:
        return plain, "", ""
    unit = ""
    found = _UNIT.match(plain)
    if found and kinds_of_unit(found["unit"].strip()):
        plain, unit = found["name"].strip(), found["unit"].strip()
    side = ""
    last = _SIDE.match(plain)
    if last and last["name"].strip():
        said = fold(last["side"])
        for name, others in (sides or {"A": (), "B": ()}).items():
            if said in {fold(name), *(fold(other) for other in others)}:
                plain, side = last["name"].strip().rstrip("\"'").strip(), name
                break
    found = _UNIT.match(plain) if side and not unit else None
    if found and kinds_of_unit(found["unit"].strip()):
        plain, unit = found["name"].strip(), found["unit"].strip()
    return plain, side, unit


def find_heading(table: Table, spec: ColumnFile) -> Row:
    """The heading row: where the column file says, or the first in which most of its columns stand.

    Raises Unreadable where there is none.
    """
    needed = max(1, (len(spec.columns) + 1) // 2)
    best, count = _best(table, spec, spec.heading_rows)
    if best is None or count < needed:
        line = spec.heading_row or 0
        found = f"only {count} of the {len(spec.columns)} headings of the column file stand in " + (
            f"row {line}" if line else f"one of the first {_SEARCHED} rows"
        )
        missing = [name for name in spec.columns if not best or fold(name) not in {fold(c.text) for c in best.cells}]
        expected = "missing: " + ", ".join(missing[:12])
        hint = "another sheet, or the column file needs another heading-row or other headings"
        if spec.heading_rows == 1 and _best(table, spec, 2)[1] >= needed:
            hint = "the heading stands in two rows: write heading-rows: 2"
        raise Unreadable([Problem(Place(table.file, line), found, expected, hint)])
    return best


def known_headings(table: Table, spec: ColumnFile) -> int:
    """How many headings of a column file stand in the row that has most of them."""
    return _best(table, spec, spec.heading_rows)[1]


def _best(table: Table, spec: ColumnFile, height: int) -> tuple[Row | None, int]:
    """The heading of so many rows in which most columns stand, as one row, and how many do."""
    lines = [spec.heading_row] if spec.heading_row else range(1, min(_SEARCHED, len(table.rows)) + 1)
    best: Row | None = None
    count = 0
    for line in lines:
        row = joined_rows([row for each in range(line, line + height) if (row := table.row(each))], spec.column)
        known = sum(1 for cell in row.cells if cell and spec.column(cell.text)) if row else 0
        if row and known > count:
            best, count = row, known
    return best, count


def joined_rows(rows: list[Row], known: Callable[[str], object]) -> Row | None:
    """A heading of several rows as one: ``Bond (in)`` above ``A`` and ``B`` is ``Bond (in) A`` and ``Bond (in) B``.

    A merged cell has its text in its first column only: an empty cell above others takes the text left of it. Where
    only the lower words are ``known``, or only the upper ones, those count.
    """
    if len(rows) < 2:
        return rows[0] if rows else None
    above = {row.line: "" for row in rows}
    cells = []
    for column in range(1, max(row.width for row in rows) + 1):
        parts = []
        for number, row in enumerate(rows):
            own = row[column].text.strip()
            below = any(each[column] for each in rows[number + 1 :])
            above[row.line] = own or (above[row.line] if below else "")
            if own or below:
                parts.append(above[row.line])
        named = [part for part in parts if part]
        ways = [" ".join(named[at:]) for at in range(len(named))] + named[:1]
        text = next((way for way in ways if known(way)), ways[0] if ways else "")
        cells.append(msgspec.structs.replace(rows[0][column], text=text))
    return Row(rows[0].line, tuple(cells))


def read_headings(row: Row, spec: ColumnFile) -> tuple[list[Heading], list[Cell]]:
    """The headings that the column file knows, in order, and the cells of those that it does not."""
    known: list[Heading] = []
    unknown: list[Cell] = []
    taken: set[str] = set()
    for cell in row.cells:
        if not cell:
            continue
        column = spec.column(cell.text)
        if column is None or fold(cell.text) in taken:
            unknown.append(cell)
            continue
        taken.add(fold(cell.text))
        if spec.decimal and not column.decimal:
            column = msgspec.structs.replace(column, decimal=spec.decimal)
        _, side, unit = take_apart(cell.text, spec.sides)
        is_reading = column.role in ("reading", "value")
        known.append(
            Heading(
                cell.column,
                " ".join(cell.text.split()),
                column,
                column.side or (side if is_reading else ""),
                unit,
            )
        )
    return known, unknown

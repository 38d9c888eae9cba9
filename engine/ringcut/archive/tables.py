"""A spreadsheet file as tables: one for a CSV file, one a sheet for a workbook, with what was found out about
it."""

from __future__ import annotations

import hashlib
from pathlib import Path

import msgspec

from ringcut.archive.cells import Cell, Row
from ringcut.archive.encodings import decode
from ringcut.archive.separated import SEPARATORS, find_layout, read_rows, split_lines
from ringcut.archive.workbook import is_workbook, read_workbook
from ringcut.reading.problems import Place, Problem, Unreadable

LARGEST_FILE = 64_000_000
"""Bytes; a larger spreadsheet is refused: JSON Lines are for bulk."""

MOST_ROWS = 500_000


class Table(msgspec.Struct):
    """Rows of cells, with encoding and separator as found (empty for a workbook's sheet)."""

    file: str
    rows: list[Row]
    encoding: str = ""
    separator: str = ""
    sheet: str = ""
    digest: str = ""
    """SHA-256 of the file's bytes, hexadecimal."""
    problems: list[Problem] = []

    def cell(self, line: int, column: int) -> Cell:
        """The cell of a row and column, empty where there is none."""
        row = self.row(line)
        return row[column] if row else Cell("", line, column)

    def row(self, line: int) -> Row | None:
        """The row with this number."""
        at = line - 1
        return self.rows[at] if 0 <= at < len(self.rows) else None


def read_tables(source: Path | bytes, name: str, encoding: str = "", separator: str = "") -> list[Table]:
    """Every table of a CSV file or .xlsx workbook; ``encoding`` and ``separator`` overrule detection.

    Raises Unreadable for files that are no table, damaged, too large or empty.
    """
    data = table_bytes(source, name)
    digest = hashlib.sha256(data).hexdigest()
    if is_workbook(data):
        sheets = read_workbook(data, name)
        if not sheets:
            raise Unreadable([Problem(Place(name), "the workbook has no cell with a text")])
        return [Table(name, sheet.rows, sheet=sheet.name, digest=digest, problems=sheet.problems) for sheet in sheets]
    return [_read_text(data, name, encoding, separator, digest)]


def read_table(source: Path | bytes, name: str, encoding: str = "", separator: str = "") -> Table:
    """The first table of a file, as :func:`read_tables`."""
    return read_tables(source, name, encoding, separator)[0]


def table_bytes(source: Path | bytes, name: str) -> bytes:
    """The bytes of a spreadsheet file. Raises Unreadable where it is too large, empty or cannot be opened."""
    try:
        size = len(source) if isinstance(source, bytes) else source.stat().st_size
        data = b"" if size > LARGEST_FILE else source if isinstance(source, bytes) else source.read_bytes()
    except OSError as error:
        raise Unreadable([Problem(Place(name), f"cannot be opened: {error.strerror or error}")]) from error
    if size > LARGEST_FILE:
        expected = f"at most {LARGEST_FILE:,} bytes"
        raise Unreadable(
            [Problem(Place(name), f"the file has {size:,} bytes", expected, "split it, or give JSON Lines")]
        )
    if not data.strip():
        raise Unreadable([Problem(Place(name), "the file is empty", "a table")])
    return data


def _read_text(data: bytes, name: str, encoding: str, separator: str, digest: str) -> Table:
    decoded = decode(data, name, encoding)
    problems = list(decoded.problems)
    lines = split_lines(decoded.text)
    layout = find_layout(lines, separator)
    rows = []
    for row in read_rows(lines, layout, name, problems):
        if row.line > MOST_ROWS:
            problems.append(Problem(Place(name, row.line), f"more than {MOST_ROWS:,} rows; the rest is left out"))
            break
        rows.append(row)
    while rows and rows[-1].blank:
        rows.pop()
    if not rows:
        raise Unreadable([Problem(Place(name), "no row has a text", "a table")])
    named = SEPARATORS.get(layout.separator, repr(layout.separator))
    return Table(name, rows, decoded.encoding, named, digest=digest, problems=problems)

"""Texts with separated values, read as a spreadsheet would: rows numbered as its rows, broken quotes told and
survived.

The standard library's reader lets one lost quote swallow the rest of the file and does not say where; here a
quote that is not closed in a few lines is taken as a plain character, and the row says so.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator

import msgspec

from ringcut.archive.cells import Row, row_of
from ringcut.reading.problems import Place, Problem

SEPARATORS = {",": "commas", ";": "semicolons", "\t": "tabs", "|": "bars"}
"""What may stand between cells, with its name."""

_LINE_END = re.compile(r"\r\n|\n|\r")
_LONGEST_CELL_LINES = 20
_LONGEST_LINE = 50_000
_SAMPLE_LINES = 60
_WIDEST = 2000
_QUOTED = re.compile(r'"((?:[^"]|"")*)"')


class Layout(msgspec.Struct, frozen=True):
    """How a text is laid out: its separator, and the lines that tell it (``sep=;``) rather than hold a
    row."""

    separator: str
    skip: int = 0
    usual: int = 0
    """Separators in a usual line; a line with as many is a row of its own and no part of a quoted cell."""


def split_lines(text: str) -> list[str]:
    """The lines, whatever mixture of line ends they have."""
    lines = _LINE_END.split(text)
    return lines[:-1] if lines and not lines[-1] else lines


def find_layout(lines: list[str], separator: str = "") -> Layout:
    """The separator that cuts most lines into the same number of cells; ``separator`` overrules it."""
    sample = [line for line in lines[:_SAMPLE_LINES] if line.strip()]
    if separator:
        return Layout(separator, usual=_usual(sample, separator))
    first = lines[0].strip() if lines else ""
    if re.fullmatch(r'"?sep=(.|\t)"?', first, re.IGNORECASE):
        sign = first.strip('"')[4:]
        return Layout(sign, 1, _usual(sample[1:], sign))
    best = max(SEPARATORS, key=lambda sign: _score(sample, sign))
    return Layout(best, usual=_usual(sample, best))


def _usual(sample: list[str], sign: str) -> int:
    counts = Counter(line.count(sign) for line in sample)
    return counts.most_common(1)[0][0] if counts else 0


def _score(sample: list[str], sign: str) -> tuple[int, int]:
    """Lines that agree on a number of cells above one, and that number."""
    widths = Counter(len(_cut(line, sign)[0]) for line in sample)
    widths.pop(1, None)
    if not widths:
        return (0, 0)
    width, lines = max(widths.items(), key=lambda item: (item[1], item[0]))
    return (lines, width)


def read_rows(lines: list[str], layout: Layout, name: str, problems: list[Problem]) -> Iterator[Row]:
    """Every row, blank ones too. A row may span lines where a quoted cell does; rows are counted as a
    spreadsheet does."""
    at, number = layout.skip, 0
    while at < len(lines):
        number += 1
        line, used = lines[at], 1
        cells, is_open = _cut(line, layout.separator)
        while is_open and _may_go_on(lines, at, used, layout):
            line += "\n" + lines[at + used]
            used += 1
            cells, is_open = _cut(line, layout.separator)
        if is_open:
            line, used = lines[at], 1
            cells = line.split(layout.separator)
            found = "a quote is opened and not closed; quotes in this row are taken as plain characters"
            problems.append(Problem(Place(name, number), found, 'a closing quote "'))
        if len(cells) > _WIDEST:
            found = f"{len(cells)} cells in one row; those beyond {_WIDEST} are left out"
            problems.append(Problem(Place(name, number), found))
        yield row_of(number, cells[:_WIDEST])
        at += used


def _may_go_on(lines: list[str], at: int, used: int, layout: Layout) -> bool:
    """The next line can belong to an open quoted cell: few lines, short ones, none that is a row of its
    own."""
    if used >= _LONGEST_CELL_LINES or at + used >= len(lines):
        return False
    following = lines[at + used]
    return len(following) < _LONGEST_LINE and following.count(layout.separator) < max(layout.usual, 2)


def _cut(line: str, separator: str) -> tuple[list[str], bool]:
    """The cells of a line, and whether a quote is still open at its end."""
    if '"' not in line:
        return line.split(separator), False
    cells: list[str] = []
    at = 0
    while True:
        quoted = _QUOTED.match(line, at) if line.startswith('"', at) else None
        if line.startswith('"', at) and not quoted:
            return [*cells, line[at:]], True
        end = line.find(separator, quoted.end() if quoted else at)
        stop = len(line) if end < 0 else end
        if quoted and not line[quoted.end() : stop].strip():
            cells.append(quoted[1].replace('""', '"'))
        else:
            cells.append(line[at:stop])
        if end < 0:
            return cells, False
        at = end + 1

"""A small table as people keep it: a heading and rows of cells, each with its place.

Cells are set apart by commas, semicolons or tabs, whichever the heading has most of.
"""

from __future__ import annotations

import csv
import io

from ringcut.reading.phrase import Phrase
from ringcut.reading.problems import Place, Problem
from ringcut.reading.textbytes import text_of

SEPARATORS = ",;\t"

Row = tuple[Phrase, ...]
"""The cells of a line, blanks around them taken off."""


def read_sheet(data: bytes, file: str, problems: list[Problem]) -> tuple[Row, list[Row]]:
    """The heading, and every row below it that is not empty; a row is never longer than the heading.

    Problems are added to ``problems``: text that cannot be read, a quote that does not end, cells under no heading.
    """
    text = text_of(data, file, problems)
    lines = _cells(text, file, problems) if text is not None else []
    if not lines:
        return (), []
    heading, rows = lines[0], []
    for cells in lines[1:]:
        beyond = [cell for cell in cells[len(heading) :] if cell.text]
        if beyond:
            told = f"{len(cells)} cells under {len(heading)} headings"
            hint = 'put a text with a comma in quotes: "..."'
            problems.append(Problem(beyond[0].place, told, "as many cells", hint))
        else:
            rows.append(cells[: len(heading)])
    return heading, rows


def _cells(text: str, file: str, problems: list[Problem]) -> list[Row]:
    """The lines that are not empty; the first of them is the heading."""
    first = next((line for line in text.split("\n") if line.strip(f"{SEPARATORS} \r")), "")
    separator = max(SEPARATORS, key=first.count)
    reader = csv.reader(io.StringIO(text), delimiter=separator, strict=True)
    found: list[Row] = []
    line = 1
    try:
        for cells in reader:
            places = (Place(file, line, at, letter(at)) for at in range(1, len(cells) + 1))
            if any(cell.strip() for cell in cells):
                found.append(tuple(Phrase(cell.strip(), place) for cell, place in zip(cells, places, strict=True)))
            line = reader.line_num + 1
    except csv.Error as error:
        problems.append(Problem(Place(file, line), f"this line is no row of cells: {error}", "", "look at its quotes"))
        return []
    return found


def letter(column: int) -> str:
    """The letter of a column of a spreadsheet, counted from 1: A, B, ..., Z, AA."""
    found = ""
    while column:
        column, rest = divmod(column - 1, 26)
        found = chr(ord("A") + rest) + found
    return found

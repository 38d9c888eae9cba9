"""A contractor's spreadsheet as logs, with what was read, what was assumed and what was not taken.

``read_spreadsheet`` is the door of this room for tables; ``streams.read_logs`` is the one for any file.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from pathlib import Path, PurePath

import msgspec

from ringcut.archive.cells import Cell, Row, letter
from ringcut.archive.columns import ColumnFile, fold
from ringcut.archive.factcells import read_fact
from ringcut.archive.jobs import Jobs, names_reference
from ringcut.archive.ledger import Assumption, Ledger, Noted, NotTaken
from ringcut.archive.lexicon import Lexicon
from ringcut.archive.logs import Gatherer, ReadLog
from ringcut.archive.nounit import tell_units
from ringcut.archive.ownform import own_columns
from ringcut.archive.rowreader import RowReader
from ringcut.archive.sheets import Left, Sheet, read_sheet
from ringcut.archive.tables import Table, read_tables
from ringcut.archive.unsaid import tell_unsaid
from ringcut.reading.problems import Place, Problem, Unreadable


class Known(msgspec.Struct, frozen=True):
    """A column whose heading the column file knows, and the ``step.reading`` names it may hold."""

    letter: str
    heading: str
    readings: tuple[str, ...] = ()
    side: str = ""
    holds: str = ""
    """Its role: reference, date, time, task, reading and so on."""
    unit: str = ""
    """The unit of bare numbers in it."""


class TableRead(msgspec.Struct, frozen=True):
    """What was found in one table: it comes first in every report."""

    sheet: str
    encoding: str
    separator: str
    heading_line: int
    below: int
    """Rows below the heading."""
    step_rows: int
    left_out: tuple[Left, ...]
    columns: tuple[Known, ...] = ()


class Reading(msgspec.Struct, frozen=True):
    """Everything that a spreadsheet gave."""

    file: str
    tables: tuple[TableRead, ...]
    logs: tuple[ReadLog, ...]
    assumptions: tuple[Assumption, ...]
    not_taken: tuple[NotTaken, ...]
    noted: tuple[Noted, ...]
    problems: tuple[Problem, ...] = ()
    """What was wrong with the file as a text (bad characters, quotes), and is survived."""
    digest: str = ""


def read_spreadsheet(
    source: Path | bytes,
    name: str,
    lexicon: Lexicon,
    columns: ColumnFile | None = None,
    jobs: Jobs | None = None,
    columns_name: str = "",
    corrected: Mapping[tuple[str, int, int], str] | None = None,
) -> Reading:
    """Read a CSV file or .xlsx workbook by its column file; without one it has to be the product's own log
    form. ``corrected``: (sheet, row, column) of cells for which the crew gave another text.

    Raises Unreadable where the file is no table, or no sheet has the heading of the column file.
    """
    asked = columns or ColumnFile(columns={})
    tables = read_tables(source, name, asked.encoding, asked.separator)
    every = tables
    tables = [table for table in tables if not asked.sheets or table.sheet in asked.sheets]
    for table in tables if corrected else ():
        # the questions of a workbook of which one sheet is read name none
        _correct(table, {table.sheet, ""} if len(tables) == 1 else {table.sheet}, corrected or {})
    ledger = Ledger(name, columns_name)
    found: list[TableRead] = []
    failed: list[tuple[Table, Problem]] = []
    gatherer: Gatherer | None = None
    for table in tables:
        ledger.file = f"{name}#{table.sheet}" if len(tables) > 1 else name
        try:
            spec = columns or own_columns(table, lexicon)
            sheet = read_sheet(table, spec, ledger)
            if columns is None:
                _offer_columns(sheet, ledger)
        except Unreadable as error:
            failed += [(table, problem) for problem in error.problems]
            continue
        if gatherer is None:
            tell_unsaid(sheet, spec, ledger)
        gatherer = gatherer or Gatherer(spec, jobs, ledger, columns_name or name, table.digest, lexicon)
        _take(sheet, spec, lexicon, ledger, gatherer)
        found.append(_told(sheet))
    if gatherer is None:
        wanted = f"no sheet {' or '.join(asked.sheets)}"
        raise Unreadable(
            [_of_sheet(problem, table) for table, problem in failed]
            or [Problem(Place(name), wanted, "", "see sheets in the column file")]
        )
    ledger.file = name
    for table, problem in failed:
        cell = Cell(table.sheet or name, problem.place.line, 0)
        ledger.note("sheet", cell, f"this sheet was not read: {problem.found}")
    _tell_sheets(every, asked, ledger)
    logs = tuple(gatherer.logs())
    return Reading(
        name,
        tuple(found),
        logs,
        ledger.assumptions(),
        tuple(sorted(ledger.not_taken, key=lambda each: each.place)),
        tuple(sorted(ledger.noted, key=lambda each: each.place)),
        tuple(problem for table in tables for problem in table.problems),
        tables[0].digest,
    )


def _tell_sheets(tables: list[Table], asked: ColumnFile, ledger: Ledger) -> None:
    """Tell of sheets that the column file does not name, and of names that no sheet has."""
    there = [table.sheet for table in tables]
    for sheet in there if asked.sheets else ():
        if sheet not in asked.sheets:
            ledger.note("sheet", Cell(sheet, 0, 0), "this sheet was not read: the column file does not name it")
    for name in asked.sheets:
        if name not in there:
            ledger.note("sheet", Cell(name, 0, 0), "in the column file, but not in this workbook")


def _offer_columns(sheet: Sheet, ledger: Ledger) -> None:
    """Tell a column that was taken for the reference by what its heading says in the trade."""
    heading = sheet.having("reference")
    if any(line.row[cell.column] for cell in sheet.unknown for line in sheet.lines):
        says = "read as the product's own log form; --ask makes a column file for what it does not know"
        ledger.assume("not-said", sheet.heading_line, says, "no column file")
    if heading is not None and fold(heading.text) not in ("reference", "order"):
        says = f"the column {heading.text} holds the reference of each job; a column file says otherwise"
        ledger.assume("reference", sheet.heading_line, says, heading.text)
    others = [cell for cell in sheet.unknown if names_reference(cell.text)] if heading is None else []
    for cell in others:
        ledger.note("column", cell, "may be the reference, and is not the only one: say in a column file which it is")


def _correct(table: Table, names: Collection[str], corrected: Mapping[tuple[str, int, int], str]) -> None:
    for (sheet, line, column), text in corrected.items():
        row = table.row(line)
        if sheet in names and row is not None:
            texts = {cell.column: cell for cell in row.cells} | {column: Cell(text, line, column)}
            cells = tuple(texts.get(each, Cell("", line, each)) for each in range(1, max(texts) + 1))
            table.rows[line - 1] = Row(line, cells)


def _of_sheet(problem: Problem, table: Table) -> Problem:
    said = f"sheet {table.sheet}: " if table.sheet else ""
    return msgspec.structs.replace(problem, found=said + problem.found)


def _take(sheet: Sheet, spec: ColumnFile, lexicon: Lexicon, ledger: Ledger, gatherer: Gatherer) -> None:
    if sheet.having("reference") is None and "reference" not in sheet.facts:
        text = sheet.table.sheet if spec.shape == "job-sheets" and sheet.table.sheet else PurePath(ledger.file).stem
        cell = Cell(text, sheet.heading_line, 0)
        sheet.facts["reference"] = cell
        ledger.assume("reference", sheet.heading_line, f"no reference in the sheet: its name, {text}, is taken", "")
    told = {
        fact: read_fact(cell, sheet.labels[fact], spec, lexicon, ledger)
        for fact, cell in sheet.facts.items()
        if fact not in ("reference", "closure", "date", "by")
    }
    for entry in RowReader(sheet, spec, lexicon, ledger).entries():
        for fact, said in told.items():
            if said is not None:
                entry.facts.setdefault(fact, said)
        gatherer.add(entry)
    tell_units(sheet, lexicon, ledger, spec.shape == "own-form")


def _told(sheet: Sheet) -> TableRead:
    table = sheet.table
    return TableRead(
        table.sheet,
        table.encoding,
        table.separator,
        sheet.heading_line,
        sheet.below,
        len(sheet.lines),
        tuple(sheet.left_out),
        tuple(
            Known(
                letter(each.column),
                each.text,
                each.spec.reading,
                each.side or each.spec.side,
                each.spec.role,
                each.spec.unit or each.unit,
            )
            for each in sheet.headings
        ),
    )

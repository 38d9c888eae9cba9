"""A contractor's spreadsheet as logs, with what was read, what was assumed and what was not taken.

``read_spreadsheet`` is the door of this room for tables; ``streams.read_logs`` is the one for any file.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from pathlib import Path, PurePath

import msgspec

from ringcut.archive.cells import Cell, Row, letter
from ringcut.archive.columns import ColumnFile, NamedColumns, fold
from ringcut.archive.factcells import read_fact
from ringcut.archive.fitting import Choice, choices
from ringcut.archive.jobs import Jobs, names_reference
from ringcut.archive.ledger import Assumption, Ledger, Noted, NotTaken
from ringcut.archive.lexicon import Lexicon
from ringcut.archive.logs import Gatherer, ReadLog
from ringcut.archive.nounit import tell_units
from ringcut.archive.ownform import own_columns
from ringcut.archive.rowreader import RowReader
from ringcut.archive.sheets import Left, Sheet, read_sheet
from ringcut.archive.tables import Table
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


class TableRead(msgspec.Struct, frozen=True, rename="kebab"):
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
    column_file: str = ""
    """The column file by which it was read, as it was given; empty: as the product's own log form. Format 1.4 added it.
    """


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
    undecided: tuple[Problem, ...] = ()
    """Tables that were not read, because several column files fit them."""


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
    given = [NamedColumns(columns_name, columns)] if columns else []
    return read_by_fitting(source, name, lexicon, given, jobs, corrected)


def read_by_fitting(
    source: Path | bytes,
    name: str,
    lexicon: Lexicon,
    given: Sequence[NamedColumns],
    jobs: Jobs | None = None,
    corrected: Mapping[tuple[str, int, int], str] | None = None,
) -> Reading:
    """As :func:`read_spreadsheet`, each table by the column file of several that fits it; where none does, it has to be
    the product's own log form. A table that several fit alike is not read, and told under ``undecided``."""
    every = choices(source, name, given, lexicon)
    chosen = [each for each in every if not _other_sheet(each)]
    tables = [each.table for each in chosen]
    for table in tables if corrected else ():
        # the questions of a workbook of which one sheet is read name none
        _correct(table, {table.sheet, ""} if len(tables) == 1 else {table.sheet}, corrected or {})
    ledger = Ledger(name)
    found: list[TableRead] = []
    failed: list[tuple[Table, Problem]] = []
    gatherers: dict[str, Gatherer] = {}
    for each in chosen:
        table = each.table
        ledger.columns = each.by.name if each.by else ""
        ledger.file = f"{name}#{table.sheet}" if len(tables) > 1 else name
        if each.undecided:
            continue
        try:
            spec = each.by.spec if each.by else own_columns(table, lexicon, each.why)
            sheet = read_sheet(table, spec, ledger)
            if each.by is None:
                _offer_columns(sheet, ledger, each.why)
        except Unreadable as error:
            failed += [(table, problem) for problem in error.problems]
            continue
        if ledger.columns not in gatherers:
            tell_unsaid(sheet, spec, ledger)
            said_in = ledger.columns or name
            gatherers[ledger.columns] = Gatherer(spec, jobs, ledger, said_in, table.digest, lexicon)
        _take(sheet, spec, lexicon, ledger, gatherers[ledger.columns])
        found.append(_told(sheet, ledger.columns))
    undecided = [_of_sheet(each.undecided, each.table) for each in chosen if each.undecided]
    if not gatherers:
        raise Unreadable(
            undecided + [_of_sheet(problem, table) for table, problem in failed] or [_no_sheet(name, given)]
        )
    ledger.file = name
    for table, problem in failed:
        cell = Cell(table.sheet or name, problem.place.line, 0)
        ledger.note("sheet", cell, f"this sheet was not read: {problem.found}")
    _tell_sheets(every, ledger)
    logs = []
    for ledger.columns, gatherer in gatherers.items():
        logs += gatherer.logs()
    return Reading(
        name,
        tuple(found),
        tuple(logs),
        ledger.assumptions(),
        tuple(sorted(ledger.not_taken, key=lambda each: each.place)),
        tuple(sorted(ledger.noted, key=lambda each: each.place)),
        tuple(problem for table in tables for problem in table.problems),
        tables[0].digest,
        tuple(undecided),
    )


def _other_sheet(choice: Choice) -> bool:
    """Whether the column file names other sheets than this one."""
    return choice.by is not None and bool(choice.by.spec.sheets) and choice.table.sheet not in choice.by.spec.sheets


def _no_sheet(name: str, given: Sequence[NamedColumns]) -> Problem:
    named = dict.fromkeys(sheet for each in given for sheet in each.spec.sheets)
    return Problem(Place(name), f"no sheet {' or '.join(named)}", "", "see sheets in the column file")


def _tell_sheets(every: Sequence[Choice], ledger: Ledger) -> None:
    """Tell of sheets that the column file does not name, and of names that no sheet has."""
    for each in every:
        if _other_sheet(each):
            says = "this sheet was not read: the column file does not name it"
            ledger.note("sheet", Cell(each.table.sheet, 0, 0), says)
    there = [each.table.sheet for each in every]
    used = {each.by.name: each.by.spec for each in every if each.by}
    for name in dict.fromkeys(name for spec in used.values() for name in spec.sheets):
        if name not in there:
            ledger.note("sheet", Cell(name, 0, 0), "in the column file, but not in this workbook")


def _offer_columns(sheet: Sheet, ledger: Ledger, why: str = "") -> None:
    """Tell that a table is read without a column file, and a column that was taken for the reference by what its
    heading says in the trade. ``why``: why none of several column files is its own."""
    heading = sheet.having("reference")
    if why:
        says = f"read as the product's own log form, for no column file fits: {why}"
        ledger.assume("not-said", sheet.heading_line, says, "no column file")
    elif any(line.row[cell.column] for cell in sheet.unknown for line in sheet.lines):
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


def _told(sheet: Sheet, column_file: str) -> TableRead:
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
        column_file,
    )

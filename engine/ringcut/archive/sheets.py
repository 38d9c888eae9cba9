"""A table seen through its column file: heading, facts above it, the rows that are steps and those that are
not."""

from __future__ import annotations

import datetime

import msgspec

from ringcut.archive.cells import Cell, Row
from ringcut.archive.columns import Column, ColumnFile, Label, LeftOut, fold
from ringcut.archive.days import Day, read_day
from ringcut.archive.headings import Heading, find_heading, joined_rows, read_headings, take_apart
from ringcut.archive.ledger import Ledger
from ringcut.archive.tables import Table
from ringcut.archive.templates import match


class Left(msgspec.Struct, frozen=True):
    """A row that was left out, and why."""

    line: int
    because: str


class Line(msgspec.Struct):
    """A row of the body by heading. ``filled`` has the headings whose cell was taken from above."""

    row: Row
    cells: dict[int, Cell]
    """Column number: the cell, or the one above that it takes its value from."""
    filled: frozenset[int] = frozenset()
    end: str = ""
    """What stands beyond the last heading."""
    shifted: bool = False
    """Cells may stand one column too far right: its readings are not taken."""

    @property
    def line(self) -> int:
        """Its row."""
        return self.row.line


class Sheet(msgspec.Struct):
    """What was found in a table."""

    table: Table
    heading_line: int
    headings: list[Heading]
    unknown: list[Cell]
    facts: dict[str, Cell]
    """Job fact, reference, closure or date from the block above the heading: its cell."""
    labels: dict[str, Heading]
    """The label of each of them."""
    week: datetime.date | None
    lines: list[Line]
    left_out: list[Left]

    @property
    def below(self) -> int:
        """Rows below the heading."""
        return len(self.lines) + len(self.left_out)

    def having(self, role: str) -> Heading | None:
        """The heading of the first column that holds ``role``."""
        return next((heading for heading in self.headings if heading.spec.role == role), None)


def read_sheet(table: Table, spec: ColumnFile, ledger: Ledger) -> Sheet:
    """Find the heading, the facts block and the body of a table. Raises Unreadable where there is no
    heading."""
    heading = find_heading(table, spec)
    headings, unknown = read_headings(heading, spec)
    above = [row for row in table.rows if row.line < heading.line]
    sheet = Sheet(table, heading.line, headings, unknown, {}, {}, None, [], [])
    for row in above:
        _facts(row, spec, sheet)
    if spec.week:
        sheet.week = _week(above, heading, spec, ledger)
    _body(sheet, heading, spec, ledger)
    for cell in unknown:
        used = sum(1 for line in sheet.lines if line.row[cell.column])
        if used:
            where = "the product's own log form" if spec.shape == "own-form" else "the column file"
            ledger.note("column", cell, f"not in {where}: {used} {'cell' if used == 1 else 'cells'} not read")
    _tell_second(sheet, ledger)
    _tell_missing(sheet, heading, spec, ledger)
    return sheet


_MANY = ("note", "by", "evidence", "fact", "step", "reading", "ignore")
"""Roles that several columns may have; of any other one column counts."""


def _tell_second(sheet: Sheet, ledger: Ledger) -> None:
    """Columns that are not read, because one left of them holds the same."""
    for each in sheet.headings:
        first = sheet.having(each.spec.role)
        used = sum(1 for line in sheet.lines if line.row[each.column])
        if used and first is not None and first.column != each.column and each.spec.role not in _MANY:
            says = (
                f"{first.text} holds {each.spec.role} too, and is read: {used} {'cell' if used == 1 else 'cells'} not"
            )
            ledger.note("column", Cell(each.text, sheet.heading_line, each.column), f"{says} read")


def _tell_missing(sheet: Sheet, heading: Row, spec: ColumnFile, ledger: Ledger) -> None:
    """What the column file names and the heading has not; with two rows of heading it may have it."""
    present = {fold(each.text) for each in sheet.headings}
    below = sheet.table.row(heading.line + 1) if spec.heading_rows == 1 else None
    two = joined_rows([heading, below], spec.column) if below else None
    there = {fold(cell.text) for cell in two.cells} if two else set()
    for name in spec.columns:
        if fold(name) not in present:
            says = "in the column file, but not in this heading"
            says += "; it is with heading-rows: 2" if fold(name) in there else ""
            ledger.note("column", Cell(name, heading.line, 0), says)
    known = present | {fold(cell.text) for cell in sheet.unknown}
    for rule in spec.leave_out:
        if fold(rule.column) not in known:
            says = "leave-out looks there, and it is not in this heading: no row is left out by it"
            ledger.note("column", Cell(rule.column, heading.line, 0), says)


def _facts(row: Row, spec: ColumnFile, sheet: Sheet) -> None:
    """``label, value`` pairs of a row, also ``label: value`` in one cell."""
    labels = {fold(text).rstrip(": "): _label(text, label, spec) for text, label in spec.facts_block.items()}
    for cell in row.cells:
        said = fold(cell.text).rstrip(": ")
        if said in labels:
            value = next((each for each in row.cells[cell.column :] if each), None)
            if value is not None:
                sheet.facts[labels[said].spec.fact] = value
                sheet.labels[labels[said].spec.fact] = labels[said]
            continue
        label, colon, rest = cell.text.partition(":")
        if colon and rest.strip() and fold(label) in labels:
            known = labels[fold(label)]
            sheet.facts[known.spec.fact] = msgspec.structs.replace(cell, text=rest.strip())
            sheet.labels[known.spec.fact] = known


def _label(text: str, label: Label, spec: ColumnFile) -> Heading:
    column = Column(
        holds="fact", fact=label.fact, words=label.words, unit=label.unit, decimal=label.decimal or spec.decimal
    )
    return Heading(0, text, column, unit=take_apart(text, spec.sides)[2])


def _week(above: list[Row], heading: Row, spec: ColumnFile, ledger: Ledger) -> datetime.date | None:
    for row in above:
        for cell in row.cells:
            if fold(cell.text).rstrip(": ") == fold(spec.week).rstrip(": "):
                value = next((each for each in row.cells[cell.column :] if each), None)
                day = read_day(value, spec.dates) if value else None
                if isinstance(day, Day):
                    return day.date
                if value:
                    ledger.note("week", value, "the week of the sheet cannot be read")
                return None
    ledger.note("column", Cell(spec.week, heading.line, 0), "is to name the week, and stands nowhere above the heading")
    return None


def _body(sheet: Sheet, heading: Row, spec: ColumnFile, ledger: Ledger) -> None:
    last = heading.line + max(spec.heading_rows, 1) - 1
    again = [_texts(row) for row in sheet.table.rows[heading.line - 1 : last]]
    fills = {fold(name) for name in spec.fill_down}
    fill_columns = {each.column: each for each in sheet.headings if fold(each.text) in fills}
    reference = sheet.having("reference")
    above: dict[int, Cell] = {}
    for row in sheet.table.rows[last:]:
        because = _because(row, again, sheet, spec)
        if because:
            sheet.left_out.append(Left(row.line, because))
            continue
        own = row[reference.column] if reference else None
        if reference and own and above.get(reference.column, own).text != own.text:
            # another order: its place and facts are not those of the order above
            above = {at: cell for at, cell in above.items() if fill_columns[at].spec.role in ("date", "by")}
        cells = {each.column: row[each.column] for each in sheet.headings}
        filled = []
        for column in fill_columns:
            if cells[column]:
                above[column] = cells[column]
            elif column in above:
                cells[column] = above[column]
                filled.append(column)
        end, shifted = _row_end(row, sheet, ledger)
        sheet.lines.append(Line(row, cells, frozenset(filled), end, shifted))
        if filled:
            names = ", ".join(heading.text for column, heading in fill_columns.items())
            ledger.assume("filled-down", row.line, "empty cells take the value above", names)


def _texts(row: Row) -> list[str]:
    return [fold(cell.text) for cell in row.cells if cell]


def _because(row: Row, again: list[list[str]], sheet: Sheet, spec: ColumnFile) -> str:
    """Why a row is no step; empty for one that is."""
    if row.blank:
        return "blank"
    if _texts(row) in again:
        return "heading again"
    for rule in spec.leave_out:
        if match(rule.says, _cell_of(row, rule, sheet).text) is not None:
            return rule.because
    return ""


def _cell_of(row: Row, rule: LeftOut, sheet: Sheet) -> Cell:
    for heading in sheet.headings:
        if fold(heading.text) == fold(rule.column):
            return row[heading.column]
    for cell in sheet.unknown:
        if fold(cell.text) == fold(rule.column):
            return row[cell.column]
    return Cell("", row.line, 0)


def _row_end(row: Row, sheet: Sheet, ledger: Ledger) -> tuple[str, bool]:
    """Cells beyond the last heading: a separator in the last column without quotes, or cells pushed to the
    right."""
    last = max([each.column for each in sheet.headings] + [cell.column for cell in sheet.unknown])
    beyond = [cell for cell in row.cells[last:] if cell]
    if not beyond:
        return "", False
    text = ", ".join(cell.text.strip() for cell in beyond)
    heading = next((each for each in sheet.headings if each.column == last), None)
    free = heading is not None and heading.spec.role in ("note", "reason")
    says = f"{row.width} cells, {last} headings. "
    if free and heading:
        says += f"A separator in {heading.text} without quotes; the rest of the row is as it should be"
    else:
        says += "A separator in a cell without quotes? Readings of this row are not taken"
    ledger.refuse_end(row.line, text, says)
    return text, not free

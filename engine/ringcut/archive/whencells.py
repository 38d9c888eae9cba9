"""Cells of dates and times, each date read once and told once."""

from __future__ import annotations

import datetime

import msgspec

from ringcut.archive.begun import turn
from ringcut.archive.cells import Cell
from ringcut.archive.clock import Timed
from ringcut.archive.days import Day, read_day, spoken
from ringcut.archive.entries import Entry
from ringcut.archive.hours import Hour, NoHour, read_hour, read_span
from ringcut.archive.rowcells import RowCells
from ringcut.archive.sheets import Line

_WEEK = datetime.timedelta(days=7)


class WhenCells:
    """Reads when the entries of one sheet were done."""

    def __init__(self, rows: RowCells) -> None:
        self.rows, self.sheet, self.spec, self.ledger = rows, rows.sheet, rows.spec, rows.ledger
        self._told_span = ""
        self._dates: dict[tuple[int, int], datetime.date | None] = {}

    def read(self, line: Line, entry: Entry) -> None:
        started = self.rows.cell(line, "started")
        cell = self.rows.cell(line, "time")
        if started:
            hour = self._hour(started)
            entry.started = (hour, started) if hour else None
        if cell and not self._span(cell, line, entry):
            hour = self._hour(cell)
            if hour:
                entry.timed = self.timed(cell, hour, line, entry)
                self._over_midnight(entry)

    def _over_midnight(self, entry: Entry) -> None:
        """The date in a row is that of its beginning, if midnight lies before its end."""
        timed = entry.timed
        if entry.started is None or timed is None or timed.date is None or not timed.own_date or timed.hour.day:
            return
        if turn(entry.started[0], timed.hour, self.spec.clock) == "midnight":
            timed.date += datetime.timedelta(days=1)

    def tick(self, cell: Cell, line: Line, entry: Entry) -> bool:
        """Take the time, or the two, that stand in place of a tick; whether there are any."""
        if cell.moment is None and not any(sign.isdigit() for sign in cell.text):
            return False
        if self._span(cell, line, entry):
            return True
        hour = read_hour(cell)
        if isinstance(hour, Hour):
            entry.timed = self.timed(cell, hour, line, entry)
        return isinstance(hour, Hour)

    def _span(self, cell: Cell, line: Line, entry: Entry) -> bool:
        """A cell with two times: when it was begun and when it was finished."""
        span = read_span(cell) if self.spec.time_means != "started" and entry.started is None else None
        if span is None:
            return False
        first, last = span
        between = "" if last.day else turn(first, last, self.spec.clock)
        if between in ("unclear", "backwards"):
            why = "am or pm is not said, nor clock" if between == "unclear" else "finished before it was begun"
            self.ledger.refuse("time", cell, f"{first.text} to {last.text}: {why}")
            return True
        if between == "noon":
            last = msgspec.structs.replace(last, minutes=last.minutes + 720, marked=True)
            self.ledger.assume("noon", cell.line, f"{cell.text.strip()} is {first.text} to {last.text}", "Time")
        entry.started = (first, cell)
        entry.timed = self.timed(cell, last, line, entry)
        self._over_midnight(entry)
        says = f"two times in a cell are when it was begun and when it was finished, as {cell.text.strip()}"
        self._told_span = self._told_span or says
        self.ledger.assume("time-forms", cell.line, self._told_span, "Time")
        return True

    def _hour(self, cell: Cell) -> Hour | None:
        hour = read_hour(cell)
        if isinstance(hour, NoHour):
            two = read_span(cell) is not None
            says = "two times, where the column file leaves a place for one" if two else hour.says
            self.ledger.refuse("time", cell, says, hour.likelier)
            return None
        if hour.form != "plain":
            words = ", a fraction of a day" if hour.form == "fraction" else ""
            self.ledger.assume("time-forms", cell.line, f"{cell.text.strip()} is {hour.text}{words}", "Time")
        return hour

    def timed(self, cell: Cell, hour: Hour, line: Line, entry: Entry) -> Timed:
        entry.texts[(cell.line, cell.letter)] = cell.text
        if hour.day:
            own = self._day(msgspec.structs.replace(cell, text=hour.day, moment=None))
            return Timed(line.line, cell, hour, own, True, entry.task)
        heading = next(iter(self.rows.having("date")), None)
        stands = heading is not None and heading.column not in line.filled and bool(line.cells[heading.column])
        undated = "no date in this row, as others have" if heading is None else ""
        if heading is not None and not line.cells[heading.column]:
            undated = f"no date in this row, and {heading.text} is not under fill-down in the column file"
        return Timed(line.line, cell, hour, self.date_of(line), stands, entry.task, undated)

    def date_of(self, line: Line) -> datetime.date | None:
        """The date of a row, its own or the one above it or that of the facts block."""
        heading = next(iter(self.rows.having("date")), None)
        cell = (line.cells[heading.column] if heading else None) or self.sheet.facts.get("date")
        return self._day(cell) if cell else None

    def _day(self, cell: Cell) -> datetime.date | None:
        """The date in a cell; read, told or refused once."""
        key = (cell.line, cell.column)
        if key in self._dates:
            return self._dates[key]
        day = read_day(cell, self.spec.dates)
        self._dates[key] = day.date if isinstance(day, Day) else None
        if not isinstance(day, Day):
            says, week = day.says, self.sheet.week
            likely = f"{spoken(day.likelier)}?" if day.likelier else ""
            if day.likelier and week and not week <= day.likelier < week + _WEEK:
                says, likely = f"{says}, and not in the week of {spoken(week)}", ""
            self.ledger.refuse("date", cell, says, likely)
            return None
        said = cell.text.strip()
        if day.typed:
            self.ledger.assume("spreadsheet-dates", cell.line, f"{said}: a date that the spreadsheet made", "Date")
        elif day.serial:
            says = f"{said} is {spoken(day.date)}: the number of a day in a spreadsheet that counts from 1900"
            self.ledger.assume("spreadsheet-dates", cell.line, says, "Date")
        elif day.order:
            why = f"{day.order.replace('-', ' ')}, {self.ledger.by}"
            says = f"{said} is {spoken(day.date)}: {why if self.spec.dates else 'in no other order is it a date'}"
            self.ledger.assume("date-order", cell.line, says, "Date")
        if self.sheet.week and not self.sheet.week <= day.date < self.sheet.week + _WEEK:
            self.ledger.note("week", cell, f"{spoken(day.date)} is not in the week of {spoken(self.sheet.week)}")
        return day.date

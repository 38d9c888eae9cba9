"""The times of one log put on one clock: noon and midnight seen by the order of the rows, and told.

A bare ``1:05`` after ``12:10`` is taken as 13:05 only where the column file says that am and pm are left
away; ``00:20`` after ``23:30`` is taken as the next day only where the row has no date of its own. A time
that still runs backwards stays as it is: to judge that is not for the reader.
"""

from __future__ import annotations

import datetime
from fractions import Fraction

import msgspec

from ringcut.archive.cells import Cell
from ringcut.archive.hours import Hour, clock_text
from ringcut.archive.ledger import Ledger

NOON_REACH = Fraction(6 * 60)
"""Minutes between two rows over which a missing pm is assumed."""

MIDNIGHT_REACH = Fraction(8 * 60)
"""Minutes between two rows over which a passing of midnight is assumed."""

_DAY = Fraction(1440)
_HALF = Fraction(720)


class Timed(msgspec.Struct):
    """A row with a time: its cell, hour, date (None where not known) and whether the date stood in the row
    itself."""

    line: int
    cell: Cell
    hour: Hour
    date: datetime.date | None
    own_date: bool
    task: str = ""
    undated: str = ""
    """Why it has no date, where the sheet has dates."""
    at: Fraction = Fraction(0)
    """Minutes since the midnight of ``date``; set by :func:`put_on_one_clock`."""

    @property
    def text(self) -> str:
        """The time in RFC 3339 without an offset, or a bare time where the date is not known."""
        day = self.date
        if day is None:
            return clock_text(self.at)
        day += datetime.timedelta(days=int(self.at // _DAY))
        return f"{day.isoformat()}T{clock_text(self.at)}{self.hour.zone}"


def put_on_one_clock(rows: list[Timed], clock: str, ledger: Ledger) -> list[Timed]:
    """Set ``at`` of each row, in list order; ``clock`` is 12, 24, mixed or empty, as in the column file. Empty: the
    rows are given back that go on only if they are of the afternoon, which nobody has said; they have no ``at``."""
    last: Fraction | None = None
    carried = Fraction(0)
    first = next((row.date for row in rows if row.date), None)
    noon: list[Timed] = []
    unclear: list[Timed] = []
    turned: Timed | None = None
    before: Timed | None = None
    for row in rows:
        carried = Fraction(0) if row.own_date else carried
        base = Fraction((row.date - first).days) * _DAY if row.date and first else Fraction(0)
        row.at = row.hour.minutes + carried
        if last is not None and before and base + row.at < last:
            later = last - base - row.at
            if not clock and not row.hour.marked and row.hour.minutes < _HALF and later <= _HALF:
                unclear.append(row)
                _ask_half(row, before, ledger)
                continue
            unmarked = clock in ("12", "mixed") and not row.hour.marked and row.hour.minutes < _HALF
            if unmarked and 0 <= _HALF - later <= NOON_REACH:
                row.at += _HALF
                turned = turned or before
                noon.append(row)
            elif not row.own_date and row.date and 0 <= _DAY - later <= MIDNIGHT_REACH:
                carried += _DAY
                row.at += _DAY
                _tell_midnight(row, before, ledger)
        last, before = base + row.at, row
    if noon and turned:
        _tell_noon(noon, turned, ledger)
    placed = [row for row in rows if row not in unclear]
    _tell_same_minute(placed, first, ledger)
    for row in placed if not clock else ():
        if not row.hour.marked:
            ledger.assume("not-said", row.line, "neither am or pm nor clock is said: taken as of 24 hours", "clock")
    return unclear


def _ask_half(row: Timed, before: Timed, ledger: Ledger) -> None:
    says = f"{row.cell.text.strip()} after {before.cell.text.strip()}: the column file does not say clock: 12 or 24"
    ledger.refuse("time", row.cell, says, f"{clock_text(row.hour.minutes + _HALF)}?")


def _tell_midnight(row: Timed, before: Timed, ledger: Ledger) -> None:
    if row.date:
        day = row.date + datetime.timedelta(days=int(row.at // _DAY))
        says = f"{row.cell.text.strip()} after {before.cell.text.strip()}, so {day.isoformat()}"
        ledger.assume("midnight", row.line, says, "Time")


def _tell_noon(noon: list[Timed], before: Timed, ledger: Ledger) -> None:
    first, last = noon[0], noon[-1]
    says = f"{first.cell.text.strip()} to {last.cell.text.strip()} after {before.cell.text.strip()}, "
    says += f"so {clock_text(first.at)} to {clock_text(last.at)}"
    for row in noon:
        ledger.assume("noon", row.line, says, "Time")


def _tell_same_minute(rows: list[Timed], first: datetime.date | None, ledger: Ledger) -> None:
    """Equal times of different tasks: the order of the list is kept."""
    runs: list[list[Timed]] = []
    for row in rows:
        last = runs[-1][-1] if runs else None
        # 715 beside 7:15 is told as a time form
        same = last is not None and (last.date, last.at, last.cell.text.strip()) == (
            row.date,
            row.at,
            row.cell.text.strip(),
        )
        if same and last is not None and row.line != last.line:
            runs[-1].append(row)
        elif not same:
            runs.append([row])
    for run in runs:
        if len({row.task for row in run}) < 2:
            continue
        often = "twice" if len(run) == 2 else f"{len(run)} times"
        kept = f"{run[0].task}, then {run[-1].task}" if len(run) == 2 else f"{run[0].task} to {run[-1].task}"
        says = f"{run[0].cell.text.strip()} {often}: same minute, list order kept: {kept}"
        for row in run:
            ledger.assume("same-minute", row.line, says)

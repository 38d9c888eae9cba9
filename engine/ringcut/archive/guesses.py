"""What an unknown table looks like: proposals for its heading row and columns, for a person to confirm."""

from __future__ import annotations

from ringcut.archive.headings import take_apart
from ringcut.archive.lexicon import Lexicon
from ringcut.archive.tables import Table
from ringcut.reading.suggest import canonical

_WORDS = {
    "reference": ("wo", "work order", "order", "job", "job no", "ticket", "reference", "ref", "order no"),
    "closure": ("closure", "splice", "closure no", "joint"),
    "date": ("date", "day"),
    "time": ("time", "at", "clock", "finished", "end", "time done"),
    "started": ("start", "started", "begin", "time start"),
    "by": ("tech", "by", "crew", "splicer", "initials", "name", "who"),
    "task": ("task", "step", "activity", "work", "description", "operation", "do"),
    "status": ("ok", "done", "status", "check", "y/n", "result"),
    "side": ("side", "end", "a/b"),
    "note": ("remarks", "remark", "notes", "note", "comment", "comments"),
    "reading-name": ("reading", "measurement", "parameter"),
    "value": ("value", "val"),
    "unit": ("unit", "units", "uom"),
}
_SEARCHED = 40


def guess_role(text: str) -> str:
    """The role that a heading's words suggest, or nothing."""
    said = " ".join(text.casefold().replace(".", "").split())
    return next((role for role, words in _WORDS.items() if said in words), "")


def guess_column(text: str, lexicon: Lexicon) -> str:
    """A role or ``step.reading`` that a heading suggests, or nothing."""
    role = guess_role(text)
    if role:
        return role
    name = canonical(take_apart(text, {})[0])
    found = [(step, name) for step in lexicon.steps_with(name)] or list(lexicon.readings_called(name))
    return ", ".join(f"{step}.{reading}" for step, reading in found[:6])


def guess_heading(table: Table, lexicon: Lexicon) -> int:
    """The row of which most cells look like headings; the first row where none does."""
    best, most = 1, 0
    for row in table.rows[:_SEARCHED]:
        known = sum(1 for cell in row.cells if cell and len(cell.text) < 40 and guess_column(cell.text, lexicon))
        if known > most:
            best, most = row.line, known
    return best

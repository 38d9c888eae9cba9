"""The product's own log form as a table: its headings are the words of the rulebook, so it needs no column
file.

Above the heading stand job facts, one a row, label and value (``reference, HV-2031``). The heading has
``step`` and any of ``at``, ``started``, ``by``, ``side``, ``closure``, ``status``, ``reason``, ``evidence``,
``note``, ``reference`` (or ``WO``, ``Job No.``, ``Ticket``, which is told as assumed), ``date``, and readings as
``bond-length (in)`` or, where the step matters, ``hold-test.start-pressure (psi)``; a side may follow:
``bond-length A (in)``. A fact that differs by side has a row a side (``sheath A, lead``), a list stands in brackets
(``special, [long-repair, cable-band]``). Times are RFC 3339 or of 24 hours, dates as 2026-03-01.
"""

from __future__ import annotations

import re
from typing import Literal, TypeVar

from ringcut.archive.cells import Row
from ringcut.archive.columns import Column, ColumnFile, Label, Marks, Role
from ringcut.archive.headings import take_apart
from ringcut.archive.jobs import names_reference
from ringcut.archive.lexicon import Lexicon
from ringcut.archive.tables import Table
from ringcut.reading.phrase import Phrase
from ringcut.reading.problems import Place, Problem, Unreadable
from ringcut.reading.raw import RawReading
from ringcut.reading.suggest import canonical

_ROLES: dict[str, Role] = {
    "reference": "reference",
    "order": "reference",
    "closure": "closure",
    "step": "task",
    "do": "task",
    "task": "task",
    "date": "date",
    "at": "time",
    "time": "time",
    "finished": "time",
    "started": "started",
    "by": "by",
    "side": "side",
    "status": "status",
    "reason": "reason",
    "evidence": "evidence",
    "note": "note",
    "notes": "note",
    "remark": "note",
    "remarks": "note",
}
_SIDES: dict[str, tuple[str, ...]] = {"A": (), "B": ()}
_LIST = re.compile(r"\[(?P<items>.*)\]")
S = TypeVar("S", bound=str)
_KEYS = ("procedure", "records", "stamp", "sorted", "finished")
_SEARCHED = 60


def own_columns(table: Table, lexicon: Lexicon, why: str = "") -> ColumnFile:
    """The column file that the headings of the own form amount to. Raises Unreadable where it is no own
    form. ``why``: why none of several column files is its own."""
    for row in table.rows[:_SEARCHED]:
        columns = _columns(row, lexicon)
        holds = {column.role for column in columns.values()}
        if "task" in holds and len(columns) > 1:
            return ColumnFile(
                columns=columns,
                marks=Marks(empty="done"),
                records=_records(table, row.line),
                time_means=_said(table, row.line, "stamp", "started") or "finished",
                sorted=not _said(table, row.line, "sorted", "no"),
                shape="own-form",
                heading_row=row.line,
                facts_block={label: Label(fact) for label, fact in _facts(table, row.line, lexicon).items()},
                dates="year-first",
                clock="24",
            )
    found = "this is not the product's own log form, and there is no column file for it"
    hint = "--ask makes a column file by asking; it is given with --columns"
    if why:
        found = f"this is not the product's own log form, and no column file fits: {why}"
        hint = f"{hint} beside the others"
    raise Unreadable([Problem(Place(table.file), found, "a heading with step, at, status and readings", hint)])


def _records(table: Table, heading: int) -> Literal["", "every-step", "milestones"]:
    """How records are kept, as a row above the heading says; a form that was made of a plan has a row for each step."""
    if _said(table, heading, "records", "milestones"):
        return "milestones"
    of_a_plan = any(canonical(cell.text) == "plan-digest" for row in table.rows[: heading - 1] for cell in row.cells)
    return "every-step" if of_a_plan or _said(table, heading, "records", "every-step") else ""


def _columns(row: Row, lexicon: Lexicon) -> dict[str, Column]:
    found: dict[str, Column] = {}
    for cell in row.cells:
        role = _ROLES.get(canonical(cell.text))
        column = Column(holds=role) if role else _reading(cell.text, lexicon)
        if column:
            found[cell.text] = column
    named = [text for text, column in found.items() if column.role == "reference"]
    other = [cell.text for cell in row.cells if cell.text not in found and names_reference(cell.text)]
    # of two that may be it, none is: that is for a person to say
    if not named and len(other) == 1:
        found[other[0]] = Column(holds="reference")
    return found


def _reading(text: str, lexicon: Lexicon) -> Column | None:
    name, side, unit = take_apart(text, _SIDES)
    step, dot, reading = name.partition(".")
    if dot and lexicon.word(canonical(step), canonical(reading)):
        return Column(reading=(f"{canonical(step)}.{canonical(reading)}",), side=side, unit=unit)
    steps = lexicon.steps_with(canonical(name))
    return Column(reading=tuple(f"{each}.{canonical(name)}" for each in steps), side=side, unit=unit) if steps else None


def _said(table: Table, heading: int, key: str, answer: S) -> S | None:
    """``answer`` where a row above the heading gives it to ``key``."""
    for row in table.rows[: heading - 1]:
        cells = [canonical(cell.text) for cell in row.cells if cell]
        if cells == [key, answer]:
            return answer
    return None


def fact_reading(name: str, said: Phrase, known: RawReading | None) -> RawReading | None:
    """What is known of a fact with a value more: of the side that stands behind its name, or a list in brackets.

    None where the fact has a value for that already, or is no such fact.
    """
    fact, _, side = name.rpartition(" ")
    if fact and side in _SIDES:
        if known is not None and (known.value is not None or side in [label.text for label, _ in known.sides]):
            return None
        sides = known.sides if known is not None else ()
        return RawReading(Phrase(fact, said.place), sides=(*sides, (Phrase(side, said.place), said)))
    listed = _LIST.fullmatch(said.text.strip())
    if listed is None or known is not None:
        return None
    items = tuple(Phrase(text, said.place) for each in listed["items"].split(",") if (text := each.strip()))
    return RawReading(Phrase(canonical(name), said.place), items=items, is_list=True)


def _facts(table: Table, heading: int, lexicon: Lexicon) -> dict[str, str]:
    """Every label above the heading that has a value right of it; that of one side with the side behind it."""
    labels: dict[str, str] = {}
    for row in table.rows[: heading - 1]:
        cells = [cell for cell in row.cells if cell]
        if len(cells) == 2 and canonical(cells[0].text) not in _KEYS:
            label = cells[0].text.strip().rstrip(":")
            name, _, side = label.rpartition(" ")
            word = lexicon.fact(canonical(name)) if side in _SIDES else None
            of_side = f"{canonical(name)} {side}" if word is not None and word.sided else ""
            labels[cells[0].text] = of_side or _ROLES.get(canonical(label)) or canonical(label)
    return labels

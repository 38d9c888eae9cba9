"""What has to be known about a table before it can be read, asked in the order in which answers need each
other.

``questions`` looks at a table and at the answers given so far, and says what to ask next; when nothing is
left, ``answers.column_file`` builds the column file. Proposals are only proposals: without an answer nothing
is read.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from typing import get_args

import msgspec

from ringcut.archive.answers import KEPT, column_file, columns_of
from ringcut.archive.cells import Cell, Row
from ringcut.archive.columns import Column, ColumnFile, Role, Shape, fold
from ringcut.archive.days import Day, read_day
from ringcut.archive.guesses import guess_column, guess_heading
from ringcut.archive.headings import take_apart
from ringcut.archive.hours import Hour, read_hour
from ringcut.archive.lexicon import Lexicon
from ringcut.archive.marks import read_mark
from ringcut.archive.readingcells import target_of
from ringcut.archive.tables import Table
from ringcut.archive.tasks import TaskBook
from ringcut.reading.kinds import KINDS
from ringcut.reading.measures import Measure, read_measure

_EXAMPLES = 4
_MOST = 400
_ROLES = tuple(role for role in get_args(Role) if role not in ("", "reading", "step"))


class Question(msgspec.Struct, frozen=True, rename="kebab", omit_defaults=True):
    """One question. ``key`` names the answer; ``proposal`` is what the table suggests, to be confirmed."""

    key: str
    asks: str
    examples: tuple[str, ...] = ()
    """Cells, as ``7:D 715``."""
    choices: tuple[str, ...] = ()
    proposal: str = ""


def questions(table: Table, answers: Mapping[str, str], lexicon: Lexicon) -> tuple[Question, ...]:
    """The questions of the next stage that have no answer yet; none left: the column file can be built."""
    stages = (_layout, _columns, _column_details, _whole, _cells)
    for stage in stages:
        left = tuple(each for each in stage(table, answers, lexicon) if each.key not in answers)
        if left:
            return left
    return ()


def _layout(table: Table, answers: Mapping[str, str], lexicon: Lexicon) -> list[Question]:
    heading = guess_heading(table, lexicon)
    row = table.row(heading)
    shown = tuple(f"{cell.where} {cell.text}" for cell in row.cells if cell)[:12] if row else ()
    shapes = tuple(get_args(Shape))
    return [
        Question("contractor", "Whose sheets are these?"),
        Question("heading-row", "Which row holds the headings?", shown, proposal=str(heading)),
        Question("shape", "What is one row?", choices=shapes, proposal="step-rows"),
    ]


def _heading(table: Table, answers: Mapping[str, str]) -> Row | None:
    number = answers.get("heading-row", "")
    return table.row(int(number)) if number.isdigit() else None


def _below(table: Table, answers: Mapping[str, str], column: int) -> list[Cell]:
    """The cells of a column below the heading that have a text and do not repeat the heading."""
    heading = _heading(table, answers)
    if heading is None:
        return []
    own = heading[column].text
    cells = [row[column] for row in table.rows[heading.line :]]
    return [cell for cell in cells if cell and cell.text != own]


def _examples(cells: list[Cell]) -> tuple[str, ...]:
    found: dict[str, Cell] = {}
    for cell in cells:
        found.setdefault(fold(cell.text), cell)
    return tuple(f"{cell.where} {cell.text.strip()[:60]}" for cell in list(found.values())[:_EXAMPLES])


def _columns(table: Table, answers: Mapping[str, str], lexicon: Lexicon) -> list[Question]:
    heading = _heading(table, answers)
    asked = []
    for cell in heading.cells if heading else ():
        if cell:
            asks = f"What does the column {cell.text.strip()} hold? A role, or step.reading"
            proposal = guess_column(cell.text, lexicon)
            examples = _examples(_below(table, answers, cell.column))
            asked.append(Question(f"columns/{cell.text.strip()}", asks, examples, _ROLES, proposal))
    return asked


def _of_headings(table: Table, answers: Mapping[str, str]) -> list[tuple[Cell, Column]]:
    heading = _heading(table, answers)
    known = columns_of(answers)
    return [
        (cell, known[cell.text.strip()]) for cell in (heading.cells if heading else ()) if cell.text.strip() in known
    ]


def _column_details(table: Table, answers: Mapping[str, str], lexicon: Lexicon) -> list[Question]:
    """The unit of bare numbers, the side, and whether empty cells take the value above."""
    asked = []
    for cell, column in _of_headings(table, answers):
        name, below = cell.text.strip(), _below(table, answers, cell.column)
        _, side, unit = take_apart(name, {})
        if column.role == "reading":
            step, names = target_of(column.reading[0])
            word = lexicon.word(step, names[0]) if names else None
            if word and word.kind in KINDS and any(_is_bare(each.text, word.kind) for each in below):
                asks = f"Which unit have bare numbers under {name}?"
                asked.append(Question(f"columns/{name}/unit", asks, _examples(below), proposal=unit or word.unit))
            if word and word.sided:
                asks = f"Which side is {name} for? Empty: the row says it, or both"
                asked.append(Question(f"columns/{name}/side", asks, choices=("A", "B", ""), proposal=side))
        if column.role in ("reference", "closure", "date", "by", "fact") and _has_gaps(table, answers, cell.column):
            asks = f"Do empty cells under {name} take the value above?"
            asked.append(Question(f"fill-down/{name}", asks, _examples(below), ("yes", "no"), "yes"))
    return asked


def _is_bare(text: str, kind: str) -> bool:
    return not isinstance(read_measure(text, kind), Measure) and any(sign.isdigit() for sign in text)


def _has_gaps(table: Table, answers: Mapping[str, str], column: int) -> bool:
    heading = _heading(table, answers)
    rows = [row for row in table.rows[heading.line :] if not row.blank] if heading else []
    return 0 < sum(1 for row in rows if not row[column]) < len(rows)


def _whole(table: Table, answers: Mapping[str, str], lexicon: Lexicon) -> list[Question]:
    """What holds for the whole sheet: dates, clock, what a time means, how complete the log is."""
    roles = {column.role: cell for cell, column in _of_headings(table, answers)}
    asked = [
        Question(
            "records",
            "Is every step recorded, or only milestones?",
            choices=("every-step", "milestones"),
            proposal="milestones",
        )
    ]
    if "date" in roles:
        asked += _about_dates(_below(table, answers, roles["date"].column))
    if "time" in roles:
        asks = "When is a step's time written: when it was finished, or started?"
        asked.append(Question("time-means", asks, choices=("finished", "started"), proposal="finished"))
        asked += _about_clock(_below(table, answers, roles["time"].column))
    return asked


def _about_dates(cells: list[Cell]) -> list[Question]:
    orders: Counter[str] = Counter()
    for cell in cells:
        day = read_day(cell, "")
        if isinstance(day, Day) and not day.order:
            continue
        orders[day.order if isinstance(day, Day) else "open"] += 1
    if not orders:
        return []
    sure = [order for order in orders if order != "open"]
    asks = "In which order do dates stand?"
    choices = ("month-first", "day-first", "year-first")
    return [Question("dates", asks, _examples(cells), choices, sure[0] if len(sure) == 1 else "")]


def _about_clock(cells: list[Cell]) -> list[Question]:
    hours = [hour for cell in cells if isinstance(hour := read_hour(cell), Hour)]
    late = any(hour.minutes >= 780 for hour in hours)
    back = any(left.minutes > right.minutes and not right.marked for left, right in zip(hours, hours[1:], strict=False))
    if not back:
        return []
    asks = "Times run backwards. Are am and pm left away (12), only sometimes (mixed), or are hours of 24 meant?"
    return [Question("clock", asks, _examples(cells), ("12", "mixed", "24"), "mixed" if late else "12")]


def _cells(table: Table, answers: Mapping[str, str], lexicon: Lexicon) -> list[Question]:
    """Marks, sides and tasks that nobody knows yet."""
    spec = column_file(answers)
    asked = []
    for cell, column in _of_headings(table, answers):
        below = _distinct(_below(table, answers, cell.column))
        if column.role == "status" or column.role == "step":
            asked += [_about_mark(each) for each in below if read_mark(each.text, spec.marks) is None]
        if column.role == "side":
            known = {fold(said) for side, others in spec.sides.items() for said in (side, *others)} | {
                "a",
                "b",
                "both",
            }
            asked += [
                Question(
                    f"sides/{each.text.strip()}",
                    f"Which side is {each.text.strip()}?",
                    (each.where,),
                    ("A", "B"),
                )
                for each in below
                if fold(each.text) not in known
            ]
        if column.role == "task":
            asked += _about_tasks(below, spec, lexicon)
    return asked[:_MOST]


def _distinct(cells: list[Cell]) -> list[Cell]:
    found: dict[str, Cell] = {}
    for cell in cells:
        found.setdefault(fold(cell.text), cell)
    return list(found.values())


def _about_mark(cell: Cell) -> Question:
    said = cell.text.strip()
    choices = ("done", "not-done", "not-applicable", "not-recorded", KEPT["symbol-font"])
    proposal = KEPT["symbol-font"] if said in ("ü", "û", "P", "O") else ""
    return Question(f"marks/{said}", f"What does the mark {said} mean?", (cell.where,), choices, proposal)


def _about_tasks(cells: list[Cell], spec: ColumnFile, lexicon: Lexicon) -> list[Question]:
    book = TaskBook(spec, lexicon)
    asked = []
    for cell in cells:
        if book.read(cell.text, "") is None:
            said = " ".join(cell.text.split())
            asks = f"Which step is «{said}»? Several with commas; «none» if the words prove no step"
            asked.append(Question(f"tasks/{said}", asks, (cell.where,), proposal=book.near(said)))
    return asked

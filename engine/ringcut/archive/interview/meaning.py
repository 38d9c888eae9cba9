"""What a heading, and the cells below it, suggest that a column holds. A suggestion is for a person to confirm."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import cast, get_args

import msgspec

from ringcut.archive.cells import Cell
from ringcut.archive.columns import Column, Marks, Role, squeeze
from ringcut.archive.days import Day, read_day
from ringcut.archive.headings import take_apart
from ringcut.archive.hours import Hour, read_hour
from ringcut.archive.interview.question import NotAnAnswer
from ringcut.archive.lexicon import Lexicon, near_word
from ringcut.archive.marks import read_mark
from ringcut.archive.readingcells import target_of
from ringcut.reading.measures import kinds_of_unit
from ringcut.reading.suggest import canonical

WORDS: dict[Role, tuple[str, ...]] = {
    "reference": ("wo", "w/o", "work order", "order", "job", "ticket", "reference", "ref"),
    "closure": ("closure", "splice", "joint"),
    "date": ("date", "day", "work date"),
    "time": ("time", "at", "clock", "finished", "finish", "end", "end time", "time end", "time done", "stop",
             "completed"),
    "started": ("start", "started", "begin", "start time", "time start", "from"),
    "by": ("tech", "by", "crew", "splicer", "initials", "name", "who", "done by", "foreman", "man", "men", "worker"),
    "task": ("task", "step", "job step", "activity", "work", "work done", "description", "operation", "do", "step done",
             "what"),
    "status": ("ok", "done", "status", "check", "chk", "checked", "y/n", "result"),
    "side": ("side", "end", "a/b", "direction", "dir"),
    "note": ("remarks", "remark", "notes", "note", "comment", "comments"),
    "reason": ("reason", "why", "reason not done"),
    "evidence": ("photo", "photos", "evidence", "proof"),
    "reading-name": ("reading", "measurement", "parameter", "measured"),
    "value": ("value", "val", "measured value", "reading", "result"),
    "unit": ("unit", "units", "uom"),
}  # fmt: skip
PLACES = ("location", "place", "loc", "mh", "mh/loc", "manhole", "site", "where", "mh/pole")
"""Headings of a column that says what kind of place it is."""
ROLES = tuple(role for role in get_args(Role) if role not in ("", "reading", "step", "fact"))
_MOST = 0.6
"""Share of cells that must look like what their heading says."""


class Guess(msgspec.Struct, frozen=True):
    """What a column may hold. Not ``sure``: to be asked."""

    column: Column | None = None
    why: str = ""
    sure: bool = False


def means_something(heading: str, lexicon: Lexicon) -> bool:
    """The heading is a word that headings have: a role, a job fact, a step or a reading."""
    name = canonical(take_apart(heading, {})[0])
    return bool(
        roles_called(heading) or _plain(heading) in PLACES or lexicon.step(name) or lexicon.fact(name)
        or readings_of(heading, {}, lexicon)
    )  # fmt: skip


def roles_called(heading: str) -> list[Role]:
    """The roles that a heading's words may mean."""
    said = _plain(heading)
    return [role for role, words in WORDS.items() if said in words]


def _plain(text: str) -> str:
    said = squeeze(text).casefold().replace(".", "").rstrip(":? ")
    return re.sub(r"\s*(?:#|\b(?:no|nr|num|number))$", "", said) or said


def guess_column(heading: str, cells: Sequence[Cell], lexicon: Lexicon) -> Guess:
    """What a column holds that is no reading, by its heading, as far as its cells agree."""
    roles = roles_called(heading)
    fitting = [role for role in roles if looks_like(role, cells)]
    if set(fitting) <= {"status"} and _are_steps(cells, lexicon):
        return Guess(Column(holds="task"), "its cells are steps")
    if len(fitting) == 1 or (fitting and not cells):
        why = "by its heading" + (", and its cells look so" if cells and fitting[0] in _LOOKS else "")
        return Guess(Column(holds=fitting[0]), why, True)
    if fitting:
        return Guess(Column(holds=fitting[0]), f"the heading may mean {' or '.join(fitting)}")
    step = _step_in(heading, lexicon)
    if step and cells and looks_like("status", cells, times=True):
        which = ", or ".join(lexicon.shared(step))
        why = f"the job says which: {which}" if which else "with marks or times below"
        return Guess(Column(step=(step,)), f"a step by its heading, {why}", True)
    if _plain(heading) in PLACES:
        return Guess(Column(fact="location"), "a place by its heading", True)
    fact = lexicon.fact_called(heading)
    if fact is not None and not roles:
        return Guess(Column(fact=fact.name), "a job fact by its heading", True)
    if _counts(cells):
        return Guess(Column(holds="ignore"), "it counts the rows")
    # 135 under mm is no 1:35
    by_cells: tuple[Role, ...] = ("date",) if unit_behind(heading) else ("date", "time")
    for role in by_cells:
        # a number of five digits may be anything where no heading says that it is a day
        if len(cells) > 2 and looks_like(role, cells) and not all(cell.text.strip().isdigit() for cell in cells):
            return Guess(Column(holds=role), "its cells look so")
    return Guess()


def _are_steps(cells: Sequence[Cell], lexicon: Lexicon) -> bool:
    """Most texts are words for steps, and there are several: Done may stand over what was done."""
    texts = {squeeze(cell.text) for cell in cells}
    return len(texts) > 1 and sum(lexicon.step(text) is not None for text in texts) >= _MOST * len(texts)


def unit_behind(heading: str) -> str:
    """The unit that stands behind the words of a heading, without brackets around it; empty where none does."""
    words = squeeze(heading).split()
    return words[-1] if len(words) > 1 and kinds_of_unit(words[-1]) else ""


def _counts(cells: Sequence[Cell]) -> bool:
    """Most cells are one more than the cell above."""
    numbers = [int(text) if (text := cell.text.strip()).isascii() and text.isdigit() else -1 for cell in cells]
    steps = [b - a == 1 for a, b in zip(numbers, numbers[1:], strict=False) if a >= 0]
    return len(steps) > 1 and sum(steps) >= _MOST * len(steps)


def _step_in(heading: str, lexicon: Lexicon) -> str | None:
    """The step that a heading names, with or without a word for its mark or time behind it."""
    name = take_apart(heading, {})[0]
    words = name.rstrip("?").split()
    shorter = " ".join(words[:-1]) if words and words[-1].casefold() in _BEHIND else ""
    return step_said(name, lexicon) or (step_said(shorter, lexicon) if shorter else None)


def step_said(text: str, lexicon: Lexicon) -> str | None:
    """The step with this name or synonym; a word that several steps share as it is, for the job to settle."""
    return canonical(text) if lexicon.shared(text) else lexicon.step(text)


_BEHIND = ("time", "at", "done", "ok", "by")
_LOOKS = ("date", "time", "started", "side", "status", "reading-name", "value")


def looks_like(role: Role, cells: Sequence[Cell], times: bool = False) -> bool:
    """Most cells are such as this role has; a role that may hold any text agrees with all. ``times``: or times."""
    if not cells or role not in _LOOKS:
        return True
    texts = {squeeze(cell.text) for cell in cells}
    if role in ("reading-name", "value"):
        numbers = _share(cells, lambda cell: cell.text.strip().lstrip("<>=~ ")[:1].isdigit())
        return numbers >= _MOST / 2 if role == "value" else numbers < _MOST
    if role == "side":
        return len(texts) <= 6 and all(len(text) <= 10 for text in texts) and not _share(cells, _is_hour)
    if role == "status" and not times:
        return len(texts) <= 8 and all(len(text) <= 14 for text in texts)
    if role == "status":
        return _share(cells, lambda cell: _is_hour(cell) or _is_mark(cell)) >= _MOST
    return _share(cells, _is_day if role == "date" else _is_hour) >= _MOST


def _share(cells: Sequence[Cell], test: object) -> float:
    assert callable(test)
    return sum(bool(test(cell)) for cell in cells) / len(cells)


def _is_hour(cell: Cell) -> bool:
    return isinstance(read_hour(cell), Hour) and cell.text.strip() not in ("0", "1", "2")


def _is_day(cell: Cell) -> bool:
    return any(isinstance(read_day(cell, order), Day) for order in ("", "month-first", "day-first"))


def _is_mark(cell: Cell) -> bool:
    said = cell.text.strip()
    return read_mark(said, Marks(symbol_font=True)) is not None or (len(said) == 1 and not said.isdigit())


def readings_of(heading: str, sides: dict[str, tuple[str, ...]], lexicon: Lexicon) -> list[tuple[str, str]]:
    """(step, reading) pairs that a heading may mean; by its words, by the step in it, or by its unit alone."""
    whole = squeeze(heading)
    plain, _, unit = take_apart(whole, sides)
    kinds = kinds_of_unit(unit) if unit else ()
    kinds = (*kinds, "lfl") if unit == "%" else kinds  # short for %LFL, which is asked
    name = canonical(plain)
    found = [(step, name) for step in lexicon.steps_with(name)]
    found += lexicon.readings_called(plain) or lexicon.readings_called(whole)
    words = plain.split()
    if not found and len(words) > 1 and kinds_of_unit(words[-1]):
        # a unit without brackets around it; it may be short for another, as % is for %LFL
        rest = " ".join(words[:-1])
        found = [
            *lexicon.readings_called(rest),
            *((step, canonical(rest)) for step in lexicon.steps_with(canonical(rest))),
        ]
    if not found and len(words) > 1 and len(words[-1]) > 1 and words[-1].casefold() not in ("end", "side", "start"):
        # what is read may stand behind what it is read of, as Gas O2
        found = [*lexicon.readings_called(words[-1])]
    if not found and len(words) > 1 and len(words[-1].strip("\"'().")) <= 5:
        # a side that is not known yet may stand there
        rest = canonical(" ".join(words[:-1]))
        found = [*((step, rest) for step in lexicon.steps_with(rest)), *lexicon.readings_called(rest)]
    if not found:
        step = lexicon.step(" ".join(words[:-1])) if len(words) > 1 else None
        units = kinds or (kinds_of_unit(words[-1]) if words else ())
        by_step = lexicon.readings_of(step) if step else ()
        found = [(step, word.name) for word in by_step if step and word.kind in units]
    said = [word for word in name.split("-") if word]
    whole_name = [pair for pair in found if all(any(p.startswith(w) for p in pair[1].split("-")) for w in said)]
    fits = [
        (step, reading)
        for step, reading in dict.fromkeys(whole_name or found)
        if not kinds or ((word := lexicon.word(step, reading)) and word.kind in kinds)
    ]
    return [pair for pair in fits if "difference" not in _kind(pair, lexicon)] or fits


def _kind(pair: tuple[str, str], lexicon: Lexicon) -> str:
    word = lexicon.word(*pair)
    return word.kind if word else ""


def column_said(text: str, lexicon: Lexicon, shape: str) -> Column:
    """The column that an answer means: a role, a job fact, a step, or readings. Raises NotAnAnswer."""
    name = canonical(text)
    if name == "value" and shape != "long":
        raise NotAnAnswer("Values of which reading? Write step.reading, as assemble-sleeve.bond-length.")
    if name in ROLES:
        return Column(holds=cast(Role, name))
    parts = [part.strip() for part in text.split(",") if part.strip()]
    steps = [step_said(part, lexicon) for part in parts]
    if parts and all(steps):
        return Column(step=tuple(step for step in steps if step))
    fact = lexicon.fact(name)
    if fact is not None:
        return Column(fact=fact.name)
    return Column(reading=tuple(reading_said(part, lexicon) for part in parts))


def reading_said(text: str, lexicon: Lexicon) -> str:
    """``step.reading`` that an answer means; a reading's name alone where one step has it. Raises NotAnAnswer."""
    step, names = target_of(text)
    if names:
        found = lexicon.step(step)
        if found is None:
            near = lexicon.near_step(step)
            raise NotAnAnswer(f"{step} is no step." + (f" Did you mean {near}?" if near else ""))
        for name in names:
            if lexicon.word(found, name) is None:
                own = ", ".join(word.name for word in lexicon.readings_of(found)) or "none"
                raise NotAnAnswer(f"{found} has no reading {name}; its readings: {own}.")
        return f"{found}.{'..'.join(names)}"
    with_it = lexicon.steps_with(step)
    if len(with_it) == 1:
        return f"{with_it[0]}.{step}"
    if with_it:
        raise NotAnAnswer(
            f"{step} belongs to several steps: write {' or '.join(f'{each}.{step}' for each in with_it)}."
        )
    near = near_word(step, [*ROLES, "location"]) or lexicon.near_step(step)
    raise NotAnAnswer(
        f"{text!r} is nothing that a column holds." + (f" Did you mean {near}?" if near else " Choose from the list.")
    )


def shown(column: Column) -> str:
    """A column's meaning as it is answered."""
    return column.holds or column.fact or ", ".join(column.step or column.reading) or "ignore"

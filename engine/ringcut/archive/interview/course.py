"""The course of an interview: what is seen first, then each subject in the order in which answers need each other."""

from __future__ import annotations

from collections.abc import Sequence

from ringcut.archive.cells import Cell, letter
from ringcut.archive.columns import Column, Role, Shape
from ringcut.archive.days import Day, read_day
from ringcut.archive.interview import longnames, readings, remarks, rows, tasks, times, words
from ringcut.archive.interview.draft import Draft
from ringcut.archive.interview.meaning import (
    Guess,
    column_said,
    guess_column,
    looks_like,
    readings_of,
    shown,
)  # fmt: skip
from ringcut.archive.interview.question import Interview, Note, Question, any_text, chosen, one_of, quoted, yes_no
from ringcut.archive.interview.sight import SeenColumn, Sight, heading_rows, is_sure, joined_heading, look
from ringcut.archive.lexicon import Lexicon
from ringcut.archive.tables import Table
from ringcut.reading.suggest import canonical

_SHOWN = 4
RECORDS = {
    "every-step": "every step is written down: one that is missing was not done",
    "milestones": "only some are: one that is missing was not written down",
}


def interview(tables: Sequence[Table], draft: Draft, lexicon: Lexicon) -> Interview:
    """Ask for everything that the tables of one contractor do not tell. The draft holds what is known at any time."""
    contractor = yield Question("contractor", "Whose sheets are these? The contractor's name or letter", any_text)
    if contractor is None:
        draft.leave("contractor", "not known")
    else:
        draft.put(contractor=contractor)
    # notes and title pages may stand before the sheet with the likeliest heading
    tables = sorted(tables, key=lambda table: -heading_rows(table, lexicon)[0].known)
    found = heading_rows(tables[0], lexicon)
    line = found[0].line
    if not is_sure(found, tables[0]):
        line = (yield from rows.heading_row(tables, found)) or line
    line, height = yield from rows.heading_rows(tables[0], line, draft, lexicon)
    sight = look(tables, line, height, lambda parts: joined_heading(parts, lexicon))
    yield seen(sight)
    if len(tables) == 1:
        # with several sheets or files the heading need not stand in the same row
        draft.put(f"{found[0].known} of its cells are words that headings have", heading_row=line)
    if tables[0].sheet and sight.other:
        draft.leave("sheets", "all are looked at; those without this heading are told and not read")
    yield from _columns(sight, draft, lexicon)
    yield from rows.above(sight, draft, lexicon)
    yield from rows.fill_down(sight, draft)
    yield from rows.skipped(sight, draft)
    if draft.spec.shape != "ticks":
        yield from tasks.task_words(sight, draft, lexicon)
        yield from remarks.remark_readings(sight, draft, lexicon)
    yield from words.sides(sight, draft, lexicon)
    yield from _readings(sight, draft, lexicon)
    draft.in_order([column.heading for column in sight.columns])
    yield from words.fact_words(sight, draft, lexicon)
    yield from words.marks(sight, draft)
    yield from words.people(sight, draft)
    yield from times.dates(sight, draft)
    yield from times.clock(sight, draft)
    yield from times.time_means(sight, draft)
    yield from times.zone(sight, draft)
    yield from _records(draft)


def seen(sight: Sight) -> Note:
    """What a sheet has: its headings, each with its first texts."""
    lines = [(letter(each.column), each.heading, quoted(each.texts, _SHOWN)) for each in sight.columns]
    other = f"; another heading, not looked at: {', '.join(sight.other)}" if sight.other else ""
    return Note(f"Heading in row {sight.heading.line}, {len(sight.rows)} rows below it{other}", tuple(lines))


# columns that hold no readings, and what one row is


def _columns(sight: Sight, draft: Draft, lexicon: Lexicon) -> Interview:
    guesses = {column.heading: guess_column(column.heading, [cell for _, cell in column.cells], lexicon)
               for column in sight.columns}  # fmt: skip
    first = _without_doubles(guesses)
    shape, why, sure = _guess_shape(sight, first)
    if sure and shape:
        draft.put(why, shape=shape)
        yield Note(f"One row is {rows.SHAPES[shape]}: {why}")
    else:
        yield from rows.shape(draft, shape, why)
    taken = _taken(first, sight, draft)
    for name, guess in taken.items():
        assert guess.column
        draft.column(name, guess.column, guess.why)
    if taken:
        yield from _confirmed(taken, sight, draft, lexicon)
    for column in sight.columns:
        if column.heading in draft.spec.columns or f"columns.{column.heading}" in draft.left:
            continue
        guess = first[column.heading]
        if not column.cells:
            draft.leave(f"columns.{column.heading}", "no cell has a text")
        elif draft.spec.shape == "ticks" and looks_like("status", [cell for _, cell in column.cells], times=True):
            is_date = guess.column is not None and guess.column.role == "date"
            yield from ask_column(column, guess if is_date else _near(column, lexicon), draft, lexicon)
        elif draft.spec.shape == "long":
            yield from ask_column(column, _value(column, draft) or guess, draft, lexicon)
        elif not readings_of(column.heading, {}, lexicon) or (guess.column and _fits(guess.column, draft)):
            yield from ask_column(column, guess, draft, lexicon)
    yield from _needed(sight, draft)
    draft.in_order([column.heading for column in sight.columns])


def _needed(sight: Sight, draft: Draft) -> Interview:
    """The columns without which nothing can be read."""
    names = [column.heading for column in sight.columns]
    wanted: dict[str, tuple[Role, ...]] = {"long": ("reading-name", "value"), "ticks": ()}
    for role in wanted.get(draft.spec.shape, ("task",)):
        if any(column.role == role for column in draft.spec.columns.values()):
            continue
        said = yield Question(
            f"columns.{role}", f"Without a column that holds {role} nothing can be read. Which is it?",
            lambda text: chosen(text, names)[0], (quoted(names, 20),), ((role, _NEEDED[role]),),
        )  # fmt: skip
        if said is None:
            draft.leave(f"columns.{role}", "no column is known to hold it, and without it nothing can be read")
        else:
            draft.column(said, Column(holds=role), "as said")


def _taken(first: dict[str, Guess], sight: Sight, draft: Draft) -> dict[str, Guess]:
    """The columns of which the heading is enough."""
    sure = {name: guess for name, guess in first.items() if guess.sure and guess.column and _fits(guess.column, draft)}
    roles = {name: guess.column.role for name, guess in sure.items() if guess.column}
    if draft.spec.shape != "long" or "value" in roles.values():
        return sure
    # in a sheet with a row a reading, a column Result with numbers in it holds the values, and no marks
    numbers = [column.heading for column in sight.columns if _value(column, draft)]
    return {name: guess for name, guess in sure.items() if roles[name] != "status" or name not in numbers}


def _value(column: SeenColumn, draft: Draft) -> Guess | None:
    """Of a sheet with a row a reading: a column of numbers, where none is known to hold the values."""
    known = any(each.role == "value" for each in draft.spec.columns.values())
    numbers = sum(any(map(str.isdigit, cell.text)) and cell.moment is None for _, cell in column.cells)
    if known or 2 * numbers < len(column.cells) or looks_like("time", [cell for _, cell in column.cells]):
        return None
    return Guess(Column(holds="value"), "most of its cells are numbers")


_NEEDED = {"task": "what was done", "reading-name": "the name of the reading", "value": "its value"}


def _near(column: SeenColumn, lexicon: Lexicon) -> Guess:
    step = lexicon.step_spoken_of(column.heading)
    return Guess(Column(step=(step,)), "its words are those of the step") if step else Guess()


def _fits(column: Column, draft: Draft) -> bool:
    """Whether columns of this meaning belong to the shape."""
    shape = draft.spec.shape
    if column.role in ("reading-name", "value", "unit"):
        return shape == "long"
    return column.role != "step" or shape == "ticks"


def _without_doubles(guesses: dict[str, Guess]) -> dict[str, Guess]:
    """A role that only one column may have is sure in the first alone."""
    seen: set[str] = set()
    made = {}
    for name, guess in guesses.items():
        role = guess.column.role if guess.column else ""
        double = role in seen and role not in ("step", "fact", "evidence")
        made[name] = Guess(guess.column, f"another column is {role} already") if double else guess
        seen |= {role} if guess.sure else set()
    return made


def _guess_shape(sight: Sight, guesses: dict[str, Guess]) -> tuple[Shape | None, str, bool]:
    roles = {guess.column.role for guess in guesses.values() if guess.column and guess.sure}
    ticks = sum(1 for guess in guesses.values() if guess.column and guess.sure and guess.column.role == "step")
    if "task" not in roles and ticks > 1:
        return "ticks", f"{ticks} headings are steps", True
    if {"reading-name", "value"} <= roles:
        return "long", "there are columns for a reading's name and its value", True
    if "unit" in roles:
        return "long", "there is a column for units", False
    if "task" in roles and "reference" in roles:
        return "step-rows", "there are columns for the task and for the order", True
    if "task" in roles and sight.above:
        return "job-sheets", "no column names the order, and there are rows above the heading", False
    return ("step-rows" if "task" in roles else None), "there is a column for the task", False


def _confirmed(taken: dict[str, Guess], sight: Sight, draft: Draft, lexicon: Lexicon) -> Interview:
    """What was taken by headings, in one question; the columns that are named as wrong are asked for."""

    def check(text: str) -> tuple[str, ...]:
        return () if text.casefold() in ("no", "none") else chosen(text, list(taken))

    seen = tuple(f"{name}: {shown(guess.column)} ({guess.why})" for name, guess in taken.items() if guess.column)
    says = "Taken by their headings. Are some of these wrong? Name them, with ; between"
    said = yield Question("columns", says, check, seen, guess="none", why="headings and cells agree")
    for name in said or ():
        draft.no_column(name)
        yield from ask_column(sight.named(name), Guess(), draft, lexicon)


_ROLES = (
    ("reference, closure", "the order; its closure"),
    ("date, time, started", "the day; when it was finished; when begun"),
    ("task, status, side, by", "what was done; whether; on which side; by whom"),
    ("note, reason, evidence", "remarks; why it is not done; photos"),
    ("reading-name, value, unit", "of a row for each reading"),
    ("a job fact", "as location or cable-diameter"),
    ("a step", "as open-manhole: below stand ticks or times"),
    ("step.reading", "as assemble-sleeve.bond-length; several with commas"),
    ("ignore", "read by nobody"),
)


def ask_column(column: SeenColumn, guess: Guess, draft: Draft, lexicon: Lexicon) -> Interview:
    """What a column holds."""
    if guess.column and not _fits(guess.column, draft):
        guess = Guess()
    said = yield Question(
        f"columns.{column.heading}", f'What does "{column.heading}" hold?',
        lambda text: column_said(text, lexicon, draft.spec.shape),
        (quoted(column.texts),), _ROLES, shown(guess.column) if guess.column else "", guess.why if guess.column else "",
    )  # fmt: skip
    if said is None:
        draft.leave(f"columns.{column.heading}", "not known, so it is not read")
    else:
        draft.column(column.heading, said, "as said")


def _readings(sight: Sight, draft: Draft, lexicon: Lexicon) -> Interview:
    if draft.spec.shape == "long":
        yield from longnames.long_readings(sight, draft, lexicon)
    for column in sight.columns:
        spec = draft.spec.column(column.heading)
        if f"columns.{column.heading}" in draft.left or (spec is not None and spec.role != "reading"):
            continue
        if spec is None:
            yield from readings.reading_column(column, sight, draft, lexicon)
        else:
            yield from readings.said_column(column, sight, draft, lexicon)
    yield from readings.sides_of_alike(sight, draft, lexicon)


def _records(draft: Draft) -> Interview:
    said = yield Question("records", "Is every step of the work in these sheets?", one_of(*RECORDS),
                          choices=tuple(RECORDS.items()))  # fmt: skip
    if said is None:
        draft.leave("records", "not known; milestones is taken, so that nobody is blamed for a step that is missing")
    else:
        draft.put("as said", records=said)
    if draft.spec.shape == "ticks":
        ordered = yield Question("sorted", "Do the columns stand in the order of the work?", yes_no)
        if ordered is None:
            draft.leave("sorted", "not known; the order of the columns is taken, and told")
        else:
            draft.put("as said", sorted=ordered)


def _is_day(cell: Cell, order: str) -> bool:
    return isinstance(read_day(cell, order), Day)


def needs_none(tables: Sequence[Table], lexicon: Lexicon) -> bool:
    """Whether every table is the product's own log form: each heading a word of it, each task a step, each date a
    date."""
    from ringcut.archive.ownform import own_columns
    from ringcut.reading.problems import Unreadable

    for table in tables:
        try:
            spec = own_columns(table, lexicon)
        except Unreadable:
            return False
        sight = look([table], spec.heading_row)
        if any(spec.column(column.heading) is None for column in sight.columns):
            return False
        for column in sight.columns:
            own = spec.column(column.heading)
            if own and own.role == "task" and not all(lexicon.step(canonical(text)) for text in column.texts):
                return False
            if own and own.role == "date" and not all(_is_day(cell, spec.dates) for _, cell in column.cells):
                return False
    return True

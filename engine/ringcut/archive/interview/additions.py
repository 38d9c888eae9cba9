"""Going on with a column file: what new sheets of the contractor have that it does not know yet, and nothing else."""

from __future__ import annotations

from collections.abc import Sequence

from ringcut.archive.columns import fold
from ringcut.archive.headings import find_heading, joined_rows
from ringcut.archive.interview import course, readings, remarks, rows, tasks, times, words
from ringcut.archive.interview.draft import Draft
from ringcut.archive.interview.meaning import guess_column, readings_of
from ringcut.archive.interview.question import Interview, Note, quoted
from ringcut.archive.interview.sight import Sight, look
from ringcut.archive.lexicon import Lexicon
from ringcut.archive.tables import Table
from ringcut.archive.templates import match
from ringcut.reading.problems import Unreadable


def additions(tables: Sequence[Table], draft: Draft, lexicon: Lexicon) -> Interview:
    """Ask for new headings, words, marks, sides and people. Raises Unreadable where no table has the known heading."""
    sight = _sight(tables, draft)
    given = set(draft.spec.columns)
    yield course.seen(sight)
    new = [column for column in sight.columns if draft.spec.column(column.heading) is None and column.cells]
    if new:
        yield Note(f"New headings: {quoted([column.heading for column in new])}")
    for column in new:
        if not readings_of(column.heading, draft.spec.sides, lexicon):
            guess = guess_column(column.heading, [cell for _, cell in column.cells], lexicon)
            yield from course.ask_column(column, guess, draft, lexicon)
    yield from rows.skipped(sight, draft)
    if draft.spec.shape != "ticks":
        yield from tasks.task_words(sight, draft, lexicon, confirm=False)
        yield from remarks.remark_readings(sight, draft, lexicon)
    yield from words.sides(sight, draft, lexicon)
    for column in new:
        spec = draft.spec.column(column.heading)
        if spec is None and f"columns.{column.heading}" not in draft.left:
            yield from readings.reading_column(column, sight, draft, lexicon)
        elif spec is not None and spec.reading and column.heading not in given:
            yield from readings.said_column(column, sight, draft, lexicon)
    yield from words.fact_words(sight, draft, lexicon)
    yield from words.marks(sight, draft, empty=False)
    if draft.spec.people:  # else they stay as they stand, which was said
        yield from words.people(sight, draft)
    if not draft.spec.dates:
        yield from times.dates(sight, draft)
    if not draft.spec.clock:
        yield from times.clock(sight, draft)


def _sight(tables: Sequence[Table], draft: Draft) -> Sight:
    """The tables by the heading that the column file knows, without the rows that it leaves out."""
    failed: list[Unreadable] = []
    for number, table in enumerate(tables):
        try:
            line = find_heading(table, draft.spec).line
        except Unreadable as error:
            failed.append(error)
            continue
        others = [*tables[:number], *tables[number + 1 :]]
        sight = look(
            [table, *others], line, max(draft.spec.heading_rows, 1), lambda parts: joined_rows(parts, draft.spec.column)
        )
        _without_left_out(sight, draft)
        return sight
    raise Unreadable([problem for error in failed for problem in error.problems])


def _without_left_out(sight: Sight, draft: Draft) -> None:
    columns = {fold(each.heading): each.column for each in sight.columns}
    left = [(columns.get(fold(rule.column), 0), rule.says) for rule in draft.spec.leave_out]
    sight.keep(lambda row: not any(at and match(says, row[at].text) is not None for at, says in left))

"""Which column file a table is read by: of several that one whose headings it has, which is seen and never guessed.

A column file fits a table where the table can be read by it: at least half of its headings stand in one row, in a sheet
that it names if it names any. Of those by which a row is told from another (its order, day, time, task, reading) one
each has to be among them, because half of anybody's headings may be Date, Time and Remarks. Of several that fit, the
one that names more of the table's headings is meant; where that does not decide, none is taken.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import msgspec

from ringcut.archive.columns import ColumnFile, NamedColumns, Role
from ringcut.archive.headings import find_heading, known_headings, read_headings
from ringcut.archive.lexicon import Lexicon
from ringcut.archive.ownform import own_columns
from ringcut.archive.tables import Table, read_tables, table_bytes
from ringcut.archive.workbook import is_workbook
from ringcut.reading.problems import Place, Problem, Unreadable

_FRAME: tuple[Role, ...] = ("reference", "date", "time", "task", "reading-name", "value")
"""What tells one row from another; a column file of which the table lacks one of these is another contractor's."""
_NAMED = 3
"""Column files of which it is said why they do not fit; of more, those that come nearest."""


class Choice(msgspec.Struct):
    """A table, and the column file that it is read by; none where none is given, or none fits."""

    table: Table
    by: NamedColumns | None = None
    undecided: Problem | None = None
    """Why it is not read at all: several fit, and nothing says which is meant."""
    why: str = ""
    """Why none of several fits."""


class _Tried(msgspec.Struct):
    """A column file held against a table: ``known`` of the table's headings are named by it; why it does not fit."""

    by: NamedColumns
    table: Table | None
    known: int = 0
    line: int = 0
    why: str = ""


def choices(source: Path | bytes, name: str, given: Sequence[NamedColumns], lexicon: Lexicon) -> list[Choice]:
    """Every table of a file with its column file. A single one is for all tables, whether it fits or not.

    Where one of several reads all of a workbook that can be read, it is as if it alone were given. Raises Unreadable as
    :func:`read_tables`.
    """
    if len(given) < 2:
        by = given[0] if given else None
        spec = by.spec if by else ColumnFile()
        return [Choice(table, by) for table in read_tables(source, name, spec.encoding, spec.separator)]
    data = table_bytes(source, name)
    found = [_chosen(plain, tried) for plain, tried in _tried(data, name, given)]
    used = {each.by.name: each.by for each in found if each.by}
    others = [each for each in found if each.by is None]
    if len(used) == 1 and not any(each.undecided or _own_form(each.table, lexicon) for each in others):
        (alone,) = used.values()
        return [Choice(each.table, alone) for each in found]
    return found


def _tried(data: bytes, name: str, given: Sequence[NamedColumns]) -> list[tuple[Table | None, list[_Tried]]]:
    """Each table as it is without a column file, and held against every one.

    A text is read anew for each encoding and separator that a column file says; a workbook has none of them.
    """
    if is_workbook(data):
        tables = read_tables(data, name)
        return [(table, [_held(table, by) for by in given]) for table in tables]
    tried: list[_Tried] = []
    ways: dict[tuple[str, str], Table | Unreadable] = {}
    for by in given:
        way = (by.spec.encoding, by.spec.separator)
        if way not in ways:
            ways[way] = _table(data, name, *way)
        table = ways[way]
        if isinstance(table, Unreadable):
            tried.append(_Tried(by, None, why=f"does not read it: {table.problems[0].found}"))
        else:
            tried.append(_held(table, by))
    return [(None if any(not each.why for each in tried) else read_tables(data, name)[0], tried)]


def _table(data: bytes, name: str, encoding: str, separator: str) -> Table | Unreadable:
    try:
        return read_tables(data, name, encoding, separator)[0]
    except Unreadable as error:
        return error


def _held(table: Table, by: NamedColumns) -> _Tried:
    spec = by.spec
    if spec.sheets and table.sheet not in spec.sheets:
        return _Tried(by, table, why="names other sheets" if table.sheet else "names sheets of a workbook")
    stand = f"of its {len(spec.columns)} headings there"
    try:
        heading = find_heading(table, spec)
    except Unreadable:
        known = known_headings(table, spec)
        return _Tried(by, table, known, why=f"has {known or 'none'} {stand}")
    headings = read_headings(heading, spec)[0]
    there = {each.spec.role for each in headings}
    lost = [
        " or ".join(name for name, column in spec.columns.items() if column.role == role)
        for role in dict.fromkeys(column.role for column in spec.columns.values())
        if role in _FRAME and role not in there
    ]
    why = f"has {len(headings)} {stand}, but not {', '.join(lost)}" if lost else ""
    return _Tried(by, table, len(headings), heading.line, why)


def _chosen(plain: Table | None, tried: Sequence[_Tried]) -> Choice:
    fit = sorted((each for each in tried if not each.why), key=lambda each: -each.known)
    if not fit:
        assert plain is not None
        return Choice(plain, why=_why(tried))
    best = fit[0]
    assert best.table is not None
    same = [each.by.name for each in fit if each.known == best.known]
    if len(same) == 1:
        return Choice(best.table, best.by)
    named = f"{', '.join(same[:-1])} and {same[-1]}"
    found = f"{named} {'both' if len(same) == 2 else 'all'} fit it, and each names {best.known} of its headings"
    hint = "judge it in a run of its own with the right one of them, or let that one name more of its headings"
    return Choice(best.table, undecided=Problem(Place(best.table.file, best.line), found, "", hint))


def _why(tried: Sequence[_Tried]) -> str:
    nearest = sorted(tried, key=lambda each: -each.known)
    told = [f"{each.by.name} {each.why}" for each in nearest[:_NAMED]]
    more = len(tried) - len(told)
    return "; ".join([*told, f"{more} more {'fits' if more == 1 else 'fit'} no better"] if more else told)


def _own_form(table: Table, lexicon: Lexicon) -> bool:
    try:
        own_columns(table, lexicon)
    except Unreadable:
        return False
    return True

"""The long form put together: rows that hold one reading each of the same doing of a step become one entry.

Rows belong together while step, time, closure and order are the same; the side of a row is the side of its
reading.
"""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from ringcut.archive.columns import ColumnFile, fold
from ringcut.archive.entries import Doing, Entry, Taken
from ringcut.archive.rowcells import RowCells
from ringcut.archive.sheets import Line

Names = dict[tuple[int, tuple[str, ...]], set[str]]
"""By row, and by what a name of its rows means: the names of the same doing that mean it."""


def names_beside(lines: Sequence[Line], rows: RowCells, spec: ColumnFile) -> Names:
    """Names that mean the same reading in rows of one doing, as Bond left and Bond right."""
    known = {fold(said): targets for said, targets in spec.readings.items()}
    doings: dict[tuple[str, ...], Names] = {}
    for line in lines:
        name = rows.cell(line, "reading-name")
        means = known.get(fold(name.text)) if name else None
        if name and means:
            key = tuple(
                fold(cell.text) if (cell := rows.cell(line, role)) else "" for role in ("reference", "task", "time")
            )
            doings.setdefault(key, {}).setdefault((line.line, means), set()).add(fold(name.text))
    found: Names = {}
    for here in doings.values():
        for _, means in here:
            every = {name for (_, other), names in here.items() if other == means for name in names}
            found |= {place: every for place in here if place[1] == means}
    return found


def merged(entries: list[Entry]) -> list[Entry]:
    """The entries with neighbours of one doing joined; a reading that comes again begins a new doing."""
    groups: list[list[Entry]] = []
    seen: set[tuple[str, str, str]] = set()
    read = {_doing(entry) for entry in entries if not entry.status}
    for entry in entries:
        if entry.marked and _doing(entry) in read:
            continue
        said = _said(entry)
        if groups and _key(groups[-1][0]) == _key(entry) and not said & seen:
            groups[-1].append(entry)
            seen |= said
        else:
            groups.append([entry])
            seen = said
    return [_one(group) for group in groups]


def _key(entry: Entry) -> tuple[object, ...]:
    return *_doing(entry), entry.status is None


def _doing(entry: Entry) -> tuple[object, ...]:
    """What rows of one doing have in common."""
    steps = tuple(doing.step for doing in entry.doings)
    closure = entry.closure.text if entry.closure else ""
    return steps, entry.timed.text if entry.timed else "", closure


def _side(entry: Entry, taken: Taken) -> str:
    return taken.side or (entry.side.text if entry.side else "")


def _said(entry: Entry) -> set[tuple[str, str, str]]:
    return {(doing.step, each.name, _side(entry, each)) for doing in entry.doings for each in doing.readings}


def _one(group: list[Entry]) -> Entry:
    if len(group) == 1:
        return group[0]
    first = group[0]
    doings = []
    for number, doing in enumerate(first.doings):
        readings = [
            Taken(each.name, each.value, _side(entry, each))
            for entry in group
            for each in entry.doings[number].readings
        ]
        doings.append(Doing(doing.step, doing.said, readings, doing.brought))
    texts = {place: text for entry in group for place, text in entry.texts.items()}
    sides = {entry.side.text if entry.side else "" for entry in group}
    side = first.side if len(sides) == 1 else None
    return msgspec.structs.replace(first, doings=doings, texts=texts, side=side)

"""Questions about sides: which end the crew's word means, and what was read on each, where its place does not say.

The crew is asked for what it knows: its own word for an end, or the value of an end. An answer to the first takes the
place of the cell; one to the second goes into the step of the row, side by side.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

import msgspec

from ringcut.archive.given import Given
from ringcut.archive.ledger import NotTaken, clipped
from ringcut.archive.readingcells import target_of
from ringcut.archive.results import Wanted
from ringcut.relations.procedure import Occurrence, Procedure

WHICH = "which-side"


class SideAsk(msgspec.Struct, frozen=True):
    """What to ask of some cells, before the reading is named: what was read, side by side, and in which words."""

    cells: tuple[NotTaken, ...]
    wants: tuple[Wanted, ...]
    says: str


def which_end(refused: NotTaken, sides: Sequence[str]) -> str:
    """The question which end a word means."""
    return f'Which side is "{refused.text}": {", ".join(map(end_of, sides[:-1]))} or {end_of(sides[-1])}?'


def end_of(side: str) -> str:
    """A side, with what it is of the two where that goes for every cable."""
    return "A (the office side)" if side == "A" else side


def by_side(refused: Iterable[NotTaken], given: Given, procedure: Procedure) -> Iterator[SideAsk]:
    """What to ask of values that stand under the heading of another side, or under names that name no side. Those that
    an answer has told are not asked for again."""
    alike: dict[tuple[int, str], list[NotTaken]] = {}
    for each in refused:
        entry = _entry(each, given, procedure)
        if each.kind == WHICH and entry is not None:
            alike.setdefault((entry.index, each.reading), []).append(each)
    for (index, reading), cells in alike.items():
        entry = procedure.occurrences[index]
        step, names = target_of(reading)
        headed = [column for column in given.columns if column.letter == cells[0].place.letter and column.side]
        sides = entry.sides if headed else procedure.sides
        wants = tuple(
            Wanted(entry.place.line, step=step, reading=name, side=side)
            for name in dict.fromkeys(names)
            for side in sides
            if (name, side) not in entry.readings
        )
        if not wants:
            continue
        if headed:
            says = f'The row says side {" and ".join(sides)}, and "{cells[0].text}" stands under {headed[0].heading}.'
        else:
            told = [f'{_name(each, given)}"{clipped(each.text)}"' for each in cells]
            rows = [
                f"row {each.place.line} {'has ' if not number else ''}{told[number]}"
                for number, each in enumerate(cells)
            ]
            says = f"R{' and '.join(rows)[1:]}, and not which is of which side."
        yield SideAsk(tuple(cells), wants, says)


def _name(refused: NotTaken, given: Given) -> str:
    """The name that a value stands beside, in a sheet with a row a reading."""
    letter = next((each.letter for each in given.columns if each.holds == "reading-name"), "")
    name = given.cells.get(f"{refused.place.line}:{letter}", "")
    return f"{name} " if name else ""


def _entry(refused: NotTaken, given: Given, procedure: Procedure) -> Occurrence | None:
    """The doing that a value is of: the last of its step at its row, or above it where the row is one of several."""
    step = target_of(refused.reading)[0]
    own = [
        each
        for each in procedure.occurrences
        if each.step == step and each.place.file == given.log.raw.place.file and each.place.line <= refused.place.line
    ]
    return max(own, key=lambda each: (each.place.line, each.index), default=None)

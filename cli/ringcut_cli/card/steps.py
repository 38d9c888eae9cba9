"""The steps of a plan as they stand on the card: numbered, in their order, with what to read and when it conforms."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence

import msgspec

from ringcut.judge.findings import ToMeasure
from ringcut.language import ir
from ringcut.reading.raw import RawGroup, RawProcedure, RawStep
from ringcut.relations.procedure import Occurrence, Procedure

TIMES = "time"
"""The reading under which a limit on the time of a step is told."""


class Blank(msgspec.Struct, frozen=True):
    """A reading to be written in: what, on which side, in which unit (empty: words), and when it conforms."""

    what: str
    side: str = ""
    unit: str = ""
    choices: tuple[str, ...] = ()
    accept: str = ""


class Row(msgspec.Struct, frozen=True):
    """One step: ``planned`` are (reading, value) as typed; ``notes`` what else is to be known of it."""

    number: int
    name: str
    says: str
    planned: tuple[tuple[str, str], ...]
    blanks: tuple[Blank, ...]
    notes: tuple[str, ...]
    heading: str = ""
    """The comment that stands alone above it in the plan."""


class AnyOrder(msgspec.Struct, frozen=True):
    """Branches in no order; a branch is a sequence of its own."""

    branches: tuple[tuple[Row | AnyOrder, ...], ...]
    heading: str = ""


Items = tuple[Row | AnyOrder, ...]
_HEADING = re.compile(r"\s*#\s*([^\W\d_][\w ,'-]{2,59})\s*")


def rows_of(
    raw: RawProcedure, data: bytes, procedure: Procedure, book: ir.Rulebook, measure: Sequence[ToMeasure]
) -> Items:
    """Every step of a plan in list order, with its any-order groups."""
    return _Rows(data, procedure, book, measure).items(raw.steps)


def flat(items: Items) -> Iterable[Row]:
    """Every row of nested items."""
    for item in items:
        if isinstance(item, Row):
            yield item
        else:
            for branch in item.branches:
                yield from flat(branch)


class _Rows:
    """The rows of one plan in the making."""

    def __init__(self, data: bytes, procedure: Procedure, book: ir.Rulebook, measure: Sequence[ToMeasure]) -> None:
        self.book = book
        self.lines = data.decode("utf-8", errors="replace").splitlines()
        self.occurrences = {each.place: each for each in procedure.occurrences}
        self.measure: dict[tuple[int, str], list[ToMeasure]] = {}
        for row in measure:
            self.measure.setdefault((row.line, row.step), []).append(row)
        self.headed: set[int] = set()
        self.count = 0

    def items(self, raw: Sequence[RawStep | RawGroup]) -> Items:
        found: list[Row | AnyOrder] = []
        for item in raw:
            if isinstance(item, RawGroup):
                heading = self._heading(item.place.line)
                branches = tuple(branch for each in item.branches if (branch := self.items(each)))
                found.append(AnyOrder(branches, heading))
            elif (each := self.occurrences.get(item.place)) is not None:
                found.append(self._row(item, each))
        return tuple(found)

    def _row(self, raw: RawStep, each: Occurrence) -> Row:
        self.count += 1
        step = self.book.steps[each.step]
        told = self.measure.get((each.place.line, each.label), [])
        planned = tuple((_named(name, side), text) for (name, side), (text, _) in each.texts.items())
        return Row(
            self.count,
            each.label,
            step.says,
            planned,
            tuple(blanks_of(each, step, told)),
            tuple(self._notes(raw, each, told)),
            self._heading(each.place.line),
        )

    def _notes(self, raw: RawStep, each: Occurrence, told: Sequence[ToMeasure]) -> Iterable[str]:
        if raw.after is not None:
            yield f"After {', '.join(phrase.text for phrase in raw.after) or 'nothing'}, whatever stands above."
        if each.optional:
            yield "Optional."
        if raw.side:
            yield f"Side {' and '.join(each.sides)}."
        if each.closure:
            yield f"Closure {each.closure}."
        for row in told:
            if row.reading == TIMES:
                yield f"Time: {row.conforms_when}."
        if each.by:
            yield f"By {', '.join(each.by)}."
        if each.note:
            yield each.note

    def _heading(self, line: int) -> str:
        """The comment alone in the line above, once."""
        above = self.lines[line - 2] if 2 <= line <= len(self.lines) + 1 else ""
        found = None if line in self.headed else _HEADING.fullmatch(above)
        self.headed.add(line)
        return found[1] if found else ""


def blanks_of(each: Occurrence, step: ir.Step, told: Sequence[ToMeasure]) -> Iterable[Blank]:
    """The readings that only the doing gives, in the order of the vocabulary; those of sides once a side."""
    accepts: Mapping[tuple[str, str], str] = {(row.reading, row.side): row.conforms_when for row in told}
    for name, word in step.readings.items():
        if word.planned:
            continue
        choices = ("yes", "no") if word.kind == "yes-no" else word.choices
        unit = "" if choices else word.unit
        sided = word.sided or any((name, side) in accepts for side in each.sides)
        for side in each.sides if sided else ("",):
            accept = accepts.get((name, side)) or accepts.get((name, ""), "")
            yield Blank(name.replace("-", " "), side, unit, choices, accept)


def _named(name: str, side: str) -> str:
    return f"{name.replace('-', ' ')} {side}".strip()

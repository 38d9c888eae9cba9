"""One log as the bulk sees it, and the view on it that the reference interpreter judges."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from functools import cached_property

import msgspec

from ringcut.bulk.cutting import HAND, Cut
from ringcut.bulk.entries import Entry
from ringcut.bulk.frames import Frame
from ringcut.judge.judge import level_of
from ringcut.language import ir
from ringcut.reading.problems import NOWHERE
from ringcut.relations.conditions import Conditions
from ringcut.relations.procedure import NotDone, Occurrence, Procedure
from ringcut.relations.view import View

NOT_APPLICABLE, CONFORMS, UNDETERMINED, NONCONFORMING = range(4)
_CODES = (CONFORMS, CONFORMS, UNDETERMINED, NONCONFORMING)
"""By the level of the truth."""


def named(by: tuple[str, ...], hand: str) -> tuple[str, ...]:
    """Who did an entry, by name."""
    return (hand,) if by == (HAND,) else by


class Seen:
    """A log: its entries in order, with their times. All else is made when something has to be judged."""

    def __init__(
        self, frame: Frame, parts: Cut, entries: Sequence[Entry], times: Sequence[int], book: ir.Rulebook
    ) -> None:
        self.frame, self.parts, self.entries, self.times, self.book = frame, parts, entries, times, book

    @cached_property
    def places(self) -> list[int]:
        """For each occurrence the place of its entry."""
        return [place for place, entry in enumerate(self.entries) if entry.status == "done"]

    @cached_property
    def view(self) -> View:
        """The log as rules see it."""
        done = []
        for index, place in enumerate(self.places):
            entry, time = self.entries[place], Fraction(self.times[place] - self.times[0])
            done.append(
                Occurrence(
                    index, entry.step, entry.sides, NOWHERE, by=named(entry.by, self.parts.hand),
                    begin=time, finish=time, readings=entry.readings, note=entry.note,
                )
            )  # fmt: skip
        missed = [
            NotDone(entry.step, entry.status, "said", entry.sides, "", NOWHERE)
            for entry in self.entries
            if entry.status != "done"
        ]
        procedure: Procedure = msgspec.structs.replace(self.frame.procedure, occurrences=done, not_done=missed)
        return View(procedure, self.book)

    @cached_property
    def conditions(self) -> Conditions:
        """The conditions along the log."""
        return Conditions(self.view)

    def judged(self, rules: Sequence[ir.Rule]) -> bytes:
        """A code for each of some rules, by the reference interpreter."""
        levels = [level_of(rule, self.view, self.conditions) for rule in rules]
        return bytes([NOT_APPLICABLE if level is None else _CODES[level] for level in levels])

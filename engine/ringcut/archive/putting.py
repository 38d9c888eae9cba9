"""A reading or a time put into a log: into the step of its row, or, where the log has no such step, as one of its own.

Where in the work such a step was done, its row does not say: it is asked for beside another. So it stands in no row,
until its time is told. A reading that fits no step of its row, while the log has such a step elsewhere, is not put
anywhere: it would be a doing that nobody has spoken of.
"""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from ringcut.archive.results import Wanted
from ringcut.language import ir
from ringcut.reading.phrase import Phrase
from ringcut.reading.raw import RawGroup, RawReading, RawStep
from ringcut.reading.suggest import canonical
from ringcut.relations.times import read_time

WHEN = "at"
"""What is asked for as a reading where the time of a step is meant."""


class Putting:
    """The steps of a log, and what is put into them."""

    def __init__(self, steps: Sequence[RawStep | RawGroup], book: ir.Rulebook) -> None:
        self._steps, self.book = list(steps), book

    @property
    def steps(self) -> tuple[RawStep | RawGroup, ...]:
        """The steps with everything that was put."""
        return tuple(self._steps)

    def put(self, wanted: Wanted, said: Phrase) -> str:
        """Put a reading, or a time; why it has no place, or nothing. Of several such steps of a row, its number stands
        behind the step: ``test-atmosphere#2``."""
        step, _, number = wanted.step.partition("#")
        rows = [index for index, each in self._listed() if each.place.line == wanted.row and self._is(each, step)]
        which = int(number) if number.isdecimal() else 1
        if 0 < which <= len(rows):
            index = rows[which - 1]
        elif rows:
            return f"row {wanted.row} has {step} {len(rows)} times"
        else:
            closure = next((each.closure for _, each in self._listed() if each.place.line == wanted.row), None)
            elsewhere = [each for _, each in self._listed() if self._is(each, step) and _alike(each.closure, closure)]
            if elsewhere:
                return f"row {wanted.row} has no {step}; it stands in row {elsewhere[0].place.line}"
            index = self._own(step, closure, said)
        if wanted.reading == WHEN:
            return self._time(index, said)
        self._reading(index, wanted, said)
        return ""

    def _listed(self) -> list[tuple[int, RawStep]]:
        rows = enumerate(self._steps)
        return [(index, each) for index, each in rows if isinstance(each, RawStep) and not each.unlisted]

    def _is(self, each: RawStep, step: str) -> bool:
        if each.status is not None and canonical(each.status.text) != "done":
            return False
        word = canonical(each.do.text)
        return step in (word, self.book.synonyms.get(word), *self.book.shared.get(word, ()))

    def _own(self, step: str, closure: Phrase | None, said: Phrase) -> int:
        """The step that has no row; another one is made where there is none yet."""
        for index, each in enumerate(self._steps):
            if isinstance(each, RawStep) and each.unlisted and each.do.text == step and _alike(each.closure, closure):
                return index
        note = Phrase("answered when asked", said.place)
        do = Phrase(step, said.place)
        self._steps.append(RawStep(do, closure=closure, note=note, place=said.place, unlisted=True))
        return len(self._steps) - 1

    def _reading(self, index: int, wanted: Wanted, said: Phrase) -> None:
        step = self._at(index)
        known = next((each for each in step.readings if canonical(each.name.text) == wanted.reading), None)
        sides = (*(known.sides if known else ()), (Phrase(wanted.side), said)) if wanted.side else ()
        new = RawReading(Phrase(wanted.reading, said.place), None if wanted.side else said, sides)
        readings = (*(each for each in step.readings if each is not known), new)
        self._steps[index] = msgspec.structs.replace(step, readings=readings)

    def _time(self, index: int, said: Phrase) -> str:
        """A time of day lies on the day of the log, where it has one day."""
        instant = read_time(said.text)
        if instant is None:
            return "no time; write it as 14:05, or with its day as 2026-03-01 14:05"
        times = [each.at.text for _, each in self._listed() if each.at is not None]
        full = [text for text in times if (known := read_time(text)) is not None and not known.bare]
        days = {text[:10] for text in full}
        if full and instant.bare:
            if len(days) > 1:
                return f"on which day? Write it as {min(days)} {said.text.strip()}"
            minutes = int(instant.seconds // 60)
            said = Phrase(f"{min(days)}T{minutes // 60:02d}:{minutes % 60:02d}", said.place)
        elif times and not full and not instant.bare:
            return "the log has times of day alone; write it as 14:05"
        self._steps[index] = msgspec.structs.replace(self._at(index), at=said)
        return ""

    def _at(self, index: int) -> RawStep:
        step = self._steps[index]
        assert isinstance(step, RawStep)
        return step


def _alike(one: Phrase | None, other: Phrase | None) -> bool:
    """Whether two steps belong to one closure; one that names none belongs to all."""
    return one is None or other is None or one.text == other.text

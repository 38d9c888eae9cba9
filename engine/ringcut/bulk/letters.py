"""Entries as letters: two entries get one letter where no rule sees a difference between them in a job of one kind.

What a letter does not hold is a number that a limit compares with another one, and who did it.
"""

from __future__ import annotations

from ringcut.bulk.entries import Entry
from ringcut.bulk.vocabulary import Vocabulary
from ringcut.forms.pattern import proves_nothing, units_meant
from ringcut.language import nodes as n
from ringcut.reading.problems import NOWHERE
from ringcut.relations.conditions import unread
from ringcut.relations.evaluate import truth
from ringcut.relations.procedure import Occurrence
from ringcut.relations.spans import Value
from ringcut.relations.truth import Level, Truth
from ringcut.relations.view import View, reading_of

MOST = 250
"""Letters of one alphabet."""


Way = tuple[tuple[str, ...], str]
"""On which sides something was done, and whether it was."""


class Full(Exception):
    """There is no letter left."""


def read_of(view: View, entry: Entry, name: str, side: str) -> Value:
    """A reading of an entry, as the reference takes it of a doing."""
    return reading_of(view, Occurrence(0, entry.step, entry.sides, NOWHERE, readings=entry.readings), name, side)


class OneEntry:
    """An environment in which the readings of one entry are known, and the facts of a job."""

    def __init__(self, view: View, entry: Entry) -> None:
        self.view, self.entry = view, entry
        self.sides, self.level, self.fact, self.cell = view.sides, view.level, view.fact, view.cell

    def reading(self, step: str, name: str, side: str) -> Value:
        """A reading of the entry; ``step`` is its step."""
        return read_of(self.view, self.entry, name, side)

    def condition(self, name: str, side: str) -> Truth:
        """Comparisons hold no conditions."""
        raise NotImplementedError(name)


def _seen_of(found: Truth) -> tuple[Level, bool]:
    """What an effect sees of a comparison: its level, and whether it is unknown only for want of readings."""
    return found.level, unread(found)


class Alphabet:
    """The letters of one kind of job. Letters are numbers from 0; each stands for a step and what is seen of it."""

    def __init__(self, vocabulary: Vocabulary, view: View) -> None:
        self.vocabulary, self.view = vocabulary, view
        self.steps: list[str] = []
        """The step of each letter."""
        self.marked: list[bool] = []
        self.ways: list[Way] = []
        self._letters: dict[tuple[object, ...], int] = {}
        self._outcomes: dict[tuple[str, str, Value, str], tuple[int, ...]] = {}

    def letter(self, entry: Entry) -> int:
        """The letter of an entry. Raises Full."""
        seen = [(key, self._seen(entry, *key)) for key in sorted(entry.readings)]
        own = OneEntry(self.view, entry)
        guarded = self.vocabulary.guarding.get(entry.step, ())
        settled = tuple(_seen_of(truth(node, own, side)) for node in guarded for side in ("", *self.view.sides))
        proof = entry.status == "done" and proves_nothing(entry.note)
        key = (entry.step, entry.sides, entry.status, proof, tuple(seen), settled)
        if key not in self._letters:
            if len(self._letters) == MOST:
                raise Full
            self._letters[key] = len(self._letters)
            self.steps.append(entry.step)
            self.marked.append(proof or any(outcome[0] for _, outcome in seen))
            self.ways.append((entry.sides, entry.status))
        return self._letters[key]

    def _seen(self, entry: Entry, name: str, side: str) -> tuple[int, ...]:
        """What is seen of a reading: whether it is odd, and the outcome of each comparison that it settles."""
        given = entry.readings[name, side]
        key = (entry.step, name, given, side)
        if key not in self._outcomes:
            word = self.vocabulary.book.steps[entry.step].readings[name]
            likelier = units_meant(word, given)
            odd = 0 if likelier is None else 2 if likelier else 1
            nodes = self.vocabulary.local.get((entry.step, name), ())
            self._outcomes[key] = (odd, *(self._outcome(node, entry.step, name, given) for node in nodes))
        return self._outcomes[key]

    def _outcome(self, node: n.Node, step: str, name: str, given: Value) -> int:
        """The truth of a comparison at every side, as one number."""
        own = OneEntry(self.view, Entry(step, self.view.sides, (), "done", "", {(name, ""): given}, {}))
        found = 0
        for side in ("", *self.view.sides):
            found = 4 * found + int(truth(node, own, side).level)
        return found

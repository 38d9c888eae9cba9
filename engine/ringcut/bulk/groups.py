"""Rules of one kind of job that look at the same entries, and what they know of runs of letters.

A group remembers its codes for what it sees of a run: of steps that it takes for one of several, as those before which
something is needed, only that one of them stands there.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import compress
from typing import Any, TypeVar

from ringcut.bulk.checks import Checks
from ringcut.bulk.entries import Entry
from ringcut.bulk.footprint import EVERY, MARKED, Footprint, Role
from ringcut.bulk.functions import Alike, Ends, Function, outcomes
from ringcut.bulk.letters import Way
from ringcut.language import ir
from ringcut.relations.view import View

T = TypeVar("T")
VERY_OFTEN = 100
"""Times that the outcome of one group must be met more than others before it is worth a function of its own, since
compiling one takes as long as looking at some logs."""
MOST_MET = 20_000
_met: dict[Any, Any] = {}
"""Crews and places that stand in many runs, each once."""
AGAIN = b"\xff"
"""Begins what is seen of a run in which a step is done again; no letter."""
Log = tuple[Sequence[Entry], Sequence[int], Sequence[float], View]
"""The entries of a log, their times, the numbers of its job, the job."""
Outcome = tuple[Any, ...]
Crew = tuple[tuple[int, ...], ...]
"""For each entry of a step that changes a condition of persons, who did it, by number."""


def numbered(names: Iterable[Iterable[object]]) -> Crew:
    """Who did each of some entries, by numbers in the order in which they are first named."""
    number: dict[object, int] = {}
    return _same(tuple([_same(tuple([number.setdefault(name, len(number)) for name in each])) for each in names]))


def _same(item: T) -> T:
    """One and the same for all that are equal: nearly every crew is of one, and rules look at the same places."""
    if len(_met) > MOST_MET:
        _met.clear()
    same: T = _met.setdefault(item, item)
    return same


def compact(places: Sequence[int]) -> Sequence[int]:
    """The same places in as little memory as can be, since there are some for each rule and run."""
    return _same(bytes(places) if max(places, default=0) < 256 else tuple(places))


class Local:
    """What a group knows of one run of the letters that it sees, and in how many runs of all letters that was met."""

    __slots__ = ("_again", "_check", "_numbers", "alike", "checks", "codes", "group", "outcomes", "runs", "usual")

    def __init__(self, group: Group, checks: Checks) -> None:
        self.group, self.checks, self.runs = group, checks, 0
        self.outcomes: list[Outcome] = []
        """The outcomes of the checks that were met, by number."""
        self.codes: dict[int, bytes] = {}
        self._numbers: dict[Outcome, int] = {}
        self._check = outcomes(checks.items, checks.names)
        self.alike: Function | None = None
        """Whether a log has the usual outcome; nothing, while none was met very often."""
        self.usual = 0
        """The outcome that most logs have, as far as is known, or that one function asks for."""
        self._again = 0
        """How often it was met more than others were."""

    def outcome(self, log: Log, ends: Ends, at: Sequence[int]) -> int:
        """The number of the outcome of all checks; what was met very often gets a function that asks for it alone."""
        outcome = self._check(*log, *ends, at)
        found = self._numbers.get(outcome)
        if found is None:
            found = self._numbers[outcome] = len(self.outcomes)
            self.outcomes.append(outcome)
        if self.alike is None:
            self._again += 1 if found == self.usual else -1
            if self._again <= 0:
                self._again, self.usual = 1, found
            if self._again == VERY_OFTEN:
                alike = Alike(ends, len(at))
                alike.add(self.checks.items, self.checks.names, at, outcome)
                self.alike = alike.function()
        return found


class Group:
    """Rules of one kind of job that look at the same entries."""

    def __init__(self, rules: Sequence[ir.Rule], places: Sequence[int], looks: Footprint) -> None:
        self.rules, self.places, self.looks = tuple(rules), tuple(places), looks
        self.unseen = bytearray()
        """The letters of entries that these rules do not look at."""
        self._looked = bytearray(256)
        """For each letter 1, where they do."""
        self.known: dict[bytes | tuple[bytes, Crew], Local | bytes] = {}
        """By what these rules see of a run, with who did what if they see that too; codes, where nothing is open."""
        self._roles = dict(looks.roles)
        self._alike = bytearray(range(256))
        """For each letter the first that was met of the same role."""
        self._first: dict[tuple[Role, Way], int] = {}
        self._several: set[int] = set()
        """The letters of steps of a role."""
        self._runs: list[tuple[bytes, bytes]] = []
        """For each letter that stands for others: it twice, and once."""

    def meet(self, letter: int, step: str, marked: bool, way: Way) -> None:
        """Take note of a new letter."""
        looks = self.looks
        if not (looks.of == EVERY or looks.of == MARKED and marked or step in looks.steps):
            self.unseen.append(letter)
            return
        self._looked[letter] = 1
        if step in self._roles and looks.of != EVERY:
            self._several.add(letter)
            first = self._alike[letter] = self._first.setdefault((self._roles[step], way), letter)
            if first == letter and not looks.stretches:
                self._runs.append((bytes([letter, letter]), bytes([letter])))

    def seen(self, letters: bytes, again: Sequence[int]) -> bytes:
        """What these rules see of a run of letters; ``again``: the letters of steps that are done more than once."""
        if self.looks.latest and not self._several.isdisjoint(again):
            return AGAIN + letters.translate(None, self.unseen)
        found = letters.translate(self._alike, self.unseen)
        for twice, once in self._runs:
            while twice in found:
                found = found.replace(twice, once)
        return found

    def at(self, letters: bytes) -> Sequence[int]:
        """The places of the entries that these rules look at."""
        return compact(list(compress(range(len(letters)), letters.translate(self._looked))))

    def write(self, own: bytes, codes: bytearray) -> None:
        """Write the codes of these rules among those of all."""
        if len(own) == 1:
            codes[self.places[0]] = own[0]
            return
        for place, code in zip(self.places, own, strict=True):
            codes[place] = code

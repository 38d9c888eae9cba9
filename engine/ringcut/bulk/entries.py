"""The text of one entry read into its step and values; None where it is written in a way that is seldom seen.

Each text of a reading is read by ``relations.resolve``, once: what it refuses, or reads as more than one value, is
left to the audit of single logs.
"""

from __future__ import annotations

import json
from fractions import Fraction
from math import nan

import msgspec

from ringcut.bulk.cutting import HAND, STAMP
from ringcut.bulk.numbers import plain
from ringcut.language import ir
from ringcut.reading.phrase import Phrase
from ringcut.reading.problems import Problem
from ringcut.reading.raw import RawProcedure, RawReading, RawStep
from ringcut.reading.textbytes import text_of
from ringcut.relations.resolve import resolve
from ringcut.relations.spans import Span, Value

_TEXTS = ("do", "at", "side", "status", "reason", "note")
_SEVERAL = ("by", "evidence")
_TAKEN = ("done", "not-done", "not-recorded")


class Entry(msgspec.Struct):
    """What one entry says, besides its time."""

    step: str
    sides: tuple[str, ...]
    by: tuple[str, ...]
    status: str
    note: str
    readings: dict[tuple[str, str], Value]
    texts: dict[tuple[str, str], str]
    """(reading, side) -> the text it was read from."""
    numbers: tuple[float, ...] = ()
    """The readings that are compared with those of other entries; not a number, where one is no plain number."""
    meaning: int = 0
    """Stands for what a piece means in which the entry goes on, see ``chains``."""


class Entries:
    """Reads entries on a vocabulary. ``compared``: for each step the readings wanted as ``numbers``, with the side."""

    def __init__(self, book: ir.Rulebook, compared: dict[str, tuple[tuple[str, str], ...]]) -> None:
        self.book, self.compared = book, compared
        self._values: dict[tuple[str, str, str], Value | None] = {}

    def read(self, text: str) -> Entry | None:
        """The entry whose object has this text inside."""
        if text_of(text.replace(STAMP, "").replace(HAND, ""), "", []) is None:
            return None
        try:
            pairs = json.loads("{" + text + "}", object_pairs_hook=_Pairs)
        except (ValueError, RecursionError):
            return None
        if not isinstance(pairs, _Pairs):
            return None
        given = dict(pairs)
        if len(given) != len(pairs) or given.get("at") != STAMP or text.count(STAMP) != 1:
            return None
        by = given.get("by")
        if text.count(HAND) != (by == HAND) or isinstance(by, list) and HAND in by:
            return None
        name = given.get("do")
        step = self.book.steps.get(name) if isinstance(name, str) else None
        # the readings of a step that adds up are those of all its doings, so that none says anything by itself
        return None if step is None or step.again == "adds" else self._entry(step, given)

    def _entry(self, step: ir.Step, given: dict[str, object]) -> Entry | None:
        book = self.book
        for key in _TEXTS:
            if not isinstance(said := given.get(key, key), str) or not said:
                return None
        sides = (str(given["side"]),) if "side" in given else book.sides
        by, evidence = _several(given.get("by", ())), _several(given.get("evidence", ()))
        status = str(given.get("status", "done"))
        silent = status != "done" and "reason" not in given
        if sides[0] not in book.sides or by is None or evidence is None or status not in _TAKEN or silent:
            return None
        read = Entry(step.name, sides, by, status, str(given.get("note", "")), {}, {})
        for name, value in given.items():
            if name not in _TEXTS and name not in _SEVERAL and not self._reading(read, step, name, value):
                return None
        if status != "done":
            read.readings, read.texts = {}, {}
        wanted = self.compared.get(step.name, ())
        read.numbers = tuple([_number(read.readings.get(each)) for each in wanted])
        return read

    def _reading(self, read: Entry, step: ir.Step, name: str, given: object) -> bool:
        """Take a reading with one text, or with a text a side; whether it could be taken."""
        word = step.readings.get(name)
        if word is None:
            return False
        pairs: list[tuple[str, object]]
        if isinstance(given, str):
            pairs = [(side, given) for side in (read.sides if word.sided else ("",))]
        elif isinstance(given, _Pairs) and word.sided and given:
            pairs = [*given]
        else:
            return False
        for side, text in pairs:
            if not isinstance(text, str) or side and side not in self.book.sides or (name, side) in read.readings:
                return False
            value = self.value(step.name, name, text)
            if value is None:
                return False
            read.readings[name, side] = value
            read.texts[name, side] = text
        return True

    def value(self, step: str, name: str, text: str) -> Value | None:
        """What a text says as a reading of a step; None where it is refused or says more than that."""
        key = (step, name, text)
        if key not in self._values:
            self._values[key] = self._read(step, name, text)
        return self._values[key]

    def _read(self, step: str, name: str, text: str) -> Value | None:
        word = self.book.steps[step].readings[name]
        given = RawReading(Phrase(name), Phrase(text, plain=False))
        problems: list[Problem] = []
        read = resolve(RawProcedure("log", steps=(RawStep(Phrase(step), readings=(given,)),)), self.book, problems)
        if problems or not read.occurrences:
            return None
        found = read.occurrences[0].readings
        whose = self.book.sides if word.sided else ("",)
        if set(found) != {(name, side) for side in whose}:
            return None
        value = found[name, whose[0]]
        return None if isinstance(value, Span) and value.terms else value


class _Pairs(list[tuple[str, object]]):
    """The pairs of an object, apart from the items of an array."""


def _several(given: object) -> tuple[str, ...] | None:
    """One text or a list of texts; None for anything else."""
    items = (given,) if isinstance(given, str) else given
    if not isinstance(items, list | tuple) or isinstance(items, _Pairs):
        return None
    return tuple(items) if all(isinstance(item, str) and item for item in items) else None


def _number(value: Value | None) -> float:
    if isinstance(value, Span) and value.exact and not value.tolerance:
        return plain(float(value.low or Fraction(0)))
    return nan

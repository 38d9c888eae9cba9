"""What a log says around its steps: the facts of its job, and the keys that decide how its entries count.

Logs whose jobs give the same truth to every comparison of facts, and the same words, are of one ``kind``: rules see no
difference between them but the numbers that limits compare with readings.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from math import nan

from ringcut.bulk.cutting import Cut, with_reference
from ringcut.bulk.footprint import facts_in
from ringcut.bulk.numbers import plain
from ringcut.bulk.strips import Strip
from ringcut.bulk.vocabulary import Vocabulary
from ringcut.judge import cover
from ringcut.language import nodes as n
from ringcut.reading.problems import Problem, Unreadable
from ringcut.reading.procedurefile import read_jsonl_line
from ringcut.reading.raw import RawReading
from ringcut.reading.suggest import canonical
from ringcut.relations.evaluate import truth, value
from ringcut.relations.procedure import Procedure
from ringcut.relations.resolve import resolve
from ringcut.relations.spans import Missing, Span, Value
from ringcut.relations.view import View

_KEYS = {"records", "finished", "title", "says", "recorded-by"}
"""Keys of a log that leave its entries in the order of their times."""
_UNUSUAL = {"sides", "closures", "timezone", "closure"}
"""Facts of jobs that are left to the audit of single logs."""
_PLAIN = {"reference", "contractor", "district"}
"""Facts of every job that are any text, where a vocabulary does not say what they hold."""

MOST_HEADS = 10_000
"""Texts around the steps that are kept; jobs that differ in nothing that a rule sees are one frame anyway."""
Numbers = list[float]


class Frame:
    """The job of a log. ``numbers`` hold what the checks of its kind ask of the job, filled as they ask."""

    def __init__(self, procedure: Procedure, view: View, kind: tuple[object, ...], uncovered: bool) -> None:
        self.procedure, self.view, self.kind, self.uncovered = procedure, view, kind, uncovered
        self.numbers: Numbers = []

    def fill(self, wanted: Sequence[tuple[n.Node, str]]) -> Numbers:
        """The numbers of the job that checks use, by place; not a number, where one is none."""
        for node, side in wanted[len(self.numbers) :]:
            found = value(node, self.view, side)
            one = isinstance(found, Span) and found.exact and not found.terms and not found.tolerance
            self.numbers.append(plain(float(found.low or 0)) if one and isinstance(found, Span) else nan)
        return self.numbers


class Frames:
    """Reads frames on a rulebook, each text once."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        self.vocabulary, self.book = vocabulary, vocabulary.book
        self._some_step = next(iter(self.book.steps), "")
        self._known: dict[tuple[str, str, str], Frame | None] = {}
        self._alike: dict[tuple[object, ...], Frame] = {}
        self._seen = {*vocabulary.words, *vocabulary.numbers}
        self._by_month = "month" in self._seen
        self._asked = [(node, tuple(sorted(facts_in(node, self.book)))) for node in vocabulary.of_job]
        self._values: dict[Value, int] = {}
        self._truths: dict[tuple[int, str, tuple[tuple[int, ...], ...]], int] = {}
        texts = {word.name for word in self.book.facts.values() if word.kind == "text"}
        self._idle = (texts | _PLAIN - {*self.book.facts}) - self._seen
        """Facts that no rule sees and that cannot be wrong."""
        self._by_reference = "reference" not in self._idle

    def of(self, parts: Cut) -> Frame | None:
        """The frame of a line; None where it is left to the audit of single logs."""
        if self._by_reference:
            parts = parts._replace(head=with_reference(parts.head, parts.reference))
        key = (parts.head, parts.tail, parts.day[5:7] if self._by_month else "")
        if key not in self._known:
            if len(self._known) >= MOST_HEADS:
                self._known.clear()
            self._known[key] = self._read(parts)
        return self._known[key]

    def met(self, line: Strip) -> Frame | None:
        """The frame of a line that begins and ends so, if one was met."""
        head = with_reference(line.head, line.reference) if self._by_reference else line.head
        return self._known.get((head, line.tail, line.day[5:7] if self._by_month else ""))

    def forget(self) -> None:
        """Drop all frames."""
        self._known.clear()
        self._alike.clear()

    def __len__(self) -> int:
        return len(self._alike)

    def _read(self, parts: Cut) -> Frame | None:
        step = f'"steps":[{{"do":{json.dumps(self._some_step)}}}]'
        try:
            raw = read_jsonl_line((parts.head + step + parts.tail).encode(), "", 1)
        except Unreadable:
            return None
        facts = {canonical(fact.name.text) for fact in raw.job}
        idle = {canonical(fact.name.text) for fact in raw.job if fact.value is not None} & self._idle
        if raw.kind != "log" or len(raw.steps) != 1 or not set(raw.keys) <= _KEYS or facts & _UNUSUAL:
            return None
        day = parts.day
        said = tuple(_texts(fact) for fact in raw.job if canonical(fact.name.text) in self._seen)
        key = (
            said,
            day[5:7] if self._by_month else "",
            tuple((name, phrase.text) for name, phrase in raw.keys.items()),
        )
        if key in self._alike and facts <= self._seen | idle:
            return self._alike[key]
        problems: list[Problem] = []
        procedure = resolve(raw, self.book, problems)
        if not problems:
            problems += cover.impossible(procedure, self.book)
        if problems:
            return None
        procedure.occurrences, procedure.day = [], day
        return self._alike.setdefault(key, self._made(procedure))

    def _made(self, procedure: Procedure) -> Frame:
        view = View(procedure, self.book)
        uncovered = bool(cover.not_covered(view) or cover.unknown_cover(view))
        kind: list[object] = [procedure.milestones, procedure.finished, uncovered]
        sides = ("", *view.sides)
        facts = {name: tuple([self._number(view.fact(name, side)) for side in sides]) for name in self._seen}
        kind += [facts[name] for name in self.vocabulary.words]
        for name in self.vocabulary.numbers:
            exact = name in self.vocabulary.exact_facts
            kind.append(facts[name] if exact else tuple([isinstance(view.fact(name, side), Missing) for side in sides]))
        kind += [self._truth(place, view, side, facts) for side in sides for place in range(len(self._asked))]
        view.forget_facts()
        return Frame(procedure, view, tuple(kind), uncovered)

    def _number(self, found: Value) -> int:
        """A number that stands for a value."""
        return self._values.setdefault(found, len(self._values))

    def _truth(self, place: int, view: View, side: str, facts: dict[str, tuple[int, ...]]) -> int:
        """The level of a comparison of facts, found once for the values that it rests on, which may be of all sides."""
        node, names = self._asked[place]
        key = (place, side, tuple([facts[name] for name in names]))
        if key not in self._truths:
            self._truths[key] = int(truth(node, view, side).level)
        return self._truths[key]


def _texts(fact: RawReading) -> tuple[object, ...]:
    """All that a fact says, without its place."""
    values = [
        ("", fact.value),
        *((side.text, value) for side, value in fact.sides),
        *(("", each) for each in fact.items),
    ]
    return (fact.name.text, fact.is_list, *((side, each.text, each.plain) for side, each in values if each is not None))

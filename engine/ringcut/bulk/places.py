"""Where the values of a comparison stand among the entries that a rule looks at, as texts and as an environment."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import nan
from typing import TypeVar

from ringcut.bulk.entries import Entry
from ringcut.bulk.footprint import Unit, facts_in, is_number, readings_in
from ringcut.bulk.letters import read_of
from ringcut.bulk.numbers import NotThere, plain, size_of, text_of
from ringcut.bulk.seen import Seen
from ringcut.bulk.vocabulary import Vocabulary
from ringcut.forms.pattern import Measured, disagrees
from ringcut.language import nodes as n
from ringcut.relations.evaluate import truth, value
from ringcut.relations.spans import Missing, Span, Value
from ringcut.relations.truth import Cause, Truth
from ringcut.relations.view import View, assumed

N = TypeVar("N", int, float)
Key = tuple[str, str]
"""(reading, side)"""
Where = dict[tuple[str, str], int]
"""(step, side) -> which of the entries that the rule looks at."""
MOST_KNOWN = 1000
"""Outcomes of one comparison, and values of one look-up, that are kept."""
Wanted = list[tuple[n.Node, str]]
"""Numbers of the job, by their place in ``Frame.numbers``."""


class Places:
    """The places of the values of one comparison after another; ``where`` says which entries are meant."""

    def __init__(
        self, vocabulary: Vocabulary, wanted: Wanted, seen: Seen, at: Sequence[int], numbers: Iterator[int]
    ) -> None:
        self.vocabulary, self.book, self.wanted = vocabulary, vocabulary.book, wanted
        self.seen, self.at, self.view = seen, at, seen.frame.view
        self.where: Where = {}
        self.called = numbers
        self.names: dict[str, object] = {}
        """What the texts name."""
        self.looked: set[int] = set()
        """Which entries the texts look at."""

    def text(self, node: n.Node, side: str) -> str:
        """A number as an expression. Raises NotThere."""
        return text_of(node, side, self, lambda each: bool(readings_in(each, self.book)))

    def size(self, node: n.Node, side: str) -> str:
        """How large that number could be, as an expression. Raises NotThere."""
        return size_of(node, side, self, lambda each: bool(readings_in(each, self.book)))

    def number(self, step: str, name: str, side: str) -> str:
        """The number of a reading, found as ``relations.view.reading_of`` finds it. Raises NotThere."""
        k = self._entry(step, side)
        key = self._key(k, step, name, side)
        if key is None:
            return _constant(assumed(self.book.steps[step].readings[name]))
        return f"e[«{k}»].numbers[{self.vocabulary.compared[step].index(key)}]"

    def entry(self, k: int) -> Entry:
        """The k-th entry that the rule looks at, in one of the logs."""
        return self.seen.entries[self.at[k]]

    def _entry(self, step: str, side: str) -> int:
        k = self.where.get((step, side), self.where.get((step, "")))
        if k is None:
            raise NotThere
        self.looked.add(k)
        return k

    def _key(self, k: int, step: str, name: str, side: str) -> tuple[str, str] | None:
        """Under which side a reading stands in its entry; None: it is assumed. Raises NotThere."""
        entry, word = self.entry(k), self.book.steps[step].readings[name]
        sides = [side, ""] if side or not word.sided else ["", entry.sides[0]]
        key = next(((name, each) for each in sides if (name, each) in entry.readings), None)
        if key is None and not word.otherwise:
            raise NotThere
        return key

    def of_job(self, node: n.Node, side: str) -> str:
        """A number of the job, by its place in the frame. Raises NotThere where no job of this kind gives the fact.

        What is made of several facts, as a look-up, may be there in one job of a kind and not in another.
        """
        given = isinstance(node, n.Fact) and self.book.facts[node.name].means is None
        if given and isinstance(value(node, self.view, side), Missing):
            raise NotThere
        if (node, side) not in self.wanted:
            self.wanted.append((node, side))
        return f"q[{self.wanted.index((node, side))}]"

    def cell(self, node: n.Lookup, side: str) -> str:
        """A look-up by a reading: found exactly for each text of the reading, and remembered."""
        asked = sorted(readings_in(node, self.book))
        numbers = any(is_number(self.book.facts[name]) for name in facts_in(node, self.book))
        if len(asked) != 1 or numbers:
            return "nan"
        step, name = asked[0]
        k = self._entry(step, side)
        key = self._key(k, step, name, side)
        where, known = {(step, side): 0}, dict[object, float]()

        def cell(entry: Entry, view: View) -> float:
            found = value(node, Chosen(view, where, [entry]), side)
            exact = isinstance(found, Span) and found.exact and not found.tolerance
            number = plain(float(found.low or 0)) if exact and isinstance(found, Span) else nan
            return _kept(known, entry.texts[key] if key else None, number)

        return self._remembered("cell", cell, known, [(k, key)] if key else [], ["None"] * (not key), f"e[«{k}»]")

    def exact(self, unit: Unit, side: str) -> str:
        """A comparison judged by ``relations.evaluate``: 10 and the level."""
        where, by_job = dict(self.where), any(is_number(self.book.facts[name]) for name in unit.facts)
        read = sorted({(k, step) for (step, _), k in where.items() if any(step == each for each, _ in unit.readings)})
        keys = [(k, key) for k, step in read for key in self.entry(k).texts if (step, key[0]) in unit.readings]
        known: dict[object, int] = {}

        def exact(entries: Sequence[Entry], at: Sequence[int], view: View) -> int:
            own = Chosen(view, where, [entries[place] for place in at])
            key = ((view,) if by_job else ()) + tuple([entries[at[k]].texts[each] for k, each in keys])
            return _kept(known, key[0] if len(key) == 1 else key, 10 + int(truth(unit.node, own, side).level))

        return self._remembered("exact", exact, known, keys, ["view"] * by_job, "e, at")

    def disagrees(self, pair: Measured) -> str:
        """Whether a measured and a computed value disagree, by the look's own words: 10, or 11 where they do."""
        where, called = dict(self.where), f"exact{next(self.called)}"
        self.looked |= set(where.values())

        def exact(entries: Sequence[Entry], at: Sequence[int], view: View) -> int:
            return 10 + disagrees(pair, Chosen(view, where, [entries[place] for place in at]))

        self.names[called] = exact
        return f"{called}(e, at, view)"

    def _remembered(
        self, name: str, found: object, known: object, keys: Sequence[tuple[int, Key]], also: Sequence[str], of: str
    ) -> str:
        """The text that looks for what is known by the texts of readings, and otherwise calls ``found``."""
        number = next(self.called)
        self.looked |= set(self.where.values())
        self.names |= {f"{name}{number}": found, f"known{number}": known}
        texts = list(also)
        for place, (k, key) in enumerate(keys):
            self.names[f"key{number}_{place}"] = key
            texts.append(f"e[«{k}»].texts[key{number}_{place}]")
        sought = texts[0] if len(texts) == 1 else f"({', '.join(texts)})"
        return f"(known{number}.get({sought}) or {name}{number}({of}, view))"


class Chosen:
    """An environment with the entries that a rule looks at."""

    def __init__(self, view: View, where: Where, entries: Sequence[Entry]) -> None:
        self.view, self.where, self.entries = view, where, entries
        self.sides, self.level, self.fact, self.cell = view.sides, view.level, view.fact, view.cell

    def reading(self, step: str, name: str, side: str) -> Value:
        """The reading of the entry chosen for that step and side."""
        k = self.where.get((step, side), self.where.get((step, "")))
        if k is None:
            return Missing(Cause("absent", step, side))
        return read_of(self.view, self.entries[k], name, side)

    def condition(self, name: str, side: str) -> Truth:
        """Comparisons hold no conditions."""
        raise NotImplementedError(name)


def _kept(known: dict[object, N], key: object, found: N) -> N:
    """A value, kept for its key."""
    if len(known) > MOST_KNOWN:
        known.clear()
    known[key] = found
    return found


def _constant(found: Value) -> str:
    return repr(plain(float(found.low or 0))) if isinstance(found, Span) and found.exact else "nan"

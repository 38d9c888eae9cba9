"""Verdicts of many orders of one plan given as graphs: a rule is judged again only where the order among its own steps
is new.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import msgspec

from ringcut.correct.graph import Graph, Waiting
from ringcut.correct.relevance import Relevance
from ringcut.correct.verdicts import JUDGED, Verdicts
from ringcut.reading.problems import Place
from ringcut.relations.conditions import Conditions
from ringcut.relations.order import bits
from ringcut.relations.procedure import Procedure
from ringcut.relations.view import View

NO_SUCCESSOR = "no-successor"
"""The rule about steps that come before nothing. The graph alone decides it, whatever the rulebook looks at."""
Key = tuple[object, ...]
LOOKED_AT = 20
"""What it costs to look at an order, in the units of other searches."""


class GraphVerdicts:
    """What the rules say of the orders of one plan. An order in which steps wait for each other breaks everything."""

    def __init__(self, verdicts: Verdicts) -> None:
        self.verdicts = verdicts
        self._known: dict[Key, bool] = {}
        self._looking: dict[Key, _Looking] = {}

    def broken(self, graph: Graph) -> list[str]:
        """The rules that an order does not conform to, in the order of the rulebook."""
        found = set(self.one_by_one(graph, self.verdicts.about))
        return [name for name in (*self.verdicts.about, NO_SUCCESSOR) if name in found]

    def holds(self, graph: Graph) -> bool:
        """Whether nothing is broken."""
        return next(self.one_by_one(graph, self.verdicts.about), None) is None

    def one_by_one(self, graph: Graph, rules: Iterable[str]) -> Iterator[str]:
        """The broken rules, each as soon as it is known, those about time last."""
        try:
            before = graph.before()
        except Waiting:
            yield from self.verdicts.about
            return
        self.verdicts.effort.spend(LOOKED_AT)
        if graph.lost():
            yield NO_SUCCESSOR
        look, optional = self._look(graph), graph.optional()
        about = self.verdicts.about
        for name in sorted((name for name in rules if name in about), key=lambda name: about[name].timed):
            if any(self._is_broken(graph, name, closure, look, before, optional) for closure in self.verdicts.closures):
                yield name

    def _look(self, graph: Graph) -> _Looking:
        key = (graph.present, tuple(graph.steps[at].place for at in graph.steps if not graph.steps[at].place.line))
        if key not in self._looking:
            self._looking[key] = _Looking(self.verdicts, graph)
        return self._looking[key]

    def _is_broken(
        self, graph: Graph, name: str, closure: str, look: _Looking, before: list[int], optional: int
    ) -> bool:
        steps = look.at(self.verdicts.about[name], closure)
        there = look.members(steps)
        key = (name, closure, steps, optional & steps, look.added(steps), tuple([before[at] & steps for at in there]))
        if key not in self._known:
            self.verdicts.effort.spend(JUDGED)
            view = View(look.procedure(graph, steps, before), self.verdicts.book, closure)
            self._known[key] = self.verdicts.is_broken(name, view, Conditions(view))
        return self._known[key]


class _Looking:
    """Which steps of an order a rule looks at."""

    def __init__(self, verdicts: Verdicts, graph: Graph) -> None:
        self.verdicts = verdicts
        self.new = [(at, graph.steps[at]) for at in bits(graph.present) if not graph.steps[at].place.line]
        self._at: dict[tuple[frozenset[str], str], int] = {}
        self._members: dict[int, tuple[int, ...]] = {}
        self.by_name: dict[str, int] = {}
        self.seen = dict.fromkeys(verdicts.closures, 0)
        for at in bits(graph.present):
            step = graph.steps[at]
            name = verdicts.name_of(step)
            self.by_name[name] = self.by_name.get(name, 0) | 1 << at
            for closure in verdicts.closures:
                self.seen[closure] |= verdicts.is_seen(step, closure) << at

    def at(self, about: Relevance, closure: str) -> int:
        """The steps that a rule looks at in a closure, as a bitset."""
        if about.timed:
            return self.seen[closure]
        if (about.steps, closure) not in self._at:
            found = 0
            for name in about.steps:
                found |= self.by_name.get(name, 0)
            self._at[about.steps, closure] = found & self.seen[closure]
        return self._at[about.steps, closure]

    def members(self, steps: int) -> tuple[int, ...]:
        """The members of a bitset."""
        if steps not in self._members:
            self._members[steps] = tuple(bits(steps))
        return self._members[steps]

    def added(self, steps: int) -> tuple[Place, ...]:
        """What tells added steps apart: others have a number of their own."""
        return tuple([step.place for at, step in self.new if steps >> at & 1])

    def procedure(self, graph: Graph, steps: int, before: list[int]) -> Procedure:
        """The steps alone, in the order that they have among each other."""
        line = sorted(bits(steps), key=lambda at: ((before[at] & steps).bit_count(), at))
        edges = []
        for number, at in enumerate(line):
            rest = before[at] & steps
            for earlier in range(number - 1, -1, -1):
                if not rest:
                    break
                if rest >> line[earlier] & 1:
                    edges.append((earlier, number))
                    rest &= ~(before[line[earlier]] | 1 << line[earlier])
        occurrences = [self.verdicts.occurrence(graph.steps[at], number) for number, at in enumerate(line)]
        return msgspec.structs.replace(self.verdicts.base, occurrences=occurrences, edges=edges)

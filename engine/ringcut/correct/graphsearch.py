"""The fewest edits of a plan whose order is a graph: steps put elsewhere, added, or made to wait for others.

Iterative deepening as in ``search``. A step that is put elsewhere or added changes nothing among the others, so it can
only mend rules that look at it. A step that is made to wait changes what comes after it too, so every step is tried. An
order that demands more breaks nothing that one which demands less keeps, save rules about time: so each step is tried
where it waits for as much, and is waited for by as much, as its place allows.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Set
from typing import Literal

import msgspec

from ringcut.correct.edits import demanded
from ringcut.correct.effort import BudgetEnded
from ringcut.correct.graph import Gap, Graph
from ringcut.correct.graphverdicts import NO_SUCCESSOR, GraphVerdicts
from ringcut.reading.raw import RawStep
from ringcut.relations.order import bits

Kind = Literal["move", "add", "wait", "demand"]


class Placing(msgspec.Struct, frozen=True):
    """A step put elsewhere, added, or made to wait for others; ``at``: its number in the graph."""

    kind: Kind
    at: int
    step: RawStep
    mends: tuple[str, ...] = ()


class Ordering(msgspec.Struct, frozen=True):
    """An order and the edits that lead to it."""

    graph: Graph
    edits: tuple[Placing, ...] = ()

    def then(self, kind: Kind, at: int, graph: Graph, mends: list[str]) -> Ordering:
        """The order after one edit more."""
        return Ordering(graph, (*self.edits, Placing(kind, at, graph.steps[at], tuple(mends))))


StepsFor = Callable[[str, int], list[RawStep]]
"""The steps to add under a name, where so many are added already: one for each closure."""


class GraphSearch:
    """A search from one plan; ``usual``: the names of steps that are added first."""

    def __init__(self, verdicts: GraphVerdicts, steps_for: StepsFor, usual: Set[str] = frozenset()) -> None:
        self.verdicts, self.steps_for, self.usual = verdicts, steps_for, usual
        self._seen: dict[tuple[object, ...], int] = {}

    def within(self, graph: Graph, edits: int) -> Iterator[Ordering]:
        """Orders with at most so many edits that break nothing; :class:`BudgetEnded` where not all were looked at."""
        self._seen = {}
        yield from self._below(Ordering(graph), edits)

    def _below(self, found: Ordering, left: int) -> Iterator[Ordering]:
        broken = self.verdicts.broken(found.graph)
        if not broken:
            yield found
        elif left == 1:
            for kind, at, graph in self._candidates(found, broken, 1):
                still = not self._is_new(graph, 0) or any(self.verdicts.one_by_one(graph, broken))
                if not still and self.verdicts.holds(graph):
                    yield found.then(kind, at, graph, broken)
        elif left:
            for child in self._promising(found, broken, left):
                yield from self._below(child, left - 1)

    def _promising(self, found: Ordering, broken: list[str], left: int) -> Iterator[Ordering]:
        """What one edit makes, the most promising first: what mends is then found long before all is looked at."""
        children: dict[int, list[Ordering]] = {}
        for kind, at, graph in self._candidates(found, broken, left):
            if self._is_new(graph, left - 1):
                still = set(self.verdicts.one_by_one(graph, broken))
                mended = [rule for rule in broken if rule not in still]
                children.setdefault(len(mended), []).append(found.then(kind, at, graph, mended))
        for mends in sorted(children, reverse=True):
            if mends:
                children[mends].sort(key=lambda child: len(self.verdicts.broken(child.graph)))
            yield from children[mends]

    def _is_new(self, graph: Graph, left: int) -> bool:
        """Whether an order can be and was not looked at with as many edits left."""
        steps = tuple((step.place, step.optional is None) for step in graph.steps.values())
        key = (graph.waits, graph.present, steps)
        if self._seen.get(key, -1) >= left:
            return False
        self._seen[key] = left
        self.verdicts.verdicts.effort.spend()
        return not graph.is_circle()

    def _candidates(self, found: Ordering, broken: list[str], left: int) -> Iterator[tuple[Kind, int, Graph]]:
        graph = found.graph
        moved, added = self._steps(broken, left)
        for at in self._nearest(graph, broken):
            if moved is None or self._name(graph, at) in moved:
                without = graph.without(at)
                for gap in without.gaps():
                    yield "move", at, without.put(at, gap)
        for at in bits(graph.present):
            if graph.steps[at].optional is not None:
                yield "demand", at, graph.with_other(at, demanded(graph.steps[at]))
        for at in bits(graph.present):
            yield "wait", at, graph.waiting(at, graph.free_to_precede(at))
        names = [edit.step.do.text for edit in found.edits if edit.kind == "add"]
        for name in sorted(added, key=lambda each: (each not in self.usual, each)):
            for step in self.steps_for(name, names.count(name)):
                new = graph.with_step(step)
                for gap in graph.gaps():
                    yield "add", len(graph.waits), new.put(len(graph.waits), gap)

    def _nearest(self, graph: Graph, broken: list[str]) -> list[int]:
        """The steps, those first that broken rules look at."""
        lost = graph.lost()
        looked_at = {
            name for rule in broken if rule != NO_SUCCESSOR for name in self.verdicts.verdicts.about[rule].steps
        }
        return sorted(
            bits(graph.present), key=lambda at: (not lost >> at & 1, self._name(graph, at) not in looked_at, at)
        )

    def _name(self, graph: Graph, at: int) -> str:
        return self.verdicts.verdicts.name_of(graph.steps[at])

    def _steps(self, broken: list[str], left: int) -> tuple[frozenset[str] | None, frozenset[str]]:
        """Names of steps to move (None: all) and to add: those of one broken rule, with one edit left those of all."""
        about = [self.verdicts.verdicts.about[name] for name in broken if name != NO_SUCCESSOR]
        plain = [each for each in about if not each.timed]
        if not about:
            return None, frozenset()
        if left == 1:
            moved = frozenset.intersection(*(each.steps for each in plain)) if plain else None
            return moved, frozenset.intersection(*(each.addable for each in about))
        hardest = min(about, key=lambda each: (each.timed, len(each.steps)))
        return None if hardest.timed else hardest.steps, hardest.addable

    def greedy(self, graph: Graph) -> tuple[Ordering, list[str]]:
        """Not proved smallest: the edit that leaves least broken, again and again; and what is broken in the end.

        Every edit is taken from a broken rule; where none for it leaves less broken the next one is tried.
        """
        found, self._seen = Ordering(graph), {}
        with self.verdicts.verdicts.effort.besides(self.verdicts.verdicts.effort.most):
            broken = self.verdicts.broken(graph)
        try:
            while broken:
                better = self._better(found, broken)
                if better is None:
                    break
                found, broken = better
        except BudgetEnded:
            pass
        return found, broken

    def _better(self, found: Ordering, broken: list[str]) -> tuple[Ordering, list[str]] | None:
        for rule in [broken, *([each] for each in broken)]:
            best: tuple[Ordering, list[str]] | None = None
            for child in self._promising(found, rule, 2):
                left = self.verdicts.broken(child.graph)
                if best is None or len(left) < len(best[1]):
                    best = (child, left)
                if len(best[1]) < len(broken):
                    return best
            self._seen = {}
        return None

    def fewer(self, original: Graph, found: Ordering, broken: list[str]) -> Ordering:
        """The order without the edits that it can do without, as far as the budget allows."""
        try:
            while (fewer := self._one_taken_back(original, found, broken)) is not None:
                found = fewer
        except BudgetEnded:
            pass
        return found

    def _one_taken_back(self, original: Graph, found: Ordering, broken: list[str]) -> Ordering | None:
        for edit in reversed(found.edits):
            graph = _taken_back(edit, original, found.graph)
            if not graph.is_circle() and set(self.verdicts.broken(graph)) <= set(broken):
                return Ordering(graph, tuple(each for each in found.edits if each is not edit))
        return None


def _taken_back(edit: Placing, original: Graph, graph: Graph) -> Graph:
    """An order with one step where and as it was; steps that were put beside it since stay there."""
    at = edit.at
    if edit.kind == "add":
        return graph.without(at)
    if edit.kind == "demand":
        return graph.with_other(at, original.steps[at])
    if edit.kind == "wait":
        new = graph.waits[at] & ~original.present
        return graph.waiting(at, original.waits[at] | new)
    without = graph.without(at)
    behind = sum(1 << number for number, mask in enumerate(original.waits) if mask >> at & 1)
    put = without.put(at, Gap(original.waits[at], behind))
    return put if not original.ends >> at & 1 else msgspec.structs.replace(put, ends=put.ends | 1 << at)

"""Where corrections of the order come from: from the list, or from the graph where steps carry ``after``."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import msgspec

from ringcut.correct.climbing import UPWARDS, Climber
from ringcut.correct.edits import Add, Edit, Move, bare, is_plain
from ringcut.correct.graph import Gap, Graph, Labels, graph_of
from ringcut.correct.graphsearch import GraphSearch, Ordering, Placing
from ringcut.correct.graphverdicts import GraphVerdicts
from ringcut.correct.placing import Pairs, natural
from ringcut.correct.search import Search, Version, signature
from ringcut.correct.seats import edits_of
from ringcut.correct.verdicts import Verdicts
from ringcut.correct.weaving import Weaver
from ringcut.draft.models import Items
from ringcut.reading.problems import NOWHERE, Place
from ringcut.reading.raw import RawStep
from ringcut.relations.order import bits

FINISHING = 50_000
"""Looks at what was found, whatever is left of the budget."""
StepsFor = Callable[[str], list[RawStep]]


class Found(msgspec.Struct, frozen=True):
    """A version of a plan, what rules about order, presence, conditions or time still refuse, and the edits to it."""

    items: Items
    edits: tuple[Edit, ...] = ()
    placings: tuple[Placing, ...] = ()
    """In a graph: what the edits of the text are for."""
    ordering: Ordering | None = None
    others: int = 0
    """Steps that are written differently without being meant."""
    broken: tuple[str, ...] = ()
    """The rules that are still broken in it."""

    @property
    def count(self) -> int:
        """How many edits a person would count."""
        return len(self.placings or self.edits)

    @property
    def moved(self) -> int:
        """Steps whose place in the order is another."""
        if self.placings:
            return sum(edit.kind in ("move", "wait") for edit in self.placings)
        return sum(isinstance(edit, Move) for edit in self.edits)

    @property
    def added(self) -> tuple[RawStep, ...]:
        """Steps that were not there."""
        return tuple(edit.step for edit in self.edits if isinstance(edit, Add))

    @property
    def far(self) -> int:
        """How far steps are moved in the list."""
        return sum(abs(edit.start[0] - edit.end[0]) for edit in self.edits if isinstance(edit, Move))


class ListFinder:
    """Corrections of a plan whose order is that of its list."""

    def __init__(
        self,
        verdicts: Verdicts,
        items: Items,
        steps: StepsFor,
        model: list[RawStep],
        elsewhere: Pairs = frozenset(),
    ) -> None:
        self.verdicts, self.items, self.steps, self.model = verdicts, items, steps, model
        self.usual = _pairs(verdicts, model) | elsewhere
        self.search = Search(verdicts, steps, {verdicts.name_of(step) for step in model})

    def broken(self) -> tuple[str, ...]:
        """The rules that are broken as it is."""
        return tuple(self.verdicts.broken(self.items))

    def at_least(self) -> int:
        """How many edits are needed at least."""
        return self.search.at_least(self.items)

    def within(self, edits: int) -> Iterator[Found]:
        """Corrections of so many edits."""
        for version in self.search.within(self.items, edits):
            yield Found(version.items, version.edits)

    def is_taken(self, found: Found) -> None:
        """One is known: other places for the same edits are not looked at."""
        self.search.done.add(signature(found.edits))

    def soon(self) -> Found:
        """A correction that is found soon, not proved smallest; what nothing mends is still broken in it."""
        with self.verdicts.effort.besides(FINISHING):
            climber = Climber(self.verdicts, self.items, self.steps, self.model)
        climbed = climber.climb()
        made = edits_of(self.items, climbed.version)
        with self.verdicts.effort.besides(FINISHING):
            if made is None:
                return Found(self.items, broken=self.broken())
            items, edits = made
            return Found(items, edits, broken=tuple(self.verdicts.broken(items)))

    def nicer(self, found: Found) -> Found:
        """The same with steps where they usually stand."""
        version = natural(Version(found.items, found.edits), self.items, self.verdicts, self.usual, found.broken)
        return msgspec.structs.replace(found, items=version.items, edits=version.edits)


class GraphFinder:
    """Corrections of a plan in which steps carry ``after``."""

    def __init__(
        self,
        verdicts: Verdicts,
        items: Items,
        steps: StepsFor,
        model: list[RawStep],
        elsewhere: Pairs = frozenset(),
    ) -> None:
        self.steps, self.usual = steps, _pairs(verdicts, model) | elsewhere
        self.verdicts = GraphVerdicts(verdicts)
        labels, numbers = Labels(items, verdicts.named), dict[Place, int]()
        self.graph: Graph = graph_of(items, numbers, labels)
        self.weaver = Weaver(items, numbers, labels, self.verdicts.holds, self.usual)
        self.search = GraphSearch(self.verdicts, self._steps, {verdicts.name_of(step) for step in model})
        self._serial: dict[tuple[str, int], int] = {}

    def _steps(self, name: str, there: int) -> list[RawStep]:
        """Each with a place of its own, by which it is known; the same for the same step."""
        found = []
        for step in self.steps(name):
            key = (repr(bare((step,))), there)
            serial = self._serial.setdefault(key, len(self._serial) + 1)
            found.append(msgspec.structs.replace(step, place=msgspec.structs.replace(NOWHERE, column=serial)))
        return found

    def broken(self) -> tuple[str, ...]:
        """The rules that are broken as it is."""
        return tuple(self.verdicts.broken(self.graph))

    def at_least(self) -> int:
        """How many edits are needed at least: one that makes a step wait may mend whatever comes after it."""
        return 0 if self.verdicts.holds(self.graph) else 1

    def within(self, edits: int) -> Iterator[Found]:
        """Corrections of so many edits."""
        for ordering in self.search.within(self.graph, edits):
            yield self._found(ordering)

    def _found(self, ordering: Ordering) -> Found:
        woven = self.weaver.woven(ordering)
        return Found(woven.items, woven.edits, woven.placings, ordering, woven.others)

    def is_taken(self, found: Found) -> None:
        """One is known."""

    def soon(self) -> Found:
        """A correction that is found soon, not proved smallest; what nothing mends is still broken in it."""
        effort = self.verdicts.verdicts.effort
        with effort.no_more_than(int(effort.left * UPWARDS)):
            ordering, broken = self.search.greedy(self.graph)
        ordering = self.search.fewer(self.graph, ordering, broken)
        with self.verdicts.verdicts.effort.besides(FINISHING):
            return msgspec.structs.replace(self._found(ordering), broken=tuple(broken))

    def nicer(self, found: Found) -> Found:
        """The same with steps where they usually stand."""
        ordering = found.ordering
        for placing in found.placings if ordering else ():
            if placing.kind in ("move", "add") and ordering is not None:
                graph = self._usual_place(ordering.graph, placing)
                ordering = msgspec.structs.replace(ordering, graph=graph)
        return found if ordering is None else self._found(ordering)

    def _usual_place(self, graph: Graph, placing: Placing) -> Graph:
        """The order with a step between those that it has beside it in the model, where that holds too."""
        without = graph.without(placing.at)
        before = without.before()
        ranked = []
        for number, gap in enumerate(without.gaps()):
            beside = self._beside(without, before, gap, placing.step)
            if beside:
                ranked.append((-beside, number, without.put(placing.at, gap)))
        return next((put for _, _, put in sorted(ranked, key=lambda each: each[:2]) if self.verdicts.holds(put)), graph)

    def _beside(self, graph: Graph, before: list[int], gap: Gap, step: RawStep) -> int:
        name = self.verdicts.verdicts.name_of
        last, first = gap.earlier, gap.later
        for at in bits(gap.earlier):
            last &= ~before[at]
        for at in bits(gap.later):
            first &= ~(1 << at) if before[at] & gap.later else -1
        pairs = [(name(graph.steps[at]), name(step)) for at in bits(last)]
        pairs += [(name(step), name(graph.steps[at])) for at in bits(first)]
        return sum(pair in self.usual for pair in pairs)


def finder(
    verdicts: Verdicts, items: Items, steps: StepsFor, model: list[RawStep], elsewhere: Pairs = frozenset()
) -> ListFinder | GraphFinder:
    """What finds corrections of a plan; ``model``: the steps of the model procedure of its job.

    ``elsewhere``: neighbors of steps that this model has not.
    """
    kind = ListFinder if is_plain(items) else GraphFinder
    return kind(verdicts, items, steps, model, elsewhere)


def _pairs(verdicts: Verdicts, model: list[RawStep]) -> set[tuple[str, str]]:
    names = [verdicts.name_of(step) for step in model]
    return set(zip(names, names[1:], strict=False))

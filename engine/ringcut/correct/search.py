"""The fewest moves and additions after which no rule about order, presence, conditions or time is broken.

Iterative deepening. A broken rule can only be mended by a step that it looks at, so each edit is taken from one broken
rule; broken rules that share no step need an edit each, which bounds how many are needed at least. Within one depth the
search is complete: what is found at the first depth that has anything is smallest, unless the budget ended before.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Set
from functools import cached_property

import msgspec

from ringcut.correct.edits import (
    Add,
    Demand,
    Edit,
    Move,
    Path,
    demanded,
    exchanged,
    leaves,
    places,
    put_in,
    taken_out,
)
from ringcut.correct.verdicts import Key, Verdicts
from ringcut.draft.models import Items
from ringcut.reading.raw import RawStep


class Version(msgspec.Struct, frozen=True):
    """A version of the plan and the edits that lead to it."""

    items: Items
    edits: tuple[Edit, ...] = ()


Signature = frozenset[tuple[str, RawStep]]
"""Which steps are moved and which added, wherever to."""


def signature(edits: Iterable[Edit]) -> Signature:
    """What some edits do, without the places."""
    return frozenset((type(edit).__name__, edit.step) for edit in edits)


class Search:
    """A search from one plan. ``steps_for`` gives the steps to add under a name; ``usual``: the names added first."""

    def __init__(
        self, verdicts: Verdicts, steps_for: Callable[[str], list[RawStep]], usual: Set[str] = frozenset()
    ) -> None:
        self.verdicts, self.steps_for, self.usual = verdicts, steps_for, usual
        self.done: set[Signature] = set()
        """Edits for which a place is known that mends: other places for them are not looked at."""
        self._seen: dict[Key, int] = {}

    def within(self, items: Items, edits: int) -> Iterator[Version]:
        """Versions with at most so many edits that break nothing, each order of steps once.

        Every choice of steps to move and to add that mends comes at one place at least.
        :class:`BudgetEnded` where not all could be looked at.
        """
        self._seen = {}
        yield from self._below(Version(items), edits)

    def at_least(self, items: Items) -> int:
        """How many edits are needed at least."""
        return len(self._apart(self.verdicts.broken(items), items))

    def _below(self, version: Version, left: int) -> Iterator[Version]:
        if not left:
            if self.verdicts.holds(version.items):
                yield version
            return
        broken = self.verdicts.broken(version.items)
        if not broken:
            yield version
            return
        if len(self._apart(broken, version.items)) > left:
            return
        children: list[tuple[int, Version]] = []
        for edit, items in self._candidates(version, broken, left):
            edits = (*version.edits, edit)
            if left == 1 and self.done and signature(edits) in self.done:
                continue
            key = self.verdicts.identity(items)
            if self._seen.get(key, -1) >= left - 1:
                continue
            self._seen[key] = left - 1
            if self._hopeless(items, left - 1):
                continue
            if left == 1:
                yield from self._below(Version(items, edits), 0)
            else:
                children.append((len(self.verdicts.broken(items)), Version(items, edits)))
        # The most promising first: what mends is then found long before all is looked at.
        for _, child in sorted(children, key=lambda each: each[0]):
            yield from self._below(child, left - 1)

    def _candidates(self, version: Version, broken: list[str], left: int) -> Iterator[tuple[Edit, Items]]:
        """Edits of steps that the hardest broken rule looks at; with one edit left, that all of them look at."""
        moved, added = self._steps(broken, left)
        found = leaves(version.items)
        for path, step in found:
            name = self.verdicts.name_of(step)
            if step.optional is not None and (name in moved or name in added):
                yield Demand(demanded(step), path), exchanged(version.items, path, demanded(step))
            if name in moved:
                yield from self._moves(version.items, path, step)
        for name in sorted(added, key=lambda each: (each not in self.usual, each)):
            for new in self.steps_for(name):
                for place in places(version.items):
                    yield Add(new, place), put_in(version.items, place, new)

    def _steps(self, broken: list[str], left: int) -> tuple[frozenset[str], frozenset[str]]:
        about = [self.verdicts.about[name] for name in broken]
        plain = [each for each in about if not each.timed]
        if left == 1:
            moved = frozenset.intersection(*(e.steps for e in plain)) if plain else self._all
            added = frozenset.intersection(*(e.addable for e in about))
            return moved, added
        hardest = min(about, key=lambda each: (each.timed, len(each.steps)))
        return (self._all if hardest.timed else hardest.steps), hardest.addable

    @cached_property
    def _all(self) -> frozenset[str]:
        return frozenset(self.verdicts.book.steps)

    def _moves(self, items: Items, path: Path, step: RawStep) -> Iterator[tuple[Edit, Items]]:
        without = taken_out(items, path)
        for place in places(without):
            moved = put_in(without, place, step)
            if moved != items:
                yield Move(step, path, place), moved

    def _hopeless(self, items: Items, left: int) -> bool:
        """Whether it shows early that more edits are needed than are left."""
        there = self._there(items)
        common: frozenset[str] | None = None
        broken: list[str] = []
        used: set[tuple[str, str]] = set()
        apart = 0
        for name in self.verdicts.one_by_one(items):
            about = self.verdicts.about[name]
            if not left:
                return True
            if about.timed:
                continue
            broken.append(name)
            common = about.steps if common is None else common & about.steps
            mending = self._mending(name, there)
            if not mending & used:
                apart, used = apart + 1, used | mending
            if (left == 1 and not common) or apart > left:
                return True
        return len(self._apart(broken, items)) > left

    def _there(self, items: Items) -> set[str]:
        return {self.verdicts.name_of(step) for _, step in leaves(items)}

    def _apart(self, broken: Iterable[str], items: Items) -> list[str]:
        """Broken rules no two of which one edit can mend: each needs an edit of its own."""
        there = self._there(items)
        chosen: list[str] = []
        used: set[tuple[str, str]] = set()
        wanted = [(self._mending(name, there), name) for name in broken if not self.verdicts.about[name].timed]
        for mending, name in sorted(wanted, key=lambda pair: (len(pair[0]), pair[1])):
            if not mending & used:
                chosen.append(name)
                used |= mending
        return chosen or list(broken)[:1]

    def _mending(self, name: str, there: Set[str]) -> frozenset[tuple[str, str]]:
        """The edits, by kind and step, without one of which a broken rule stays broken.

        Where no step is there that could help, no order of the others does: one has to be added.
        """
        added, moved = self._kinds[name]
        return added if added and self.verdicts.about[name].addable.isdisjoint(there) else added | moved

    @cached_property
    def _kinds(self) -> dict[str, tuple[frozenset[tuple[str, str]], frozenset[tuple[str, str]]]]:
        return {
            name: (frozenset(("add", s) for s in about.addable), frozenset(("move", s) for s in about.steps))
            for name, about in self.verdicts.about.items()
        }

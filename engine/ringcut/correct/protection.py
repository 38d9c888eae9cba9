"""What steps protect besides what rules say: a correction takes no protection from work that had it.

A test of the air that is moved behind the pump satisfies every rule about entry, and leaves whoever pumps without it.
The vocabulary says which work relies on what a step makes or sets (``protects``). Work had that protection where the
step was surely done before it and nothing had changed the condition since; it has lost it where no such doing is left,
or where what changes the condition has got between. A step that was not there before, or came behind the work, takes
nothing away: the rules say whether it may stand there. Work that is itself put elsewhere has to keep each protecting
step, but may do with fewer of its conditions: that zero was read since the last cut is no matter before that cut.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence, Set

import msgspec

from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.reading.problems import Place
from ringcut.relations.backwards import rising
from ringcut.relations.procedure import Occurrence
from ringcut.relations.view import View

PROTECTION = "protection-kept"
"""Stands among the rules for what no correction may take away."""
Atom = tuple[str, str]
"""(condition, side); the side is empty where it does not differ by side."""


class Doing(msgspec.Struct, frozen=True):
    """A step as far as protection goes: what it gives to protect others, or changes otherwise."""

    name: str
    place: Place
    gives: tuple[Atom, ...]
    changes: tuple[Atom, ...]


_NOBODY: dict[str, list[Place]] = {}
Had = Mapping[Place, tuple[Atom, ...]]
"""By the place of a step, the conditions that protected it."""


class Protection:
    """What protected what in a plan as it was, by closure."""

    def __init__(self, book: ir.Rulebook) -> None:
        self.book = book
        protecting = [step for step in book.steps.values() if step.protects]
        atoms = {effect.condition for step in protecting for effect in _relied_on(step)}
        changing = {name for name, step in book.steps.items() if atoms & {e.condition for e in step.effects}}
        self.steps = frozenset(changing) | {name for step in protecting for name in step.protects}
        """The steps whose order decides it."""
        self.given = frozenset(step.name for step in protecting)
        self._atoms = atoms
        self.served = {step.name: frozenset(step.protects) for step in protecting}
        """By a step that protects, the steps that rely on it."""
        self._had: dict[str, Had] = {}
        self._first: dict[str, dict[Place, frozenset[Place]]] = {}
        self._rank: dict[str, dict[Place, int]] = {}
        self._by: dict[str, dict[Place, frozenset[str]]] = {}

    def doing(self, each: Occurrence) -> Doing:
        """A step of a procedure as far as protection goes; one that is optional protects nobody."""
        step = self.book.steps[each.step]
        atoms = tuple(
            (effect.condition, side)
            for effect in (_relied_on(step) if step.protects else step.effects)
            if effect.condition in self._atoms
            for side in (each.sides if self.book.conditions[effect.condition].per == "side" else ("",))
        )
        if step.protects:
            return Doing(each.step, each.place, () if each.optional else atoms, ())
        return Doing(each.step, each.place, (), atoms)

    def begin(self, closure: str, view: View) -> None:
        """Take a closure of the plan as it was."""
        order = _Protected(view, self)
        had: dict[Place, tuple[Atom, ...]] = {}
        first: dict[Place, frozenset[Place]] = {}
        by: dict[Place, frozenset[str]] = {}
        for at, each in enumerate(order.doings):
            covered = {atom: names for atom in order.gives if (names := order.by(atom, at, None))}
            if covered:
                had[each.place] = tuple(covered)
                by[each.place] = frozenset().union(*covered.values())
                earlier = (other for number, other in enumerate(order.doings) if view.order.before(number, at))
                first[each.place] = frozenset(other.place for other in earlier)
        self._by[closure] = by
        self._had[closure], self._first[closure] = had, first
        self._rank[closure] = {place: rank for rank, place in enumerate(order.line)}

    def lost_in_line(self, closure: str, line: Sequence[Doing]) -> bool:
        """Whether some work has lost a protection in a version whose steps come one after the other."""
        had, first = self._had[closure], self._first[closure]
        since: dict[Atom, dict[str, list[Place]]] = {}
        less: dict[Place, set[str]] = {}
        for each in line:
            atoms, earlier = had.get(each.place, ()), first.get(each.place, frozenset())
            for atom in atoms:
                for name, changed in since.get(atom, _NOBODY).items():
                    if each.name in self.served[name] and (not changed or earlier.isdisjoint(changed)):
                        break
                else:
                    less[each.place] = {
                        name for atom in atoms for name, changed in since.get(atom, _NOBODY).items()
                        if each.name in self.served[name] and earlier.isdisjoint(changed)
                    }  # fmt: skip
                    break
            for atom in each.gives:
                since.setdefault(atom, {})[each.name] = []
            for atom in each.changes:
                for changed in since.get(atom, {}).values():
                    changed.append(each.place)
        return bool(less) and self._is_lost(closure, less, [each.place for each in line])

    def lost(self, closure: str, view: View) -> bool:
        """Whether some work has lost a protection in some order of a version."""
        had, first = self._had[closure], self._first[closure]
        order = _Protected(view, self)
        less: dict[Place, set[str]] = {}
        for at, each in enumerate(order.doings):
            by_atom = [order.by(atom, at, first[each.place]) for atom in had.get(each.place, ())]
            if not all(by_atom):
                less[each.place] = set[str]().union(*by_atom)
        return bool(less) and self._is_lost(closure, less, order.line)

    def _is_lost(self, closure: str, less: Mapping[Place, Set[str]], line: Sequence[Place]) -> bool:
        """Whether of the work that some condition protects no longer some has lost its protection.

        ``less``: with the steps that protect it still. Work that is itself put elsewhere may do with less of each.
        """
        moved = self._moved(closure, line)
        return any(place not in moved or not self._by[closure][place] <= names for place, names in less.items())

    def _moved(self, closure: str, line: Sequence[Place]) -> set[Place]:
        """The steps that surely stand elsewhere than before: they are in no longest part that kept its order."""
        rank = self._rank[closure]
        kept = [place for place in line if place in rank]
        ranks = [rank[place] for place in kept]
        up = rising(ranks)
        down = rising([-each for each in reversed(ranks)])[::-1]
        longest = max(up, default=0)
        return {place for place, a, b in zip(kept, up, down, strict=True) if a + b - 1 < longest}


def _relied_on(step: ir.Step) -> tuple[ir.Effect, ...]:
    """What a step makes or sets, not what it undoes on the way; of one that only ends something, what it ends."""
    made = tuple(effect for effect in step.effects if effect.to != n.Fixed(False))
    return made or step.effects


class _Protected:
    """The steps of one version by what they give and change."""

    def __init__(self, view: View, protection: Protection) -> None:
        self.before, self.served = view.order.before, protection.served
        self.doings = [protection.doing(each) for each in view.occurrences]
        self.line = [self.doings[at].place for at in view.order.line]
        """A line that respects the order."""
        self.gives: dict[Atom, list[int]] = {}
        self.changes: dict[Atom, list[int]] = {}
        for at, each in enumerate(self.doings):
            for atom in each.gives:
                self.gives.setdefault(atom, []).append(at)
            for atom in each.changes:
                self.changes.setdefault(atom, []).append(at)

    def by(self, atom: Atom, at: int, first: Set[Place] | None) -> set[str]:
        """The steps whose doing surely protects one by a condition.

        ``first``: only what came before it can take that away.
        """
        name = self.doings[at].name
        found = set[str]()
        for giver in self.gives.get(atom, ()):
            if name not in self.served[self.doings[giver].name] or giver == at or not self.before(giver, at):
                continue
            changing = (
                other for other in self.changes.get(atom, ())
                if other != at and (first is None or self.doings[other].place in first)
            )  # fmt: skip
            if all(self.before(other, giver) or self.before(at, other) for other in changing):
                found.add(self.doings[giver].name)
        return found

"""What steps protect besides what rules say: a correction takes no protection from work that had it.

A test of the air that is moved behind the pump satisfies every rule about entry, and leaves whoever pumps without it.
The vocabulary says which work relies on what a step makes or sets (``protects``). Work had that protection where the
step was surely done before it and nothing had changed the condition since; it has lost it where no such doing is left,
or where what changes the condition has got between. A step that was not there before, or came behind the work, takes
nothing away: the rules say whether it may stand there.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Set

import msgspec

from ringcut.language import ir
from ringcut.reading.problems import Place
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
        atoms = {effect.condition for step in protecting for effect in step.effects}
        changing = {name for name, step in book.steps.items() if atoms & {e.condition for e in step.effects}}
        self.steps = frozenset(changing) | {name for step in protecting for name in step.protects}
        """The steps whose order decides it."""
        self.given = frozenset(step.name for step in protecting)
        self._atoms = atoms
        self.served = {step.name: frozenset(step.protects) for step in protecting}
        """By a step that protects, the steps that rely on it."""
        self._had: dict[str, Had] = {}
        self._first: dict[str, dict[Place, frozenset[Place]]] = {}

    def doing(self, each: Occurrence) -> Doing:
        """A step of a procedure as far as protection goes; one that is optional protects nobody."""
        step = self.book.steps[each.step]
        atoms = tuple(
            (effect.condition, side)
            for effect in step.effects
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
        for at, each in enumerate(order.doings):
            found = tuple(atom for atom in order.gives if order.covers(atom, at, None))
            if found:
                had[each.place] = found
                earlier = (other for number, other in enumerate(order.doings) if view.order.before(number, at))
                first[each.place] = frozenset(other.place for other in earlier)
        self._had[closure], self._first[closure] = had, first

    def lost_in_line(self, closure: str, line: Iterable[Doing]) -> bool:
        """Whether some work has lost a protection in a version whose steps come one after the other."""
        had, first = self._had[closure], self._first[closure]
        since: dict[Atom, dict[str, list[Place]]] = {}
        for each in line:
            for atom in had.get(each.place, ()):
                for name, changed in since.get(atom, _NOBODY).items():
                    if each.name in self.served[name] and (not changed or first[each.place].isdisjoint(changed)):
                        break
                else:
                    return True
            for atom in each.gives:
                since.setdefault(atom, {})[each.name] = []
            for atom in each.changes:
                for changed in since.get(atom, {}).values():
                    changed.append(each.place)
        return False

    def lost(self, closure: str, view: View) -> bool:
        """Whether some work has lost a protection in some order of a version."""
        had, first = self._had[closure], self._first[closure]
        order = _Protected(view, self)
        return any(
            not order.covers(atom, at, first[each.place])
            for at, each in enumerate(order.doings)
            for atom in had.get(each.place, ())
        )


class _Protected:
    """The steps of one version by what they give and change."""

    def __init__(self, view: View, protection: Protection) -> None:
        self.before, self.served = view.order.before, protection.served
        self.doings = [protection.doing(each) for each in view.occurrences]
        self.gives: dict[Atom, list[int]] = {}
        self.changes: dict[Atom, list[int]] = {}
        for at, each in enumerate(self.doings):
            for atom in each.gives:
                self.gives.setdefault(atom, []).append(at)
            for atom in each.changes:
                self.changes.setdefault(atom, []).append(at)

    def covers(self, atom: Atom, at: int, first: Set[Place] | None) -> bool:
        """Whether a condition surely protects a step; ``first``: only what came before it can take that away."""
        name = self.doings[at].name
        for giver in self.gives.get(atom, ()):
            if name not in self.served[self.doings[giver].name] or giver == at or not self.before(giver, at):
                continue
            changing = (
                other for other in self.changes.get(atom, ())
                if other != at and (first is None or self.doings[other].place in first)
            )  # fmt: skip
            if all(self.before(other, giver) or self.before(at, other) for other in changing):
                return True
        return False

"""A plan's order as a graph, for plans in which steps carry ``after``: who waits for whom, and a step put elsewhere.

Steps are numbered as they are first met and keep their number when they are moved. A set of steps is a bitset. A step
has a place of its own (``Place``) by which it is known, whatever is changed in it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

import msgspec

from ringcut.draft.models import Items, steps_of
from ringcut.reading.problems import Place
from ringcut.reading.raw import RawGroup, RawStep
from ringcut.reading.suggest import canonical
from ringcut.relations.order import bits

MOST_GAPS = 400
"""Places in the order of a plan that are looked at for one step, at most."""


class Waiting(Exception):
    """Steps wait for each other."""


class Gap(msgspec.Struct, frozen=True):
    """A place in the order: behind all of ``earlier``, before all of ``later``, which are in that order already."""

    earlier: int
    later: int


class Graph(msgspec.Struct, frozen=True):
    """Steps, and for each the steps that it waits for itself; ``ends``: those with which the list ends."""

    steps: Mapping[int, RawStep]
    waits: tuple[int, ...]
    present: int
    """The steps that are there; one that is being moved is not."""
    ends: int = 0

    def before(self) -> list[int]:
        """For each step all that necessarily come before it; :class:`Waiting` where there is a circle."""
        found: list[int] = [-1] * len(self.waits)
        for start in bits(self.present):
            if found[start] < 0:
                self._close(start, found)
        return found

    def is_circle(self) -> bool:
        """Whether steps wait for each other."""
        try:
            self.before()
        except Waiting:
            return True
        return False

    def _close(self, start: int, found: list[int]) -> None:
        path = [start]
        open_ = {start}
        while path:
            at = path[-1]
            missing = next((each for each in bits(self.waits[at]) if found[each] < 0), None)
            if missing is None:
                mask = self.waits[at]
                for each in bits(self.waits[at]):
                    mask |= found[each]
                found[at] = mask
                open_.discard(path.pop())
            elif missing in open_:
                raise Waiting
            else:
                path.append(missing)
                open_.add(missing)

    def without(self, at: int) -> Graph:
        """The order with a step taken out: what waited for it waits for what it waited for."""
        mine, own = 1 << at, self.waits[at]
        waits = tuple((mask & ~mine | own) if mask & mine else mask for mask in self.waits)
        waits = (*waits[:at], 0, *waits[at + 1 :])
        ends = (self.ends & ~mine | own) if self.ends & mine else self.ends
        return msgspec.structs.replace(self, waits=waits, present=self.present & ~mine, ends=ends)

    def put(self, at: int, gap: Gap) -> Graph:
        """The order with a step that is not there put into a gap."""
        mine = 1 << at
        waits = [mask | mine if gap.later >> number & 1 else mask for number, mask in enumerate(self.waits)]
        waits[at] = gap.earlier
        # Behind everything it is the new end of the list.
        ends = mine if gap.earlier == self.present else self.ends
        return msgspec.structs.replace(self, waits=tuple(waits), present=self.present | mine, ends=ends)

    def with_step(self, step: RawStep) -> Graph:
        """Room for one step more, which is not there yet."""
        return msgspec.structs.replace(self, steps={**self.steps, len(self.waits): step}, waits=(*self.waits, 0))

    def with_other(self, at: int, step: RawStep) -> Graph:
        """The order with a step written otherwise."""
        return msgspec.structs.replace(self, steps={**self.steps, at: step})

    def optional(self) -> int:
        """The steps that may be left out."""
        return sum(1 << at for at in bits(self.present) if self.steps[at].optional is not None)

    def gaps(self) -> Iterator[Gap]:
        """Every place that adds nothing to the order of the other steps, each as narrow as it can be."""
        before = self.before()
        after = [0] * len(before)
        for at in bits(self.present):
            for each in bits(before[at]):
                after[each] |= 1 << at
        downs = list(dict.fromkeys(before[at] for at in bits(self.present)))
        found, pending = dict.fromkeys([self.present]), [self.present]
        while pending and len(found) < MOST_GAPS:
            one = pending.pop()
            for both in dict.fromkeys(one & down for down in downs):
                if both not in found:
                    found[both] = None
                    pending.append(both)
        for earlier in found:
            later = self.present
            for each in bits(earlier):
                later &= after[each]
            yield Gap(earlier, later)

    def free_to_precede(self, at: int) -> int:
        """All steps that do not come after a step: it can wait for any of them."""
        mask = 0
        for number, before in enumerate(self.before()):
            if number != at and before >= 0 and not before >> at & 1:
                mask |= 1 << number
        return mask

    def waiting(self, at: int, earlier: int) -> Graph:
        """The order with a step that waits for others than before."""
        waits = (*self.waits[:at], earlier, *self.waits[at + 1 :])
        return msgspec.structs.replace(self, waits=waits)

    def lost(self) -> int:
        """Steps that come before nothing although the list does not end with them."""
        behind = 0
        for at in bits(self.present):
            behind |= self.waits[at]
        return self.present & ~behind & ~self.ends


class Labels:
    """How ``after`` calls each step of a plan: its id, else its name, with a number where the name is taken."""

    def __init__(self, items: Items, name_of: Callable[[str], str]) -> None:
        self.name_of = name_of
        self.places: dict[str, Place] = {}
        self.names: dict[Place, str] = {}
        steps = steps_of(items)
        for step in steps:
            if step.id:
                self._add(canonical(step.id.text), step.place)
        for step in steps:
            if not step.id:
                self.name(step)

    def name(self, step: RawStep) -> str:
        """The label of a step; one that is new gets one that is free."""
        if step.place not in self.names:
            label = name = self.name_of(step.do.text)
            number = 1
            while label in self.places:
                number += 1
                label = f"{name}-{number}"
            self._add(label, step.place)
        return self.names[step.place]

    def _add(self, label: str, place: Place) -> None:
        self.places[label] = place
        self.names[place] = label

    def place(self, text: str) -> Place:
        """Which step an ``after`` means."""
        label = canonical(text)
        return self.places[label] if label in self.places else self.places[self.name_of(label)]


def graph_of(items: Items, numbers: dict[Place, int], labels: Labels) -> Graph:
    """The order of a tree; ``numbers`` grows by the steps that are new."""
    steps: dict[int, RawStep] = {}
    waits: dict[int, int] = {}

    def inside(items: Items, above: int) -> int:
        for item in items:
            if isinstance(item, RawGroup):
                exits = 0
                for branch in item.branches:
                    exits |= inside(branch, above) if branch else 0
                above = exits or above
                continue
            at = numbers.setdefault(item.place, len(numbers))
            steps[at] = item
            waits[at] = above
            if item.after is not None:
                named = [labels.place(phrase.text) for phrase in item.after]
                waits[at] = sum({1 << numbers.setdefault(place, len(numbers)) for place in named})
            above = 1 << at
        return above

    ends = inside(items, 0)
    all_waits = tuple(waits.get(at, 0) for at in range(len(numbers)))
    return Graph(steps, all_waits, sum(1 << at for at in steps), ends)

"""Search over the orders that a procedure allows, for what the criterion does not reach.

A state is the set of relevant steps already done and the value each atom then has; relevant are the steps that
change an
atom of the formula, and the moment's own step. Projecting "before" onto them is exact. A search that grows beyond its
cap ends as unknown, too many orders, never as a pass.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator
from typing import NamedTuple

from ringcut.relations.conditions import Change, Conditions, Moment
from ringcut.relations.formula import All, Atom, Formula, Given, Literal, literals
from ringcut.relations.order import bits
from ringcut.relations.truth import NO, UNKNOWN, YES, Cause, Truth, all_of, any_of

CAP = 100_000
"""States looked at before a search gives up."""

NEVER = -1
"""No step has changed an atom yet."""

Way = tuple["Way", int] | None
"""The steps of a path, the last one first: what came before, and the step."""


class State(NamedTuple):
    """Where an order stands.

    ``done``: a bitset over all steps; ``last``: the step that changed each atom last; ``open_``: a window is open.
    """

    done: int
    last: tuple[int, ...]
    open_: bool


def search_before(conditions: Conditions, item: Formula, moment: Moment) -> tuple[Truth, tuple[int, ...]]:
    """The worst truth of ``item`` just before (or after) an occurrence, or at the end, and an order that shows it."""
    return conditions.search(item).before(moment)


def search_window(
    conditions: Conditions, item: Formula, start: int | None, until: tuple[int, ...]
) -> tuple[Truth, tuple[int, ...]]:
    """The worst truth of ``item`` from just after ``start`` (None: the beginning) to just before the next ``until``."""
    return conditions.search(item, until).window(start)


class Search:
    """The relevant steps of a formula, their effects, and the walk over sets of them.

    A cut is a relevant step that is ordered against every other one: what is true just after it is found once, from
    the cut before it, and every later question begins there.
    """

    def __init__(self, conditions: Conditions, item: Formula, until: tuple[int, ...]) -> None:
        self.conditions, self.item, self.until = conditions, item, frozenset(until)
        self.order, self.occurrences = conditions.view.order, conditions.view.occurrences
        self.atoms = tuple(dict.fromkeys(literal.atom for literal in literals(item)))
        self.effects: dict[int, dict[int, Change]] = {}
        for position, atom in enumerate(self.atoms):
            for change in conditions.changes(atom):
                self.effects.setdefault(change.step, {})[position] = change
        rank = self.order.rank
        self.members = sorted({*self.effects, *until}, key=rank.__getitem__)
        self.relevant = sum(1 << index for index in self.members)
        self.lapses = any(conditions.view.book.conditions[atom.condition].lapses is not None for atom in self.atoms)
        self.gave_up = self.blind = False
        """Whether a question, or a way to some cut, had too many states to look at all."""
        self.above = [0]
        for index in self.members:
            self.above.append(self.above[-1] | 1 << index)
        self.closes = self._closes()
        self.cuts = [place for place, closes in enumerate(self.closes) if closes and self._opens(place)]
        self._reached: list[dict[tuple[int, ...], Way]] = []

    def _closes(self) -> list[bool]:
        """For each member whether all that stand behind it in the line come after it."""
        found, behind = [False] * len(self.members), 0
        for place in range(len(self.members) - 1, -1, -1):
            found[place] = not behind & ~self.order.after_bits(self.members[place])
            behind |= 1 << self.members[place]
        return found

    def _opens(self, place: int) -> bool:
        """Whether all members that stand above one in the line come before it."""
        return not self.above[place] & ~self.order.before_bits(self.members[place])

    # questions

    def before(self, moment: Moment) -> tuple[Truth, tuple[int, ...]]:
        """The worst truth at a moment."""
        at = moment.step
        blocked = 0 if at is None else self.order.after_bits(at) | 1 << at
        needed = self.relevant & ~blocked if at is None else self.relevant & self.order.before_bits(at)
        worst = Truth(YES)
        path: tuple[int, ...] = ()
        self.gave_up = False
        for state, way, _ in self._walk(self._cut_before(at), blocked, None):
            if needed & ~state.done:
                continue
            last = self._after(state.last, at) if moment.after and at is not None else state.last
            found = self._worse(worst, last, moment)
            if found is not None:
                worst, path = found, (*_steps(way), *(() if at is None else (at,)))
                if worst.level == NO:
                    return worst, path
        return (self._given_up(), ()) if self.gave_up or self.blind else (worst, path)

    def window(self, start: int | None) -> tuple[Truth, tuple[int, ...]]:
        """The worst truth from just after ``start`` to just before the next closing step."""
        worst = Truth(YES)
        path: tuple[int, ...] = ()
        self.gave_up = False
        first = -1 if start is None else self._cut_before(start)
        for state, way, low in self._walk(first, 0, start, window=True):
            if not state.open_:
                continue
            moments = [Moment(way[1], True) if way else Moment(None)]
            if self.lapses:
                moments += [Moment(index) for index in self._ready(state, low, 0, start)] or [Moment(None)]
            for moment in moments:
                found = self._worse(worst, state.last, moment)
                if found is not None:
                    steps = _steps(way)
                    worst, path = found, steps if moment.after or moment.step is None else (*steps, moment.step)
                    if worst.level == NO:
                        return worst, path
        return (self._given_up(), ()) if self.gave_up or self.blind else (worst, path)

    def _given_up(self) -> Truth:
        return Truth(UNKNOWN, (Cause("search", "too many orders", why="not covered"),))

    # values

    def _after(self, last: tuple[int, ...], index: int) -> tuple[int, ...]:
        """The values after one more step."""
        effects = self.effects.get(index)
        if not effects:
            return last
        return tuple(index if position in effects else old for position, old in enumerate(last))

    def _worse(self, worst: Truth, last: tuple[int, ...], moment: Moment) -> Truth | None:
        """The truth of the formula with these values, where it is worse than what was found."""
        changes = {
            atom: None if step == NEVER else self.effects[step][position]
            for position, (atom, step) in enumerate(zip(self.atoms, last, strict=True))
        }
        level = self.conditions.level(self.item, lambda literal: changes[literal.atom], moment)
        return self._truth(self.item, changes, moment) if level > worst.level else None

    def _truth(self, item: Formula, changes: dict[Atom, Change | None], moment: Moment) -> Truth:
        match item:
            case Given(truth=given):
                return given
            case Literal(atom=atom):
                return self.conditions.judged(item, changes[atom], moment)
            case All(parts):
                return all_of(self._truth(part, changes, moment) for part in parts)
            case _:
                return any_of(self._truth(part, changes, moment) for part in item.parts)

    # the walk

    def _cut_before(self, at: int | None) -> int:
        """The number of the last cut that comes before a step; -1: none."""
        if at is None:
            return len(self.cuts) - 1
        found = bisect_left(self.cuts, True, key=lambda place: not self.order.before(self.members[place], at))
        return found - 1

    def _reach(self, cut: int) -> dict[tuple[int, ...], Way]:
        """The values that may stand just after a cut, each with one way to it."""
        if cut < 0:
            return {(NEVER,) * len(self.atoms): None}
        while len(self._reached) <= cut:
            number = len(self._reached)
            index = self.members[self.cuts[number]]
            values: dict[tuple[int, ...], Way] = {}
            wanted = self.above[self.cuts[number] + 1]
            for state, way, _ in self._walk(number - 1, self.order.after_bits(index), None):
                if not wanted & ~state.done:
                    values.setdefault(state.last, way)
            self._reached.append(values)
            self.blind = self.blind or self.gave_up
        return self._reached[cut]

    def _walk(
        self, cut: int, blocked: int, start: int | None, window: bool = False
    ) -> Iterator[tuple[State, Way, int]]:
        """Every state behind a cut that some order passes through without the blocked steps.

        Each with one way to it, and the number of the first member that may not be done.
        """
        values = self._reach(cut)
        first = self.cuts[cut] + 1 if cut >= 0 else 0
        is_open = not window or start is None
        queue: list[tuple[State, Way, int]] = [
            (State(self.above[first], last, is_open), way, first) for last, way in values.items()
        ]
        seen = {state for state, _, _ in queue}
        for state, way, low in queue:
            while low < len(self.members) and state.done >> self.members[low] & 1:
                low += 1
            yield state, way, low
            if window and not state.open_ and (start is None or state.done >> start & 1):
                continue
            for index in self._ready(state, low, blocked, start):
                ways: list[tuple[State, Way]] = [(self._step(state, index, start, window), (way, index))]
                if self.occurrences[index].optional:
                    ways.append((state._replace(done=state.done | 1 << index), way))
                for following, path in ways:
                    if following not in seen:
                        seen.add(following)
                        queue.append((following, path, low))
            if len(seen) > CAP:
                self.gave_up = True
                return

    def _step(self, state: State, index: int, start: int | None, window: bool) -> State:
        is_open = state.open_ and not (window and index in self.until)
        return State(state.done | 1 << index, self._after(state.last, index), is_open or index == start)

    def _ready(self, state: State, low: int, blocked: int, start: int | None) -> list[int]:
        """The relevant steps, and the start of a window, that may come next."""
        counted = self.relevant if start is None else self.relevant | 1 << start
        left = counted & ~state.done
        found = []
        if start is not None and left >> start & 1 and not self.order.before_bits(start) & left:
            found.append(start)
        for place in range(low, len(self.members)):
            index = self.members[place]
            if index != start and left >> index & 1:
                if not blocked >> index & 1 and not self.order.before_bits(index) & left:
                    found.append(index)
                if self.closes[place]:
                    break
        return found


def _steps(way: Way) -> tuple[int, ...]:
    found = []
    while way is not None:
        way, step = way
        found.append(step)
    return tuple(reversed(found))


def full_order(conditions: Conditions, path: tuple[int, ...]) -> tuple[int, ...]:
    """A complete order that the procedure allows and that has ``path`` in its sequence.

    What need not come before the next step of the path comes behind it; optional steps that are not in the path are
    left out.
    """
    order, occurrences = conditions.view.order, conditions.view.occurrences
    done: dict[int, None] = {}
    wanted = {index for index in range(order.n) if index in path or not occurrences[index].optional}
    for index in path:
        earlier = (each for each in bits(order.before_bits(index)) if each in wanted and each not in done)
        done |= dict.fromkeys(sorted(earlier, key=order.rank.__getitem__))
        done[index] = None
    done |= dict.fromkeys(each for each in order.line if each in wanted)
    return tuple(done)

"""Search over the orders that a procedure allows, for what the criterion does not reach.

A state is the set of relevant steps already done and the value each atom then has; relevant are the steps that
change an
atom of the formula, and the moment's own step. Projecting "before" onto them is exact. A search that grows beyond its
cap ends as unknown, too many orders, never as a pass.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from ringcut.relations.conditions import Change, Conditions, Moment
from ringcut.relations.formula import All, Atom, Formula, Given, Literal, literals
from ringcut.relations.order import bits
from ringcut.relations.truth import NO, UNKNOWN, YES, Cause, Truth, all_of, any_of

CAP = 100_000
"""States looked at before a search gives up."""


class State(NamedTuple):
    """``done``: a bitset over the relevant steps; ``last``: each atom's last change; ``open_``: a window is open."""

    done: int
    last: tuple[Change | None, ...]
    open_: bool


def search_before(conditions: Conditions, item: Formula, moment: Moment) -> tuple[Truth, tuple[int, ...]]:
    """The worst truth of ``item`` just before (or after) an occurrence, or at the end, and an order that shows it."""
    problem = _Problem(conditions, item)
    at = moment.step
    relevant = problem.relevant
    if at is not None:
        later = conditions.view.order.after_bits(at)
        relevant &= ~later & ~(1 << at)
    needed = relevant if at is None else relevant & conditions.view.order.before_bits(at)
    worst = Truth(YES)
    path: tuple[int, ...] = ()
    for state, steps in problem.states(relevant, State(0, problem.none, True)):
        if needed & ~state.done:
            continue
        last = state.last
        if moment.after and at is not None:
            last = problem.after(last, at)
        found = problem.truth(last, moment)
        if found.level > worst.level:
            worst, path = found, (*steps, *(() if at is None else (at,)))
            if worst.level == NO:
                return worst, path
    if problem.gave_up:
        return problem.given_up(), ()
    return worst, path


def search_window(
    conditions: Conditions, item: Formula, start: int | None, until: tuple[int, ...]
) -> tuple[Truth, tuple[int, ...]]:
    """The worst truth of ``item`` from just after ``start`` (None.

    From the start) to just before the next ``until``.
    """
    problem = _Problem(conditions, item)
    relevant = problem.relevant
    for index in (*until, *(() if start is None else (start,))):
        relevant |= 1 << index
    closing = set(until)
    worst = Truth(YES)
    path: tuple[int, ...] = ()

    def step(state: State, index: int) -> State:
        window = state.open_ if index not in closing else False
        return State(state.done | 1 << index, problem.after(state.last, index), window or index == start)

    first = State(0, problem.none, start is None)
    for state, steps in problem.states(relevant, first, step):
        if not state.open_:
            continue
        moments = [Moment(steps[-1], True) if steps else Moment(None)]
        if problem.lapses:
            moments += [Moment(index) for index in problem.ready(state, relevant)] or [Moment(None)]
        for moment in moments:
            found = problem.truth(state.last, moment)
            if found.level > worst.level:
                worst, path = found, steps if moment.after or moment.step is None else (*steps, moment.step)
                if worst.level == NO:
                    return worst, path
    if problem.gave_up:
        return problem.given_up(), ()
    return worst, path


class _Problem:
    """The relevant steps of a formula, their effects, and the walk over sets of them."""

    def __init__(self, conditions: Conditions, item: Formula) -> None:
        self.conditions, self.item = conditions, item
        self.atoms: tuple[Atom, ...] = tuple(dict.fromkeys(literal.atom for literal in literals(item)))
        self.none: tuple[Change | None, ...] = (None,) * len(self.atoms)
        self.effects: dict[int, dict[int, Change]] = {}
        self.relevant = 0
        self.gave_up = False
        for position, atom in enumerate(self.atoms):
            for change in conditions.changes(atom):
                self.effects.setdefault(change.step, {})[position] = change
                self.relevant |= 1 << change.step
        self.lapses = any(conditions.view.book.conditions[atom.condition].lapses is not None for atom in self.atoms)

    def after(self, last: tuple[Change | None, ...], index: int) -> tuple[Change | None, ...]:
        """The values after one more step."""
        effects = self.effects.get(index)
        if not effects:
            return last
        return tuple(effects.get(position, old) for position, old in enumerate(last))

    def truth(self, last: tuple[Change | None, ...], moment: Moment) -> Truth:
        """The formula's truth with these values."""
        return self._truth(self.item, dict(zip(self.atoms, last, strict=True)), moment)

    def _truth(self, item: Formula, last: dict[Atom, Change | None], moment: Moment) -> Truth:
        match item:
            case Given(truth=given):
                return given
            case Literal(atom=atom):
                return self.conditions.judged(item, last[atom], moment)
            case All(parts):
                return all_of(self._truth(part, last, moment) for part in parts)
            case _:
                return any_of(self._truth(part, last, moment) for part in item.parts)

    def ready(self, state: State, relevant: int) -> list[int]:
        """The relevant steps that may come next."""
        order = self.conditions.view.order
        left = relevant & ~state.done
        return [index for index in bits(left) if not order.before_bits(index) & left]

    def states(self, relevant: int, first: State, step=None) -> Iterator[tuple[State, tuple[int, ...]]]:  # type: ignore[no-untyped-def]
        """Every state that some order passes through, each once, with one path to it."""
        order, occurrences = self.conditions.view.order, self.conditions.view.occurrences
        step = step or (lambda s, i: State(s.done | 1 << i, self.after(s.last, i), s.open_))
        members = tuple(bits(relevant))
        needs = {index: order.before_bits(index) & relevant for index in members}
        seen = {first}
        queue: list[tuple[State, tuple[int, ...]]] = [(first, ())]
        for state, path in queue:
            yield state, path
            for index in members:
                if state.done >> index & 1 or needs[index] & ~state.done:
                    continue
                ways = [(step(state, index), (*path, index))]
                if occurrences[index].optional:
                    ways.append((state._replace(done=state.done | 1 << index), path))
                for following, way in ways:
                    if following not in seen:
                        seen.add(following)
                        queue.append((following, way))
            if len(seen) > CAP:
                self.gave_up = True
                return

    def given_up(self) -> Truth:
        """The answer of a search that was too large."""
        return Truth(UNKNOWN, (Cause("search", "too many orders", why="not covered"),))


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

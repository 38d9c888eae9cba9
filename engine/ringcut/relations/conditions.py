"""What is true between steps: effects of each doing, and the truth of a formula at a moment over every order.

A moment is just before or just after an occurrence, or the end. On a total order the history of an atom is a list of
changes. On a partial order a literal is decided by the modal truth criterion (Chapman, Artificial Intelligence 32,
1987,
333: "necessarily" only), anything else by search over the sets of relevant steps already done (``search``).
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable
from fractions import Fraction
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.relations.evaluate import truth
from ringcut.relations.formula import All, Atom, Formula, Given, Literal, conjunction
from ringcut.relations.order import bits
from ringcut.relations.truth import (
    NO,
    OPEN,
    UNKNOWN,
    YES,
    Cause,
    Level,
    Truth,
    all_levels,
    all_of,
    any_levels,
    any_of,
    negated,
    opposite,
)
from ringcut.relations.view import Bound, View

if TYPE_CHECKING:
    from ringcut.relations.search import Search


class Moment(NamedTuple):
    """Just before an occurrence (``after`` False), just after it, or the end (``step`` None)."""

    step: int | None
    after: bool = False


END = Moment(None)


class Change(NamedTuple):
    """An occurrence gives an atom a new value."""

    step: int
    truth: Truth
    gives: Level | None = None
    """The value it gives, where it is not known whether it gives one."""


class Conditions:
    """The histories of conditions in one view. Each atom's changes are found once."""

    def __init__(self, view: View) -> None:
        self.view = view
        self._changes: dict[Atom, tuple[Change, ...]] = {}
        self._ranks: dict[Atom, list[int]] = {}
        self._starts: dict[Atom, Truth] = {}
        self._makers: dict[Literal, tuple[int, ...]] = {}
        self._sorted: dict[tuple[Literal, int], tuple[int, int, tuple[int, ...]]] = {}
        self._searches: dict[tuple[Formula, tuple[int, ...]], Search] = {}
        self._touching = view.book.touching
        self.in_lines: dict[tuple[int, ...], Conditions] = {}
        """The same where the entries without a place stand in some line of all."""

    @cached_property
    def by_list(self) -> Conditions | None:
        """The same in the view by the list alone, where times run against it."""
        other = self.view.by_list
        return Conditions(other) if other is not None else None

    def start(self, atom: Atom) -> Truth:
        """The value before the first step."""
        if atom not in self._starts:
            state = self.view.book.conditions[atom.condition]
            side = atom.where if state.per == "side" else ""
            self._starts[atom] = truth(state.at_start, self.view, side)
        return self._starts[atom]

    def changes(self, atom: Atom) -> tuple[Change, ...]:
        """Every occurrence that gives the atom a value, along a line that respects the order."""
        if atom not in self._changes:
            rank = self.view.order.rank
            found = sorted(self._found(atom), key=lambda change: rank[change.step])
            if self.view.order.total:
                found = self._without_idle(atom, found)
            self._changes[atom] = tuple(found)
            self._ranks[atom] = [rank[change.step] for change in found]
        return self._changes[atom]

    def _without_idle(self, atom: Atom, found: list[Change]) -> list[Change]:
        """The changes without those that may or may not happen and give what is so already."""
        kept: list[Change] = []
        for change in found:
            before = kept[-1].truth.level if kept else self.start(atom).level
            if change.gives is None or change.gives != before:
                kept.append(change)
        return kept

    def _found(self, atom: Atom) -> list[Change]:
        view = self.view
        per = view.book.conditions[atom.condition].per
        merged: dict[int, Change] = {}
        for step, effect in self._touching.get(atom.condition, ()):
            for index in view.by_step.get(step, ()):
                each = view.occurrences[index]
                if per == "side" and atom.where not in each.sides:
                    continue
                if per == "person" and each.by and atom.where and atom.where not in each.by:
                    continue
                if per == "person" and not atom.where and each.by:
                    continue
                value = self._effect(step, effect, index, atom.where if per == "side" else "")
                if value is not None:
                    merged[index] = value
        return list(merged.values())

    def _effect(self, step: str, effect: ir.Effect, index: int, side: str) -> Change | None:
        if self.view.occurrences[index].uncertain:
            cause = Cause("time", step, side, index, why="not recorded")
            return Change(index, Truth(UNKNOWN, (cause,)), truth(effect.to, self.view, side).level)
        if isinstance(effect.to, n.Fixed) and effect.where is None:
            return Change(index, truth(effect.to, self.view))
        env = Bound(self.view, {(step, ""): index})
        if effect.where is not None:
            applies = truth(effect.where, env, side)
            if applies.level == NO or effect.keeps and unread(applies):
                return None
            if applies.level != YES:
                return Change(index, Truth(applies.level, applies.causes), truth(effect.to, env, side).level)
        value = truth(effect.to, env, side)
        return None if effect.keeps and unread(value) else Change(index, value)

    # at a moment of a line

    def at(self, item: Formula, moment: Moment) -> Truth:
        """The truth of a formula at a moment along the order's line (exact on a total order).

        Causes are looked for only where it is neither true nor open.
        """
        level = self.level(item, lambda literal: self.last(literal.atom, moment), moment)
        return Truth(level) if level <= OPEN else self._at(item, moment)

    def level(self, item: Formula, last: Callable[[Literal], Change | None], moment: Moment) -> Level:
        """The truth value of a formula whose literals were last changed as ``last`` says."""
        match item:
            case Given(truth=given):
                return given.level
            case Literal():
                return self._literal_level(item, last(item), moment)
            case All(parts):
                return all_levels(self.level(part, last, moment) for part in parts)
            case _:
                return any_levels(self.level(part, last, moment) for part in item.parts)

    def _literal_level(self, item: Literal, last: Change | None, moment: Moment) -> Level:
        value = last.truth.level if last else self.start(item.atom).level
        lapses = self.view.book.conditions[item.atom.condition].lapses
        if last and lapses is not None and value <= OPEN:
            return self._aged(item, last, moment, lapses).level
        return value if item.positive else opposite(value)

    def _at(self, item: Formula, moment: Moment) -> Truth:
        match item:
            case Given(truth=given):
                return given
            case Literal():
                return self.literal(item, moment)
            case All(parts):
                return all_of(self._at(part, moment) for part in parts)
            case _:
                return any_of(self._at(part, moment) for part in item.parts)

    def literal(self, item: Literal, moment: Moment) -> Truth:
        """The truth of a literal at a moment along the line, with the cause where it is not true."""
        last = self.last(item.atom, moment)
        return self.judged(item, last, moment)

    def last(self, atom: Atom, moment: Moment) -> Change | None:
        """The last change of an atom before a moment along the line."""
        changes = self.changes(atom)
        if moment.step is None:
            return changes[-1] if changes else None
        cut = bisect_right if moment.after else bisect_left
        position = cut(self._ranks[atom], self.view.order.rank[moment.step])
        return changes[position - 1] if position else None

    def judged(self, item: Literal, last: Change | None, moment: Moment) -> Truth:
        """The truth of a literal whose atom was last changed by ``last``."""
        value = last.truth if last else self.start(item.atom)
        lapses = self.view.book.conditions[item.atom.condition].lapses
        if last and lapses is not None and value.level in (YES, OPEN):
            return self._aged(item, last, moment, lapses)
        found = value if item.positive else negated(value)
        if found.level == NO:
            return Truth(NO, (self.cause(item, last, moment),))
        if found.level == UNKNOWN and not found.causes:
            return Truth(UNKNOWN, (Cause("reading", item.atom.condition, item.atom.where, why="not recorded"),))
        return found

    def _aged(self, item: Literal, last: Change, moment: Moment, lapses: Fraction) -> Truth:
        view, condition = self.view, item.atom.condition
        use = -1 if moment.step is None else moment.step
        lost = Cause("lost", condition, item.atom.where, last.step, use, others=self.healers(item), use=use)
        if moment == Moment(last.step, True):
            return last.truth if item.positive else self._not(item, last, moment)
        if view.plan:
            usual = view.takes_between(last.step, moment.step)
            if item.positive:
                return Truth(NO, (lost,)) if usual > lapses else Truth(OPEN)
            return Truth(YES) if usual >= lapses else Truth(OPEN)
        age = view.elapsed(last.step, moment.step)
        if age is None:
            return Truth(
                UNKNOWN,
                (Cause("time", view.occurrences[last.step].label, "", last.step, why="not recorded"),),
            )
        if item.positive:
            return Truth(NO, (lost,)) if age > lapses else last.truth
        return Truth(YES) if age >= lapses else self._not(item, last, moment)

    def _not(self, item: Literal, last: Change, moment: Moment) -> Truth:
        found = negated(last.truth)
        return Truth(NO, (self.cause(item, last, moment),)) if found.level == NO else found

    # why

    def healers(self, item: Literal) -> tuple[str, ...]:
        """The steps of the vocabulary that can make a literal true."""
        wanted = n.Fixed(item.positive)
        pairs = self._touching.get(item.atom.condition, ())
        return tuple(dict.fromkeys(step for step, e in pairs if e.to == wanted or not isinstance(e.to, n.Fixed)))

    def cause(self, item: Literal, last: Change | None, moment: Moment) -> Cause:
        """Why a literal is false: a step that is not there, one that comes too late, or one that undid it."""
        view, atom = self.view, item.atom
        per = view.book.conditions[atom.condition].per
        side = atom.where if per == "side" else ""
        at = -1 if moment.step is None else moment.step
        wanted = atom.condition if item.positive else f"not {atom.condition}"
        healers = self.healers(item)
        present = self._makers_of(item)
        if not present:
            by = last.step if last else -1
            if not healers or last is not None and view.occurrences[last.step].step in healers:
                return Cause("lost", wanted, side, by, at, others=healers, use=at)
            who = f" by {atom.where}" if per == "person" and atom.where and item.positive else ""
            return Cause("absent", " or ".join(healers) + who, side, at, by, "not recorded", healers, at)
        late = next((i for i in present if moment.step is None or i != at and not view.order.before(i, at)), None)
        if last is None and late is not None and at >= 0:
            return Cause("swapped", atom.condition, side, at, late, others=healers, use=at)
        if last is not None and at >= 0 and late is not None:
            return Cause("lost", wanted, side, last.step, late, others=healers, use=at)
        return Cause("lost", wanted, side, last.step if last else -1, at, others=healers, use=at)

    def _makers_of(self, item: Literal) -> tuple[int, ...]:
        """The occurrences that make or may make a literal true, along the line."""
        if item not in self._makers:
            self._makers[item] = tuple(
                change.step
                for change in self.changes(item.atom)
                if (change.truth.level == YES) == item.positive or change.truth.level in (UNKNOWN, OPEN)
            )
        return self._makers[item]

    # over every order

    def worst_before(self, item: Formula, moment: Moment) -> tuple[Truth, tuple[int, ...]]:
        """The worst truth of a formula just before an occurrence (or at the end) over all orders, and one of those.

        The order is a tuple of occurrences, empty where the procedure has one order only or nothing is wrong.
        """
        if self.view.order.total:
            return self.at(item, moment), ()
        parts = conjunction(item)
        if parts is not None and all(self._necessarily(part, moment, OPEN) for part in parts):
            if all(self._necessarily(part, moment, YES) for part in parts):
                return Truth(YES), ()
            return Truth(OPEN), ()
        from ringcut.relations.search import search_before

        return search_before(self, item, moment)

    def _necessarily(self, item: Literal | Given, moment: Moment, limit: int) -> bool:
        """Whether a literal is at least as good as ``limit`` in every order (modal truth criterion)."""
        if isinstance(item, Given):
            return item.truth.level <= limit
        if self.view.book.conditions[item.atom.condition].lapses is not None:
            return False
        order, at = self.view.order, moment.step
        makers, enders, line = self._makers_and_enders(item, limit)
        if at is None:
            earlier, later, cut = (1 << order.n) - 1, 0, len(line)
        else:
            earlier, later = order.before_bits(at), order.after_bits(at) | 1 << at
            cut = bisect_left(line, order.rank[at], key=order.rank.__getitem__)
            if moment.after:
                if makers >> at & 1:
                    return True
                if enders >> at & 1:
                    return False
        good = makers & earlier
        if not good and self._literal_level(item, None, moment) > limit:
            return False
        threats = enders & ~later
        latest = next((line[i] for i in range(cut - 1, -1, -1) if good >> line[i] & 1), None)
        if latest is not None:
            threats &= ~order.before_bits(latest)
        return all(order.after_bits(threat) & good for threat in bits(threats))

    def _makers_and_enders(self, item: Literal, limit: int) -> tuple[int, int, tuple[int, ...]]:
        """The steps after which a literal is, or is not, as good as ``limit``, as bitsets; the makers in line too."""
        key = (item, limit)
        if key not in self._sorted:
            line: list[int] = []
            enders = 0
            for change in self.changes(item.atom):
                level = change.truth.level if item.positive else opposite(change.truth.level)
                if level > limit:
                    enders |= 1 << change.step
                elif not self.view.occurrences[change.step].optional:
                    line.append(change.step)
            self._sorted[key] = sum(1 << step for step in line), enders, tuple(line)
        return self._sorted[key]

    def search(self, item: Formula, also: tuple[int, ...] = ()) -> Search:
        """The search over the orders of a formula's steps and some others, made once."""
        from ringcut.relations.search import Search

        key = (item, also)
        if key not in self._searches:
            self._searches[key] = Search(self, item, also)
        return self._searches[key]


def unread(found: Truth) -> bool:
    """Whether something is unknown for nothing but readings that were not taken."""
    return found.level == UNKNOWN and all(
        cause.kind == "reading" and cause.why == "not recorded" for cause in found.causes
    )

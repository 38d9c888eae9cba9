"""Verdicts of many versions of one plan: a rule is judged again only where the order of its own steps is new."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction
from functools import cached_property

import msgspec

from ringcut.correct.edits import edges_of, is_plain, leaves, part
from ringcut.correct.effort import Effort
from ringcut.correct.protection import PROTECTION, Doing, Protection
from ringcut.correct.relevance import Relevance, relevance
from ringcut.draft.models import Items
from ringcut.fit.notimes import times_exclude
from ringcut.forms.instance import Context
from ringcut.forms.judging import instances
from ringcut.language import ir
from ringcut.reading.problems import Problem
from ringcut.reading.raw import RawProcedure, RawStep
from ringcut.reading.suggest import canonical
from ringcut.relations.conditions import Conditions
from ringcut.relations.evaluate import truth
from ringcut.relations.meant import meant
from ringcut.relations.procedure import Occurrence, Procedure
from ringcut.relations.resolve import resolve
from ringcut.relations.truth import NO, UNKNOWN, YES, Truth
from ringcut.relations.view import View

Key = tuple[object, ...]
JUDGED = 10
"""What it costs to judge a rule anew, in looks at a few that were judged before."""
KEPT = 3
"""What it costs to look whether every protection is kept, which needs no judgement."""
LOOKED = 12
"""So many are a few."""


class Verdicts:
    """What the rules that may apply to a job say of its plans, as far as steps and their order decide it.

    A limit counts as broken where a step that it needs is absent; its values are for ``readings``.
    """

    def __init__(self, raw: RawProcedure, book: ir.Rulebook, effort: Effort | None = None) -> None:
        self.raw, self.book = raw, book
        self.effort = effort or Effort()
        whole = resolve(raw, book, [])
        self.closures = whole.closures
        view = self._job = View(whole, book)
        self.rules = {
            rule.id: rule
            for rule in book.rules
            if not isinstance(rule.form, ir.Pattern | ir.Record) and _may_apply(rule, view)
        }
        self.about: dict[str, Relevance] = {name: relevance(rule, book) for name, rule in self.rules.items()}
        self.together = self._together()
        self.protection = Protection(book)
        self.about[PROTECTION] = Relevance(self.protection.steps, self.protection.given)
        self.untimed = tuple(name for name, about in self.about.items() if not about.timed)
        self.timed = tuple(name for name, about in self.about.items() if about.timed)
        self.late = (*self.timed, PROTECTION)
        """Those for which nearly every edit is a new order."""
        self._known: dict[tuple[str, Key], bool] = {}
        self._numbers: dict[RawStep, int] = {}
        self._facts: dict[int, StepFacts] = {}
        self._looking: dict[str, tuple[str, ...]] = {}
        self._read: dict[RawStep, Occurrence] = {}
        self._doings: dict[int, Doing] = {}
        self._seen: dict[Relevance, set[int]] = {about: set() for about in self.about.values()}
        """Of the steps met so far those that a rule looks at, by their numbers."""
        self._loose: dict[Relevance, set[int]] = {}
        for closure in self.closures:
            self.protection.begin(closure, View(whole, book, closure))

    def name_of(self, step: RawStep) -> str:
        """A step's name in the vocabulary."""
        return self.facts(step).name

    def facts(self, step: RawStep) -> StepFacts:
        """What is asked of a step again and again; known by the object, since to compare steps takes long."""
        known = self._facts.get(id(step))
        if known is None:
            name = self.named(step.do.text, tuple(each.text for each in step.side))
            takes = self.book.steps[name].takes or Fraction(0)
            number = self._number(step, name)
            length = takes.numerator if takes.denominator == 1 else takes
            known = self._facts[id(step)] = StepFacts(step, name, number, length)
        return known

    def _number(self, step: RawStep, name: str) -> int:
        number = self._numbers.get(step)
        if number is None:
            number = self._numbers[step] = len(self._numbers)
            for about, seen in self._seen.items():
                if name in about.steps:
                    seen.add(number)
                if name in about.loose:
                    self._loose.setdefault(about, set()).add(number)
        return number

    def named(self, text: str, sides: tuple[str, ...] = ()) -> str:
        """The name in the vocabulary for what was typed; of a word that steps share the one that the job means."""
        name = canonical(text)
        if name in self.book.shared:
            found = meant(name, sides or self._job.sides, self._job)
            return found[0] if len(found) == 1 else self.book.synonyms[name]
        return self.book.synonyms.get(name, name)

    def broken(self, items: Items, among: Iterable[str] | None = None) -> list[str]:
        """The rules that a version does not conform to, in the order of the rulebook."""
        keys = self._keys(items, self.about if among is None else among)
        self.effort.spend(1 + len(keys) // LOOKED)
        new = [name for name, key in keys.items() if (name, key) not in self._known]
        if new:
            self._judge(items, new, keys)
        return [name for name, key in keys.items() if self._known[name, key]]

    def broken_after(self, items: Items, name: str, before: Iterable[str]) -> list[str]:
        """What is broken after an edit of a step of this name, before which other rules were broken.

        Only rules that look at the step are judged again, the late ones not at all.
        """
        touching = self._touching(name)
        rest = [rule for rule in before if rule not in touching]
        return [*rest, *self.broken(items, touching)]

    def holds(self, items: Items) -> bool:
        """Whether nothing is broken; quicker than :meth:`broken` where something is."""
        return next(self.one_by_one(items), None) is None

    def one_by_one(self, items: Items) -> Iterator[str]:
        """The broken rules, each as soon as it is known: those judged before first, those about time last."""
        for names in (self.untimed, self.timed):
            keys = self._keys(items, names)
            self.effort.spend(1 + len(keys) // LOOKED)
            yield from [name for name, key in keys.items() if self._known.get((name, key))]
            for name in [name for name, key in keys.items() if (name, key) not in self._known]:
                self._judge(items, [name], keys)
                if self._known[name, keys[name]]:
                    yield name

    def _judge(self, items: Items, names: list[str], keys: dict[str, Key]) -> None:
        whole: dict[str, tuple[View, Conditions]] = {}
        for name in names:
            self.effort.spend(JUDGED if name != PROTECTION else KEPT)
            about, broken = self.about[name], False
            for closure in self.closures:
                if name == PROTECTION and (line := self._line(items)) is not None:
                    broken = broken or self.protection.lost_in_line(closure, list(self._protecting(line, closure)))
                    continue
                if not about.timed:
                    views = self._views(self._part(items, about, closure), closure)
                elif closure in whole:
                    views = whole[closure]
                else:
                    views = whole[closure] = self._views(self._part(items, about, closure), closure)
                broken = broken or self.is_broken(name, *views)
            self._known[name, keys[name]] = broken

    def is_broken(self, name: str, view: View, conditions: Conditions) -> bool:
        """Whether a rule is broken; or, where it stands for all limits of time, whether they exclude each other."""
        if name == PROTECTION:
            return self.protection.lost(view.closure, view)
        if is_broken(Context(self.rules[name], view, conditions)):
            return True
        return name == self.together and times_exclude(view)

    def _protecting(self, line: tuple[StepFacts, ...], closure: str) -> Iterator[Doing]:
        for each in line:
            if each.name in self.protection.steps and self.is_seen(each.step, closure):
                found = self._doings.get(each.number)
                if found is None:
                    found = self._doings[each.number] = self.protection.doing(self.occurrence(each.step, 0))
                yield found

    def _together(self) -> str:
        """The rule that stands for all limits of time together; empty where there is no least time to keep."""
        limits = {name: rule.form for name, rule in self.rules.items() if isinstance(rule.form, ir.Elapsed)}
        name = next((name for name, form in limits.items() if form.at_least is not None), "")
        if name:
            steps = frozenset[str]().union(*(self.about[each].steps for each in limits))
            self.about[name] = msgspec.structs.replace(self.about[name], steps=steps)
        return name

    def _part(self, items: Items, about: Relevance, closure: str) -> Items:
        """The steps that a rule looks at: the others change nothing for it, unless it is about time."""
        if about.timed and len(self.closures) == 1:
            return items
        return part(items, lambda step: self.is_seen(step, closure) and self._looks(about, step))

    def _looks(self, about: Relevance, step: RawStep) -> bool:
        return about.timed or self.name_of(step) in about.steps

    def is_seen(self, step: RawStep, closure: str) -> bool:
        """Whether a closure's rules see a step: its own, those of no closure, those for the whole site."""
        return (
            len(self.closures) == 1
            or step.closure is None
            or step.closure.text == closure
            or self.book.steps[self.name_of(step)].site
        )

    def _views(self, items: Items, closure: str) -> tuple[View, Conditions]:
        view = View(self.procedure(items), self.book, closure)
        return view, Conditions(view)

    def procedure(self, items: Items) -> Procedure:
        """A version on the vocabulary."""
        raw = msgspec.structs.replace(self.raw, steps=items)
        if not is_plain(items):
            return resolve(raw, self.book, [])
        steps = [self.occurrence(step, at) for at, (_, step) in enumerate(leaves(items))]
        return msgspec.structs.replace(self.base, occurrences=steps, edges=edges_of(items))

    def problems(self, items: Items) -> list[Problem]:
        """What keeps a version from being read, such as steps that wait for each other."""
        problems: list[Problem] = []
        resolve(msgspec.structs.replace(self.raw, steps=items), self.book, problems)
        return problems

    @cached_property
    def base(self) -> Procedure:
        """The procedure without its steps."""
        return resolve(msgspec.structs.replace(self.raw, steps=()), self.book, [])

    def occurrence(self, step: RawStep, at: int) -> Occurrence:
        """A step on the vocabulary, with a number."""
        if step not in self._read:
            self._read[step] = resolve(msgspec.structs.replace(self.raw, steps=(step,)), self.book, []).occurrences[0]
        return msgspec.structs.replace(self._read[step], index=at)

    def _keys(self, items: Items, rules: Iterable[str]) -> dict[str, Key]:
        """For each rule what its verdict depends on: the order of its own steps, or all that is between them too."""
        line = self._line(items)
        if line is not None:
            return self._keys_of_line(line, rules)
        if not is_plain(items):
            return dict.fromkeys(rules, _projected(self._shape(items), None, _NONE))
        shape = self._shape(items)
        whole = _projected(shape, None, _NONE)
        parts: dict[Relevance, Key] = {}
        for name in rules:
            about = self.about[name]
            if about not in parts:
                parts[about] = whole if about.timed else _projected(shape, about.steps, about.loose)
        return {name: parts[self.about[name]] for name in rules}

    def _keys_of_line(self, line: tuple[StepFacts, ...], rules: Iterable[str]) -> dict[str, Key]:
        """The same where the steps come one after the other, which is most often, and has to be quick."""
        numbers = [each.number for each in line]
        parts: dict[int, Key] = {}
        found: dict[str, Key] = {}
        for name in rules:
            about = self.about[name]
            key = parts.get(id(about))
            if key is None:
                if about.timed:
                    key = _with_lengths(line, about.steps)
                else:
                    seen = self._seen[about]
                    key = tuple([number for number in numbers if number in seen])
                    if about in self._loose:
                        key = _in_rows(key, self._loose[about])
                parts[id(about)] = key
            found[name] = key
        return found

    def _line(self, items: Items) -> tuple[StepFacts, ...] | None:
        """The steps of a plain list; None where there is more than that."""
        known = self._facts
        found = []
        for item in items:
            if not isinstance(item, RawStep) or item.after is not None:
                return None
            found.append(known.get(id(item)) or self.facts(item))
        return tuple(found)

    def _shape(self, items: Items) -> Shape:
        return tuple(
            self.facts(item) if isinstance(item, RawStep) else tuple(self._shape(each) for each in item.branches)
            for item in items
        )

    def _touching(self, step: str) -> tuple[str, ...]:
        """The rules, save the late ones, that look at a step."""
        if step not in self._looking:
            self._looking[step] = tuple(
                name for name, about in self.about.items() if step in about.steps and name not in self.late
            )
        return self._looking[step]

    def identity(self, items: Items) -> Key:
        """What tells versions apart, quicker to compare than they are."""
        return _projected(self._shape(items), None, _NONE)

    def order_of(self, items: Items, names: frozenset[str]) -> Key:
        """The order among the steps of these names, in a version without ``after``; else the whole version."""
        return _projected(self._shape(items), names, _NONE) if is_plain(items) else (items,)


class StepFacts(msgspec.Struct, frozen=True):
    """A step, its name in the vocabulary, a number that is the same for the same, and its usual seconds."""

    step: RawStep
    name: str
    number: int
    takes: int | Fraction


Shape = tuple["StepFacts | tuple[Shape, ...]", ...]
"""A plan as steps and groups; a group is the tuple of its branches."""
_NONE: frozenset[str] = frozenset()


def _projected(shape: Shape, steps: frozenset[str] | None, loose: frozenset[str]) -> Key:
    """The order of some steps, or of all; of loose steps in a row only which they are."""
    found: list[object] = []
    row: list[int] = []
    for each in shape:
        if isinstance(each, tuple):
            branches = tuple([part for branch in each if (part := _projected(branch, steps, loose))])
            if not branches:
                continue
            found.append(branches)
        elif steps is not None and each.name not in steps:
            continue
        elif each.name in loose:
            row.append(each.number)
            continue
        else:
            found.append(each.number)
        if row:
            found[-1:-1] = sorted(row)
            row = []
    return (*found, *sorted(row))


def _in_rows(numbers: tuple[int, ...], loose: set[int]) -> Key:
    """An order in which loose steps that stand in a row come by their numbers."""
    found: list[object] = []
    row: list[int] = []
    for number in numbers:
        if number in loose:
            row.append(number)
            continue
        found += (*sorted(row), number)
        row = []
    return (*found, *sorted(row))


def _with_lengths(line: tuple[StepFacts, ...], steps: frozenset[str]) -> Key:
    """The order of the steps that a rule about time looks at, and how long the others between them take."""
    found: list[object] = []
    between: int | Fraction = 0
    for each in line:
        if each.name in steps:
            found += (between, each.number)
            between = 0
        else:
            between += each.takes
    found.append(between)
    return tuple(found)


def _may_apply(rule: ir.Rule, view: View) -> bool:
    return rule.when is None or any(truth(rule.when, view, side).level != NO for side in view.sides)


def is_broken(context: Context) -> bool:
    """Nonconforming as the judgement says it: false at some place where the rule is known to apply."""
    when, view = context.rule.when, context.view
    lacking = isinstance(context.rule.form, ir.Limit)
    return any(
        (_lacks_step(instance.truth) if lacking else instance.truth.level == NO)
        and (when is None or truth(when, view, instance.side).level == YES)
        for instance in instances(context)
    )


def _lacks_step(found: Truth) -> bool:
    return found.level == UNKNOWN and any(cause.kind == "absent" for cause in found.causes)

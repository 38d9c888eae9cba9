"""Verdicts of many versions of one plan: a rule is judged again only where the order of its own steps is new."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import cached_property

import msgspec

from ringcut.correct.edits import edges_of, is_plain, leaves, part
from ringcut.correct.relevance import Relevance, relevance
from ringcut.draft.models import Items
from ringcut.forms.instance import Context
from ringcut.forms.judging import instances
from ringcut.language import ir
from ringcut.reading.problems import Problem
from ringcut.reading.raw import RawGroup, RawProcedure, RawStep
from ringcut.reading.suggest import canonical
from ringcut.relations.conditions import Conditions
from ringcut.relations.evaluate import truth
from ringcut.relations.meant import meant
from ringcut.relations.procedure import Occurrence, Procedure
from ringcut.relations.resolve import resolve
from ringcut.relations.truth import NO, UNKNOWN, YES, Truth
from ringcut.relations.view import View

Key = tuple[object, ...]


class Verdicts:
    """What the rules that may apply to a job say of its plans, as far as steps and their order decide it.

    A limit counts as broken where a step that it needs is absent; its values are for ``readings``.
    """

    def __init__(self, raw: RawProcedure, book: ir.Rulebook) -> None:
        self.raw, self.book = raw, book
        self.judged = 0
        """Versions that had to be judged."""
        whole = resolve(raw, book, [])
        self.closures = whole.closures
        view = self._job = View(whole, book)
        self.rules = {
            rule.id: rule
            for rule in book.rules
            if not isinstance(rule.form, ir.Pattern | ir.Record) and _may_apply(rule, view)
        }
        self.about: dict[str, Relevance] = {name: relevance(rule, book) for name, rule in self.rules.items()}
        self._known: dict[tuple[str, Key], bool] = {}
        self._numbers: dict[RawStep, int] = {}
        self._looking: dict[str, tuple[str, ...]] = {}
        self._read: dict[RawStep, Occurrence] = {}

    def name_of(self, step: RawStep) -> str:
        """A step's name in the vocabulary."""
        return self.named(step.do.text, tuple(each.text for each in step.side))

    def named(self, text: str, sides: tuple[str, ...] = ()) -> str:
        """The name in the vocabulary for what was typed; of a word that steps share the one that the job means."""
        name = canonical(text)
        if name in self.book.shared:
            found = meant(name, sides or self._job.sides, self._job)
            return found[0] if len(found) == 1 else self.book.synonyms[name]
        return self.book.synonyms.get(name, name)

    def broken(self, items: Items, among: Iterable[str] | None = None) -> list[str]:
        """The rules that a version does not conform to, in the order of the rulebook."""
        keys = self._keys(items, self.rules if among is None else among)
        new = [name for name, key in keys.items() if (name, key) not in self._known]
        if new:
            self.judged += 1
            self._judge(items, new, keys)
        return [name for name, key in keys.items() if self._known[name, key]]

    def holds(self, items: Items) -> bool:
        """Whether nothing is broken; quicker than :meth:`broken` where something is."""
        return next(self.one_by_one(items), None) is None

    def one_by_one(self, items: Items) -> Iterator[str]:
        """The broken rules, each as soon as it is known: those judged before first, those about time last."""
        keys = self._keys(items, self.rules)
        new = [name for name, key in keys.items() if (name, key) not in self._known]
        yield from [name for name, key in keys.items() if self._known.get((name, key))]
        for name in sorted(new, key=lambda name: self.about[name].timed):
            self._judge(items, [name], keys)
            if self._known[name, keys[name]]:
                yield name

    def _judge(self, items: Items, names: list[str], keys: dict[str, Key]) -> None:
        whole: dict[str, tuple[View, Conditions]] = {}
        for name in names:
            about, broken = self.about[name], False
            for closure in self.closures:
                if not about.timed:
                    views = self._views(self._part(items, about, closure), closure)
                elif closure in whole:
                    views = whole[closure]
                else:
                    views = whole[closure] = self._views(self._part(items, about, closure), closure)
                broken = broken or is_broken(Context(self.rules[name], *views))
            self._known[name, keys[name]] = broken

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
        if not all(isinstance(item, RawStep) for item in items) or not is_plain(items):
            return self._tree_keys(items, tuple(rules))
        wanted = tuple(rules)
        found: dict[str, list[int]] = {name: [] for name in wanted}
        for _, step in leaves(items):
            number = self.number(step)
            for name in self._touching(self.name_of(step)):
                if name in found:
                    found[name].append(number)
        every = tuple(self.number(step) for _, step in leaves(items))
        return {name: every if self.about[name].timed else tuple(found[name]) for name in wanted}

    def _tree_keys(self, items: Items, rules: tuple[str, ...]) -> dict[str, Key]:
        whole, plain = self._tree(items, None), is_plain(items)
        found: dict[str, Key] = {}
        parts: dict[frozenset[str], Key] = {}
        for name in rules:
            about = self.about[name]
            if about.timed or not plain:
                found[name] = whole
                continue
            if about.steps not in parts:
                parts[about.steps] = self._tree(items, about.steps)
            found[name] = parts[about.steps]
        return found

    def _touching(self, step: str) -> tuple[str, ...]:
        """The rules, save those about time, that look at a step."""
        if step not in self._looking:
            self._looking[step] = tuple(
                name for name, about in self.about.items() if step in about.steps and not about.timed
            )
        return self._looking[step]

    def _tree(self, items: Items, steps: frozenset[str] | None) -> Key:
        found: list[object] = []
        for item in items:
            if isinstance(item, RawGroup):
                branches = tuple(part for branch in item.branches if (part := self._tree(branch, steps)))
                found += [branches] if branches else []
            elif steps is None or self.name_of(item) in steps:
                found.append(self.number(item))
        return tuple(found)

    def number(self, step: RawStep) -> int:
        """A number for a step, the same for the same."""
        return self._numbers.setdefault(step, len(self._numbers))


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

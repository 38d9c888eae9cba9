"""The readings that a plan leaves open, as variables under the limits that apply to it.

``open_readings`` binds every limit in force to the doings of a plan. The result answers what the plan's
maker asks: which values are left for each reading, which choice is best by the rulebook's own preference, or
why there is none.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from fractions import Fraction
from itertools import islice, product

import msgspec

from ringcut.fit import bindinglimits as b
from ringcut.fit import problem as fit
from ringcut.fit.answers import Budget, GaveUp, NoSolution, Remaining, Solution
from ringcut.fit.bindingdomains import domain_of, table_keys, words_of
from ringcut.fit.bindinglimits import Open
from ringcut.fit.solve import DEFAULT, best, remaining
from ringcut.forms import limit as limits
from ringcut.forms.instance import Context
from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.relations.conditions import Conditions
from ringcut.relations.evaluate import truth
from ringcut.relations.procedure import Procedure
from ringcut.relations.spans import Missing, Span, Value, Words
from ringcut.relations.truth import NO, YES, Cause
from ringcut.relations.view import View

MOST_BINDINGS = 100
"""Ways in which a limit may be bound to doings in no order; with more it is left to the judgement."""


class Bound(msgspec.Struct, frozen=True):
    """One limit at one doing with the readings it looks at: for telling it."""

    rule: ir.Rule
    env: b.Trial
    side: str
    guard: n.Node | None = None
    """In place of the rule's own limit: what a condition that the rule needs asks of the readings of a step."""

    @property
    def what(self) -> n.Node:
        """The expression that looks at the readings."""
        if self.guard is not None:
            return self.guard
        assert isinstance(self.rule.form, ir.Limit)
        return self.rule.form.what


class Opened(msgspec.Struct):
    """The open readings of one closure, their values, and what the limits demand of them."""

    view: View
    domains: dict[Open, fit.Domain]
    constraints: list[fit.Constraint]
    bound: dict[str, list[Bound]] = msgspec.field(default_factory=dict)
    """Rule id -> where it was bound."""
    blocked: dict[str, tuple[str, ...]] = msgspec.field(default_factory=dict)
    """Rule id -> what is not known, so that it demands nothing."""
    lenient: bool = False
    """Whether only what certainly breaks a limit is excluded."""

    def word(self, where: Open) -> ir.Word:
        """The reading in the vocabulary."""
        return self.view.book.steps[self.view.occurrences[where.at].step].readings[where.reading]

    def problem(self, more: Iterable[fit.Constraint] = ()) -> fit.Problem:
        """The problem, with more constraints over the same variables (named by ``Open.name``)."""
        variables = {where.name: domain for where, domain in self.domains.items()}
        return fit.Problem(variables, (*self.constraints, *more))

    def named(self) -> dict[str, Open]:
        """Variable name -> reading."""
        return {where.name: where for where in self.domains}

    def preferences(self) -> tuple[fit.Preference, ...]:
        """The rulebook's own preference as far as it speaks of what is open."""
        node = self.view.book.prefer
        if node is None:
            return ()
        terms: dict[str, Fraction] = {}
        for index, each in enumerate(self.view.occurrences):
            env = b.Trial(self.view, {(each.step, ""): index}, {})
            for leaf in n.walk(node):
                if isinstance(leaf, n.Reading) and leaf.step == each.step:
                    found = b.Translation(env, "", self.domains, None).sum(leaf, "")
                    for where, c in (found.terms if found else {}).items():
                        terms[where.name] = c
        return (fit.Preference(terms, "the rulebook's preference"),) if terms else ()

    def choose(self, more: Iterable[fit.Constraint] = (), budget: Budget = DEFAULT) -> Solution | NoSolution | GaveUp:
        """The best complete choice by the rulebook's preference, or why there is none."""
        return best(self.problem(more), self.preferences(), budget)

    def left(self, budget: Budget = DEFAULT) -> Remaining | NoSolution | GaveUp:
        """The values that occur in some conforming choice, by variable name."""
        return remaining(self.problem(), budget)


def open_readings(
    procedure: Procedure,
    book: ir.Rulebook,
    closure: str = "",
    *,
    assume: Mapping[Open, Value] | None = None,
    wanted: Iterable[Open] = (),
    cautious: bool = False,
    measured: Collection[str] = (),
    rules: Collection[str] | None = None,
    lenient: bool = False,
) -> Opened:
    """What a plan leaves open under the limits of the rules that apply.

    ``assume``: values taken for granted in place of what the plan says. ``wanted``: readings that count as
    open although the plan has a value. ``cautious``: a rule of which it is not known whether it applies
    counts as one that does. ``measured``: names of readings that are only known when done and count as open
    too, so that their acceptance values are tried together. ``rules``: only these, where it is known that no other
    looks at what is open. ``lenient``: exclude only what certainly breaks a limit, not what cannot be said.
    """
    view = View(procedure, book, closure)
    given = dict(assume or {})
    domains = _domains(view, given, set(wanted), measured)
    opened = Opened(view, {}, [], lenient=lenient)
    conditions = Conditions(view)
    for rule in book.rules:
        if not isinstance(rule.form, ir.Limit) or rules is not None and rule.id not in rules:
            continue
        if not (lenient and rule.form.unclear is not None):
            _bind(rule, rule.form, Context(rule, view, conditions), given, domains, opened, cautious)
    used = {name for constraint in opened.constraints for name in constraint.scope}
    opened.domains = {where: domain for where, domain in domains.items() if where.name in used}
    return opened


def given_readings(procedure: Procedure) -> list[Open]:
    """Every reading that a plan has a value for."""
    return [
        Open(each.index, name, side)
        for each in procedure.occurrences
        for (name, given) in each.readings
        for side in ((given,) if given else ("", *each.sides))
    ]


def ranged_readings(procedure: Procedure, book: ir.Rulebook) -> dict[Open, Value]:
    """Planned readings that a plan gives as a range ("at least 27 in") or as several words: not yet decided.

    A tolerance (``±``) is decided: the worst of it must conform.
    """
    found: dict[Open, Value] = {}
    for where in given_readings(procedure):
        each = procedure.occurrences[where.at]
        word = book.steps[each.step].readings[where.reading]
        value = each.readings.get((where.reading, where.side), each.readings.get((where.reading, "")))
        if not word.planned or word.sided != bool(where.side):
            continue
        if isinstance(value, Span) and (value.exact or value.tolerance or value.terms):
            continue
        if isinstance(value, Span) or isinstance(value, Words) and len(value.options) > 1:
            found[where] = value
    return found


Asking = Mapping[tuple[str, str], Sequence[str]]
"""(step, reading) -> the rules whose limit looks at it."""


def rules_asking(book: ir.Rulebook) -> Asking:
    """Which limits look at which reading."""
    found: dict[tuple[str, str], list[str]] = {}
    for rule in book.rules:
        if isinstance(rule.form, ir.Limit):
            for step, name in {
                (node.step, node.name) for node in n.walk(rule.form.what) if isinstance(node, n.Reading)
            }:
                found.setdefault((step, name), []).append(rule.id)
    return found


def facts_again(procedure: Procedure, book: ir.Rulebook) -> dict[Open, Value]:
    """Readings that repeat a job fact, to be taken for granted: missing where neither step nor job says them."""
    found: dict[Open, Value] = {}
    for each in procedure.occurrences:
        for name in book.steps[each.step].readings:
            if name in book.facts:
                missing = Missing(Cause("fact", name, why="not recorded"))
                found[Open(each.index, name)] = each.readings.get((name, ""), missing)
    return found


def values_left(procedure: Procedure, book: ir.Rulebook, budget: Budget = DEFAULT) -> dict[tuple[int, str, str], str]:
    """(step index, reading, side) -> the values that conform, in words, for each planned reading left open.

    Empty where nothing is open, where no choice conforms (``conflict_of`` says why) and where the search gave
    up.
    """
    found: dict[tuple[int, str, str], str] = {}
    for closure in procedure.closures:
        granted = facts_again(View(procedure, book, closure).procedure, book)
        opened = open_readings(procedure, book, closure, assume=granted)
        answer = opened.left(budget) if opened.domains else None
        if not isinstance(answer, Remaining):
            continue
        line = [each.place.line for each in opened.view.occurrences]
        at = {each.place.line: each.index for each in procedure.occurrences}
        for where, domain in opened.domains.items():
            index = where.at if opened.view.procedure is procedure else at[line[where.at]]
            values = answer.values[where.name]
            found[index, where.reading, where.side] = words_of(values, opened.word(where), domain)
    return found


def _domains(
    view: View, given: Mapping[Open, Value], wanted: set[Open], measured: Collection[str]
) -> dict[Open, fit.Domain]:
    keys = table_keys(view.book)
    found: dict[Open, fit.Domain] = {}
    for each in view.occurrences:
        for name, word in view.book.steps[each.step].readings.items():
            domain = domain_of(word, keys.get((each.step, name), ()))
            if domain is None or word.otherwise or not (word.planned or name in measured):
                continue
            if view.book.steps[each.step].again == "adds" and len(view.by_step[each.step]) > 1:
                continue  # a limit looks at the sum of all doings, not at one of them
            for side in each.sides if word.sided else ("",):
                where = Open(each.index, name, side)
                is_open = (name, side) not in each.readings and (name, "") not in each.readings
                if where not in given and (is_open or where in wanted):
                    found[where] = domain if is_open else _with_own(domain, each.readings, name, side)
    return found


def _with_own(domain: fit.Domain, readings: Mapping[tuple[str, str], Value], name: str, side: str) -> fit.Domain:
    """The domain with the value, or the ends of the range, that the plan has, where those lie beside the grid."""
    own = readings.get((name, side), readings.get((name, "")))
    numbers = [each for each in domain if isinstance(each, Fraction)]
    if not isinstance(own, Span) or own.tolerance or not numbers:
        return domain
    ends = {each for each in (own.low, own.high) if each is not None}
    return tuple(sorted(ends.union(numbers))) if ends - set(numbers) else domain


def _bind(
    rule: ir.Rule,
    form: ir.Limit,
    context: Context,
    given: dict[Open, Value],
    domains: dict[Open, fit.Domain],
    opened: Opened,
    cautious: bool,
) -> None:
    view = context.view
    for index, side in _anchors(form, context):
        applies = YES if rule.when is None else truth(rule.when, view, side).level
        if applies == NO or applies != YES and not cautious:
            continue
        asked = limits.doings_meant(form, context, index, side)
        ways = list(islice(product(*(found for _, found in asked)), MOST_BINDINGS + 1))
        if len(ways) > MOST_BINDINGS:
            opened.blocked[rule.id] = ("too many orders",)
            continue
        for way in ways:
            env = b.Trial(view, {key: chosen for (key, _), chosen in zip(asked, way, strict=True)}, given)
            _translate(rule, form, env, side, domains, opened)


def _translate(
    rule: ir.Rule, form: ir.Limit, env: b.Trial, side: str, domains: dict[Open, fit.Domain], opened: Opened
) -> None:
    translation = b.Translation(env, side, domains, fit.Label(rule.id, rule.says), opened.lenient)
    made = list(translation.constraints(form.what))
    opened.constraints += made
    if made:
        opened.bound.setdefault(rule.id, []).append(Bound(rule, env, side))
    if translation.blocked:
        known = opened.blocked.get(rule.id, ())
        opened.blocked[rule.id] = tuple(dict.fromkeys((*known, *translation.blocked)))


def _anchors(form: ir.Limit, context: Context) -> Iterable[tuple[int | None, str]]:
    if form.of.moment == ir.START:
        return [(None, side) for side in context.all_sides()]
    return context.judged(form.of)

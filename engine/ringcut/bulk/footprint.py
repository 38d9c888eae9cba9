"""What a rule can see: the steps it looks at, the comparisons it makes, the lengths of time it asks for.

A rule's level depends on nothing else, so two logs that agree in these get the same level. The walk follows derived
facts and conditions to what they are made of.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction

import msgspec

from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.reading.kinds import WORDS

JOINING = ("both", "least", "greatest")
"""Functions over the sides of one reading."""

NEVER_IN_ONE_LOG = ("copied-readings", "sides-swapped", "no-successor")
"""Looks that find nothing in one log."""
NEVER_IN_ORDER = ("times-against-list", "times-backwards", "not-applicable-claimed")
"""Looks whose answer is the same for every log that is in order of time and claims nothing."""
AT_MARKS = ("implausible-reading", "unit-mixed-up", "says-all-done")
"""Looks at entries by themselves, whatever their step."""

STEPS, MARKED, EVERY = "steps", "marked", "every"


Role = tuple[bool, ...]
"""Of each set of steps that a form names, whether a step is in it."""


class Unit(msgspec.Struct, frozen=True):
    """A comparison, the smallest thing that is true or false, with the readings and facts it rests on."""

    node: n.Node
    readings: frozenset[tuple[str, str]]
    facts: frozenset[str]
    joined: bool
    """It asks both sides of a reading at once."""


class Footprint(msgspec.Struct, frozen=True):
    """Everything of a log that one rule looks at."""

    steps: frozenset[str]
    units: tuple[Unit, ...] = ()
    """The comparisons of a limit."""
    spans: tuple[Fraction, ...] = ()
    """Lengths of time that gaps between any two of its entries are compared with, in seconds."""
    lapsing: tuple[str, ...] = ()
    """Conditions that end by themselves: gaps from each doing that changes one."""
    people: bool = False
    of: str = STEPS
    """Which entries it looks at: those of its steps, the marked ones, or every one."""
    roles: tuple[tuple[str, Role], ...] = ()
    """Steps that it looks at as one of several, each with what it asks of all these."""
    latest: bool = False
    """Whether it tells steps of one role from each other where one of them is done again, since the latest counts."""

    @property
    def stretches(self) -> bool:
        """Whether time, or who did what, sets apart what is done in one stretch."""
        return bool(self.spans or self.lapsing or self.people)


def footprint(rule: ir.Rule, book: ir.Rulebook) -> Footprint:
    """What a rule looks at."""
    form = rule.form
    if isinstance(form, ir.Pattern):
        return _of_look(form.name, book)
    nodes = [held for held in _held(form) if isinstance(held, n.Node)]
    conditions = conditions_of(form, book)
    read = {step for node in nodes for step, _ in readings_in(node, book)}
    steps = frozenset(ir.steps_named(form)) | read | book.changing(conditions)
    lapsing = _lapsing(conditions, book)
    spans = tuple(sorted({held for held in _held(form) if isinstance(held, Fraction)}))
    people = any(book.conditions[name].per == "person" for name in conditions)
    units = tuple(unit for node in nodes for unit in units_in(node, book)) if isinstance(form, ir.Limit) else ()
    of = EVERY if isinstance(form, ir.Keep) and lapsing and worsens_with_time(form, book) else STEPS
    latest = isinstance(form, ir.Order | ir.Need) and not rule.judge_every
    roles: tuple[tuple[str, Role], ...] = ()
    if isinstance(form, ir.Order | ir.Need | ir.Keep):
        sets = [held.names for held in _held(form) if isinstance(held, ir.StepSet)]
        one_of_several = set(ir.steps_named(form)) - read - book.changing(conditions)
        roles = tuple((step, tuple(step in names for names in sets)) for step in sorted(one_of_several))
    return Footprint(steps, units, spans, lapsing, people, of, roles, latest)


def _lapsing(conditions: Iterable[str], book: ir.Rulebook) -> tuple[str, ...]:
    known = (name for name in conditions if name in book.conditions)
    return tuple(sorted(name for name in known if book.conditions[name].lapses is not None))


def _of_look(name: str, book: ir.Rulebook) -> Footprint:
    if name in (*NEVER_IN_ONE_LOG, *NEVER_IN_ORDER, "times-all-equal"):
        return Footprint(frozenset())
    if name in AT_MARKS:
        return Footprint(frozenset(), of=MARKED)
    if name == "in-manhole-after-leaving":
        marked = {step.name for step in book.steps.values() if "in-manhole" in step.traits}
        inside = {"inside"} | (
            book.conditions_in(n.Condition("inside")) if "inside" in book.conditions else frozenset()
        )
        changing = book.changing(inside)
        roles = tuple((step, (True,)) for step in sorted(marked - changing))
        return Footprint(frozenset(marked | changing), lapsing=_lapsing(inside, book), people=True, roles=roles)
    if name == "measured-and-computed-disagree":
        steps = {step for node in book.quantities.values() for step, _ in readings_in(node, book)}
        return Footprint(frozenset(steps))
    return Footprint(frozenset(book.steps), people=True, of=EVERY)


def _held(form: ir.Form) -> Iterator[object]:
    for field in form.__struct_fields__:
        held = getattr(form, field)
        yield from held if isinstance(held, tuple) else (held,)


def conditions_of(form: ir.Form, book: ir.Rulebook) -> set[str]:
    """The conditions that a form rests on."""
    return {name for held in _held(form) if isinstance(held, n.Node) for name in book.conditions_in(held)}


def worsens_with_time(form: ir.Form, book: ir.Rulebook) -> bool:
    """Whether a form asks for a condition that ends by itself, so that it may fail though nothing is done."""
    asked = form.implied if isinstance(form, ir.Keep) else None
    return asked is None or _asks(asked, True, book)


def _asks(node: n.Node, positive: bool, book: ir.Rulebook) -> bool:
    if isinstance(node, n.Condition):
        state = book.conditions[node.name]
        return positive and state.lapses is not None if state.means is None else _asks(state.means, positive, book)
    inside = positive != isinstance(node, n.Not)
    return any(_asks(child, inside, book) for child in n.children(node))


def readings_in(node: n.Node, book: ir.Rulebook) -> set[tuple[str, str]]:
    """The readings an expression rests on, as (step, reading)."""
    return {(each.step, each.name) for each in _leaves(node, book) if isinstance(each, n.Reading)}


def facts_in(node: n.Node, book: ir.Rulebook) -> set[str]:
    """The job facts an expression rests on; a derived one is followed to what it means."""
    return {each.name for each in _leaves(node, book) if isinstance(each, n.Fact)}


def _leaves(node: n.Node, book: ir.Rulebook) -> Iterator[n.Node]:
    for each in n.walk(node):
        means = None
        if isinstance(each, n.Fact):
            means = book.facts[each.name].means
        if isinstance(each, n.Condition):
            means = book.conditions[each.name].means
        if isinstance(each, n.Call) and each.name == "absolute-pressure":
            yield n.Fact("barometer")
        if means is not None:
            yield from _leaves(means, book)
        else:
            yield each


def units_in(node: n.Node, book: ir.Rulebook) -> list[Unit]:
    """The comparisons of an expression; the two of a chain on one value are one, since they are judged together."""
    match node:
        case n.And((n.Compare("<" | "<=", _, middle), n.Compare("<" | "<=", again, _))) if middle == again:
            return [_unit(node, book)]
        case n.Compare() | n.Is() | n.Has():
            return [_unit(node, book)]
        case n.Condition(name):
            means = book.conditions[name].means
            return [] if means is None else units_in(means, book)
        case _:
            return [unit for child in n.children(node) for unit in units_in(child, book)]


def _unit(node: n.Node, book: ir.Rulebook) -> Unit:
    joined = any(isinstance(each, n.Call) and each.name in JOINING for each in n.walk(node))
    return Unit(node, frozenset(readings_in(node, book)), frozenset(facts_in(node, book)), joined)


def guards_of(step: ir.Step) -> list[n.Node]:
    """The expressions that decide what a step does to conditions."""
    return [node for effect in step.effects for node in (effect.to, effect.where) if node is not None]


def expressions(book: ir.Rulebook) -> Iterator[n.Node]:
    """Every expression by which a procedure is judged."""
    for rule in book.rules:
        yield from (held for held in (*_held(rule.form), rule.when) if isinstance(held, n.Node))
    for step in book.steps.values():
        yield from guards_of(step)
    for state in book.conditions.values():
        yield from (node for node in (state.at_start, state.means) if node is not None)
    yield from book.quantities.values()


def is_number(word: ir.Word) -> bool:
    """Whether a word holds a number."""
    return word.kind not in WORDS

"""Which steps a rule looks at: no other step, moved or added, can change what the rule says.

A rule about order or conditions depends on the order of these steps alone (the projection the language allows). A rule
about time depends on every step, since each takes some.
"""

from __future__ import annotations

from collections.abc import Iterable

import msgspec

from ringcut.language import ir
from ringcut.language import nodes as n


class Relevance(msgspec.Struct, frozen=True):
    """Steps that a rule looks at; ``addable``: those whose doing could help it; ``timed``: every step counts.

    ``loose``: steps that change nothing for each other: what is done of them in a row may be done in any order.
    """

    steps: frozenset[str]
    addable: frozenset[str]
    timed: bool = False
    loose: frozenset[str] = frozenset()


def relevance(rule: ir.Rule, book: ir.Rulebook) -> Relevance:
    """What a rule about order, presence, conditions or time depends on."""
    form = rule.form
    match form:
        case ir.Order(links):
            steps = _names(links)
            return Relevance(steps, steps)
        case ir.Include(what):
            return Relevance(_names([what]), _names([what]))
        case ir.Exclude(what, after, before):
            return Relevance(_names([what, after, before]), _names([after, before]))
        case ir.Need(what, before, within):
            about = _about(what, [before], book, within is not None)
            return msgspec.structs.replace(about, loose=about.steps - about.addable)
        case ir.Keep():
            return _about(form.implied, [form.start, form.until], book, form.within is not None)
        case ir.Repeat(what, _, during):
            inner = _about(during, [what], book, True)
            return Relevance(inner.steps, inner.steps, True)
        case ir.Elapsed(start, to):
            while_ = _about(form.during, [start, to], book, True).steps if form.during is not None else frozenset()
            steps = _names([start, to])
            return Relevance(steps | while_, steps | while_, True)
        case ir.Limit(what, of):
            steps = frozenset(each.step for each in n.walk(what) if isinstance(each, n.Reading))
            return Relevance(steps | _names([of]), steps)
    return Relevance(frozenset(), frozenset())


def _about(what: n.Node, triggers: Iterable[ir.StepSet | None], book: ir.Rulebook, timed: bool) -> Relevance:
    conditions = book.conditions_in(what)
    changing = book.changing(conditions)
    lapses = any(book.conditions[name].lapses is not None for name in conditions)
    return Relevance(changing | _names(triggers), changing, timed or lapses)


def _names(sets: Iterable[ir.StepSet | None]) -> frozenset[str]:
    return frozenset(name for each in sets if each is not None for name in each.names)


def limited(book: ir.Rulebook) -> frozenset[str]:
    """The steps that some limit looks at."""
    found: set[str] = set()
    for rule in book.rules:
        if isinstance(rule.form, ir.Limit):
            found |= {*rule.form.of.names, *(e.step for e in n.walk(rule.form.what) if isinstance(e, n.Reading))}
    return frozenset(found)

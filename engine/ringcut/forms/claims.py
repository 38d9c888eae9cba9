"""Steps said not to apply, in a job that demands them.

A job demands a step where a rule that applies asks for the step by its name, or asks for a condition that nothing but
this step can make and that does not hold from the start. A condition that another step or a job fact may stand in for
demands none.
"""

from __future__ import annotations

from collections.abc import Iterator

from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.relations.conditions import Conditions
from ringcut.relations.evaluate import truth
from ringcut.relations.formula import Literal, conjunction, formula
from ringcut.relations.truth import YES
from ringcut.relations.view import View


def demanding(step: str, view: View, conditions: Conditions) -> str:
    """The first rule in force that demands a step of this job; empty where none does."""
    for rule in view.book.rules:
        if any(_demands(rule, step, side, view, conditions) for side in _sides(rule, view)):
            return rule.id
    return ""


def _sides(rule: ir.Rule, view: View) -> tuple[str, ...]:
    sides = view.sides if rule.sided else ("",)
    return tuple(side for side in sides if rule.when is None or truth(rule.when, view, side).level == YES)


def _demands(rule: ir.Rule, step: str, side: str, view: View, conditions: Conditions) -> bool:
    match rule.form:
        case ir.Include(what):
            return step in what.names
        case ir.Order(links):
            named = any(link.names == (step,) and not link.optional for link in links[:-1])
            return named and bool(view.where(links[-1]))
        case ir.Need(what, before):
            used = before.moment or view.where(before)
            return bool(used) and any(_only(step, each, conditions) for each in _wanted(what, view, side))
        case _:
            return False


def _wanted(what: n.Node, view: View, side: str) -> Iterator[Literal]:
    for item in conjunction(formula(what, view, side)) or ():
        if isinstance(item, Literal) and item.positive:
            yield item


def _only(step: str, wanted: Literal, conditions: Conditions) -> bool:
    return conditions.healers(wanted) == (step,) and conditions.start(wanted.atom).level != YES

"""What decides a rule in one rulebook: its expressions, and the conditions, facts and readings that they hang on."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from ringcut.language import ir
from ringcut.language import nodes as n

NODES = tuple(n.Node.__args__)


class Sight(msgspec.Struct):
    """The rules with one id in one rulebook, and everything that their verdicts hang on."""

    book: ir.Rulebook
    rules: Sequence[ir.Rule]
    whole: list[n.Node]
    """Expressions over facts that matter as a whole: whens, what holds at the start, where a step has an effect."""
    parts: list[n.Node]
    """Expressions in which facts stand beside readings and conditions."""
    nodes: list[n.Node]
    """Every part of every expression."""
    conditions: dict[str, ir.State]
    facts: dict[str, ir.Word]
    readings: dict[tuple[str, str], ir.Word]
    """By step and name."""

    @property
    def always(self) -> bool:
        """Whether one of the rules applies to every job."""
        return any(rule.when is None for rule in self.rules)


def sight(rules: Sequence[ir.Rule], book: ir.Rulebook) -> Sight:
    """Everything that these rules hang on, what conditions and derived facts stand for included."""
    whens = [rule.when for rule in rules if rule.when is not None]
    parts = [node for rule in rules for node in expressions(rule.form)]
    found = Sight(book, rules, whens, parts, [], {}, {}, {})
    waiting = [*whens, *parts, *(n.Reading(*each) for rule in rules for each in _recorded(rule.form))]
    while waiting:
        for node in n.walk(waiting.pop(0)):
            found.nodes.append(node)
            match node:
                case n.Condition(name) if name not in found.conditions:
                    waiting += _behind(name, found)
                case n.Fact(name) if name not in found.facts:
                    found.facts[name] = book.facts[name]
                    waiting += [means] if (means := book.facts[name].means) is not None else []
                case n.Reading(step, name) if name in book.steps[step].readings:
                    found.readings[step, name] = book.steps[step].readings[name]
    return found


def _behind(condition: str, found: Sight) -> list[n.Node]:
    """What decides a condition: what it stands for, or how it begins and what steps do to it."""
    state = found.book.conditions[condition]
    found.conditions[condition] = state
    if state.means is not None:
        found.parts.append(state.means)
        return [state.means]
    effects = [each for step in found.book.steps.values() for each in step.effects if each.condition == condition]
    where = [each.where for each in effects if each.where is not None]
    found.whole += [state.at_start, *where]
    found.parts += [each.to for each in effects]
    return [state.at_start, *where, *(each.to for each in effects)]


def expressions(form: ir.Form) -> list[n.Node]:
    """The expressions of a form."""
    return [held for field in form.__struct_fields__ if isinstance(held := getattr(form, field), NODES)]


def _recorded(form: ir.Form) -> list[tuple[str, str]]:
    return [(step, name) for step in form.of.names for name in form.readings] if isinstance(form, ir.Record) else []

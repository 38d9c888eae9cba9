"""Whether an expression or a rule is judged side by side.

It is where a word that differs by side stands outside ``both``, ``least`` and ``greatest``, which join the sides.
"""

from __future__ import annotations

from typing import Protocol

from ringcut.language import ir
from ringcut.language import nodes as n

JOINING = ("both", "least", "greatest")


class Vocabulary(Protocol):
    """The part of a vocabulary that says what is per side."""

    facts: dict[str, ir.Word]
    conditions: dict[str, ir.State]
    steps: dict[str, ir.Step]


def is_sided(node: n.Node, words: Vocabulary) -> bool:
    """True where ``node`` has a value for each side."""
    match node:
        case n.Call(name=name) if name in JOINING:
            return False
        case n.Fact(name=name):
            fact = words.facts[name]
            return fact.sided or fact.means is not None and is_sided(fact.means, words)
        case n.Condition(name=name):
            state = words.conditions[name]
            return state.per == "side" or state.means is not None and is_sided(state.means, words)
        case n.Reading(step=step, name=name):
            return words.steps[step].sided or words.steps[step].readings[name].sided
        case _:
            return any(is_sided(child, words) for child in n.children(node))


def rule_is_sided(form: ir.Form, words: Vocabulary) -> bool:
    """True where a rule of this form has an instance for each side."""

    def steps(*sets: ir.StepSet | None) -> bool:
        return any(words.steps[name].sided for each in sets if each for name in each.names)

    match form:
        case ir.Order(links):
            return steps(*links)
        case ir.Need(what=what) | ir.Limit(what=what):
            return is_sided(what, words)
        case ir.Keep():
            return is_sided(form.implied, words)
        case ir.Include(what=each):
            return steps(each)
        case ir.Exclude(what, after, before):
            return steps(what, after, before)
        case ir.Elapsed(start=start, to=to, during=during):
            return steps(start, to) or during is not None and is_sided(during, words)
        case ir.Record(readings, of):
            return steps(of) or any(words.steps[step].readings[name].sided for step in of.names for name in readings)
        case _:
            return False

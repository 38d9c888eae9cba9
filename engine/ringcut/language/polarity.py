"""What a change of the vocabulary does to rules: by the conditions whose makers, enders, guards or start changed.

A condition may stand positively in one rule and behind ``not`` or ``while`` in another, so the answer is per rule.
"""

from __future__ import annotations

from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.language.sense import Sense
from ringcut.language.signs import direction

Touched = dict[str, list[tuple[bool, str, tuple[str, str]]]]
"""Condition: whether it is now true more often, in words, and the (kind, name) of what did it."""


def vocabulary_effects(old: ir.Rulebook, new: ir.Rulebook) -> Touched:
    """Condition: (whether it is now true more often; None-like both are two rows, words, source)."""
    found: Touched = {}
    for name, step in new.steps.items():
        before = old.steps.get(name)
        ours = {(e.condition, e.to, e.where) for e in step.effects}
        theirs = {(e.condition, e.to, e.where) for e in before.effects} if before else set()
        for condition, to, _ in sorted(ours ^ theirs, key=repr):
            source = ("step", name) if before is None else _value_source(old, new)
            added = (condition, to, _) in ours
            for more in _more_often(to, added):
                words = f"{name} {'now' if added else 'no longer'} {_verb(to)} {condition}"
                if before is not None:
                    words = f"{condition} is set by {name} at another value"
                found.setdefault(condition, []).append((more, words, source))
    found |= _guard_moves(old, new, found)
    for name, state in new.conditions.items():
        was = old.conditions.get(name)
        if was is not None and (was.at_start, was.lapses, was.means) != (
            state.at_start,
            state.lapses,
            state.means,
        ):
            longer = state.lapses is None or was.lapses is not None and state.lapses > was.lapses
            rows = [longer] if (was.at_start, was.means) == (state.at_start, state.means) else [True, False]
            source = _value_source(old, new)
            found.setdefault(name, []).extend((more, f"{name} lasts otherwise", source) for more in rows)
    return found


def _guard_moves(old: ir.Rulebook, new: ir.Rulebook, found: Touched) -> Touched:
    """A guard of an old step whose constants alone changed has a sign."""
    moved: Touched = {}
    for name, step in new.steps.items():
        before = old.steps.get(name)
        if before is None or len(before.effects) != len(step.effects):
            continue
        for was, now in zip(before.effects, step.effects, strict=True):
            if was == now or was.condition != now.condition or was.where != now.where:
                continue
            sense = direction(was.to, now.to)
            words = f"{now.condition} is set by {name} at another value"
            if sense in (Sense.LOOSENS, Sense.TIGHTENS):
                moved[now.condition] = [(sense == Sense.LOOSENS, words, _value_source(old, new))]
    return moved


def _value_source(old: ir.Rulebook, new: ir.Rulebook) -> tuple[str, str]:
    changed = [name for name, value in new.values.items() if name in old.values and old.values[name].text != value.text]
    return ("value", changed[0]) if changed else ("value", "")


def _more_often(to: n.Node, added: bool) -> list[bool]:
    if isinstance(to, n.Fixed):
        return [to.value == added]
    return [True, False]


def _verb(to: n.Node) -> str:
    return "sets" if not isinstance(to, n.Fixed) else "makes" if to.value else "ends"


def by_conditions(rule: ir.Rule, touched: Touched) -> list[tuple[Sense, str, tuple[str, str]]]:
    """How each condition that a rule looks at moves its verdicts, in words, and what did it."""
    match rule.form:
        case ir.Need(what=what):
            node = what
        case ir.Keep():
            node = rule.form.implied
        case ir.Repeat(during=during):
            node = n.Not(during)
        case _:
            return []
    found = []
    for name, positive in polarities(node):
        for more, words, source in touched.get(name, ()):
            found.append((Sense.LOOSENS if more == positive else Sense.TIGHTENS, words, source))
    return found


def polarities(node: n.Node, positive: bool = True) -> list[tuple[str, bool]]:
    """Each condition of an expression with whether it stands positively."""
    match node:
        case n.Condition(name):
            return [(name, positive)]
        case n.Not(item):
            return polarities(item, not positive)
        case _:
            return [found for child in n.children(node) for found in polarities(child, positive)]

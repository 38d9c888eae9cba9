"""What a change of the vocabulary does to rules: by the conditions whose makers, enders, guards or start changed.

A condition may stand positively in one rule and behind ``not`` or ``while`` in another, so the answer is per rule.
"""

from __future__ import annotations

from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.language.bounds import number
from ringcut.language.sense import Sense
from ringcut.language.signs import direction

Touched = dict[str, list[tuple[bool, str, tuple[str, str]]]]
"""Condition: whether it is now true more often, in words, and the (kind, name) of what did it."""


def vocabulary_effects(old: ir.Rulebook, new: ir.Rulebook) -> Touched:
    """Every condition that the vocabulary now makes true more often, less often, or both (two rows)."""
    found: Touched = {}
    for name, step in new.steps.items():
        before = old.steps.get(name)
        effects = before.effects if before else ()
        if [e.condition for e in effects] == [e.condition for e in step.effects]:
            for was, now in zip(effects, step.effects, strict=True):
                _of_guard(name, was, now, old, new, found)
            continue
        ours, theirs = set(step.effects), set(effects)
        for effect in sorted(ours ^ theirs, key=repr):
            added = effect in ours
            words = f"{name} {'now' if added else 'no longer'} {_verb(effect.to)} {effect.condition}"
            for more in _more_often(effect.to, added):
                found.setdefault(effect.condition, []).append((more, words, ("step", name)))
    for name, state in new.conditions.items():
        _of_state(name, old.conditions.get(name), state, old, new, found)
    return found


def _of_guard(name: str, was: ir.Effect, now: ir.Effect, old: ir.Rulebook, new: ir.Rulebook, found: Touched) -> None:
    """A step of the old vocabulary that sets a condition at another value: with a sign where the constants have one."""
    if was == now:
        return
    rows = [True, False]
    sense = Sense.CANNOT_TELL
    if was.where == now.where:
        sense = direction(was.to, now.to)
    elif was.to == now.to and isinstance(now.to, n.Fixed) and was.where is not None and now.where is not None:
        sense = direction(was.where, now.where)
        sense = OTHER_WAY.get(sense, sense) if not now.to.value else sense
    if sense in OTHER_WAY:
        rows = [sense == Sense.LOOSENS]
    for source in _sources(was, now, old, new):
        value = source[1]
        words = f"{now.condition} is set by {name} at another value"
        if value in old.values and value in new.values:
            words = f"{value} {old.values[value].text} to {new.values[value].text}"
        found.setdefault(now.condition, []).extend((more, words, source) for more in rows)


def _of_state(
    name: str, was: ir.State | None, now: ir.State, old: ir.Rulebook, new: ir.Rulebook, found: Touched
) -> None:
    if was is None or (was.at_start, was.lapses, was.means) == (now.at_start, now.lapses, now.means):
        return
    longer = now.lapses is None or was.lapses is not None and now.lapses > was.lapses
    rows = [longer] if (was.at_start, was.means) == (now.at_start, now.means) else [True, False]
    for value in _changed_values(old, new) or [""]:
        found.setdefault(name, []).extend((more, f"{name} lasts otherwise", ("value", value)) for more in rows)


def _changed_values(old: ir.Rulebook, new: ir.Rulebook) -> list[str]:
    return [name for name, value in new.values.items() if name in old.values and old.values[name].text != value.text]


def _sources(was: ir.Effect, now: ir.Effect, old: ir.Rulebook, new: ir.Rulebook) -> list[tuple[str, str]]:
    """The values of the vocabulary whose numbers stand where the two differ; all changed ones where none is known."""
    pairs = set()
    for one, two in ((was.to, now.to), (was.where, now.where)):
        before, after = n.walk(one) if one else [], n.walk(two) if two else []
        for a, b in zip(before, after, strict=False):
            if isinstance(a, n.Const) and isinstance(b, n.Const) and a != b:
                pairs.add((a.value, b.value))
    changed = _changed_values(old, new)
    exact = [name for name in changed if (number(old.values[name].text), number(new.values[name].text)) in pairs]
    return [("value", name) for name in exact or changed or [""]]


OTHER_WAY = {Sense.LOOSENS: Sense.TIGHTENS, Sense.TIGHTENS: Sense.LOOSENS}


def _more_often(to: n.Node, added: bool) -> list[bool]:
    if isinstance(to, n.Fixed):
        return [to.value == added]
    return [True, False]


def _verb(to: n.Node) -> str:
    return "sets" if not isinstance(to, n.Fixed) else "makes" if to.value else "ends"


def by_conditions(rule: ir.Rule, touched: Touched, book: ir.Rulebook) -> list[tuple[Sense, str, tuple[str, str]]]:
    """How each condition that a rule looks at moves its verdicts, in words, and what did it."""
    match rule.form:
        case ir.Need(what=what):
            node = what
        case ir.Keep():
            node = rule.form.implied
        case ir.Repeat(during=during):
            node = n.Not(during)
        case ir.Elapsed(during=during) if during is not None:
            node = n.Not(during)
        case _:
            return []
    found = []
    for name, positive in polarities(node, book):
        for more, words, source in touched.get(name, ()):
            found.append((Sense.LOOSENS if more == positive else Sense.TIGHTENS, words, source))
    return found


def polarities(node: n.Node, book: ir.Rulebook, positive: bool = True) -> list[tuple[str, bool]]:
    """Each condition of an expression with whether it stands positively; derived ones with what they mean."""
    match node:
        case n.Condition(name):
            means = book.conditions[name].means
            return [(name, positive), *(polarities(means, book, positive) if means is not None else [])]
        case n.Not(item):
            return polarities(item, book, not positive)
        case _:
            return [found for child in n.children(node) for found in polarities(child, book, positive)]

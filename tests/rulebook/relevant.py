"""Which steps and readings a rule looks at: those its form names, and those that change a condition it needs."""

from __future__ import annotations

from collections.abc import Iterator

from ringcut.language import ir
from ringcut.language.nodes import Condition, Node, Reading, walk


def nodes_of(form: ir.Form) -> list[Node]:
    """The expressions of a form."""
    match form:
        case ir.Need(what=what) | ir.Limit(what=what):
            return [what]
        case ir.Keep(what=what, during=during):
            return [what, *([during] if during is not None else [])]
        case ir.Repeat(during=during):
            return [during]
        case ir.Elapsed(during=during):
            return [during] if during is not None else []
    return []


def sets_of(form: ir.Form) -> list[ir.StepSet]:
    """The sets of steps that a form names."""
    match form:
        case ir.Order(links=links):
            return list(links)
        case ir.Need(before=before):
            return [before]
        case ir.Keep(start=start, until=until):
            return [start, *([until] if until else [])]
        case ir.Include(what=what):
            return [what]
        case ir.Exclude(what=what, after=after, before=before):
            return [each for each in (what, after, before) if each]
        case ir.Limit(of=of) | ir.Record(of=of):
            return [of]
        case ir.Elapsed(start=start, to=to):
            return [start, to]
        case ir.Repeat(what=what):
            return [what]
    return []


def atoms_of(nodes: list[Node], book: ir.Rulebook) -> list[str]:
    """The conditions of some expressions, those that are derived taken apart."""
    found: dict[str, None] = {}
    todo = [each.name for node in nodes for each in walk(node) if isinstance(each, Condition)]
    while todo:
        name = todo.pop(0)
        means = book.conditions[name].means
        if means is None:
            found[name] = None
        else:
            todo += [each.name for each in walk(means) if isinstance(each, Condition)]
    return list(found)


def changers(atoms: list[str], book: ir.Rulebook) -> list[str]:
    """The steps that make, end or set a condition."""
    return [name for name, step in book.steps.items() if any(each.condition in atoms for each in step.effects)]


def readings_of(rule: ir.Rule, book: ir.Rulebook) -> list[tuple[str, str]]:
    """(step, reading) pairs that the rule looks at, those of guards of its conditions included."""
    found: dict[tuple[str, str], None] = {}
    for node in nodes_of(rule.form):
        found.update(((each.step, each.name), None) for each in walk(node) if isinstance(each, Reading))
    if isinstance(rule.form, ir.Record):
        found.update(((step, name), None) for step in rule.form.of.names for name in rule.form.readings)
    for step, effect in _effects(atoms_of(nodes_of(rule.form), book), book):
        guards = [effect.to, *([effect.where] if effect.where is not None else [])]
        found.update(((step, each.name), None) for node in guards for each in walk(node) if isinstance(each, Reading))
    return list(found)


def _effects(atoms: list[str], book: ir.Rulebook) -> Iterator[tuple[str, ir.Effect]]:
    for name, step in book.steps.items():
        for effect in step.effects:
            if effect.condition in atoms:
                yield name, effect


def steps_of_rule(rule: ir.Rule, book: ir.Rulebook) -> list[str]:
    """The steps a rule looks at, those named first."""
    found = dict.fromkeys(name for each in sets_of(rule.form) for name in each.names)
    found.update(dict.fromkeys(step for step, _ in readings_of(rule, book)))
    found.update(dict.fromkeys(changers(atoms_of(nodes_of(rule.form), book), book)))
    return list(found)

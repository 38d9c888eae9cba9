"""What a log has of the readings that a rule looks at: which are there, and which would have to be asked for."""

from __future__ import annotations

from collections.abc import Iterator

from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.relations.procedure import Procedure


def is_recorded(node: n.Reading, procedure: Procedure, book: ir.Rulebook) -> bool:
    """Whether some entry has the reading, on every side where sides differ."""
    word = book.steps[node.step].readings[node.name] if node.step in book.steps else None
    sides = procedure.sides if word is not None and word.sided else ("",)
    there = {
        side
        for each in procedure.occurrences
        if each.step == node.step
        for name, side in each.readings
        if name == node.name
    }
    return "" in there or all(side in there for side in sides)


def recorded_of(rule: ir.Rule | None, procedure: Procedure, book: ir.Rulebook) -> frozenset[tuple[str, str]]:
    """(step, reading) that a limit looks at and the log has; none where the rule is no limit."""
    if rule is None or not isinstance(rule.form, ir.Limit):
        return frozenset()
    readings = {each for each in n.walk(rule.form.what) if isinstance(each, n.Reading)}
    return frozenset((each.step, each.name) for each in readings if is_recorded(each, procedure, book))


def shown_by(step: str, name: str, book: ir.Rulebook) -> tuple[n.Reading, ...]:
    """The readings of a step, any of which may show what one of them would, as by hand, the minutes or a temperature
    show that it is cool; none where it is the only way."""
    nodes = [node for effect in book.steps[step].effects for node in (effect.to, effect.where) if node is not None]
    for any_of in (each for node in nodes for each in n.walk(node) if isinstance(each, n.Or)):
        ways = [[each for each in n.walk(way) if isinstance(each, n.Reading)] for way in any_of.items]
        with_it = [any(each == n.Reading(step, name) for each in way) for way in ways]
        if any(with_it) and any(way and not own for way, own in zip(ways, with_it, strict=True)):
            return tuple(dict.fromkeys(each for way in ways for each in way if each.step == step))
    return ()


def missing_of(node: n.Node, procedure: Procedure, book: ir.Rulebook) -> Iterator[n.Reading]:
    """The readings without which an expression has no value. Of several that would do, the first is meant."""
    match node:
        case n.Reading():
            if not is_recorded(node, procedure, book):
                yield node
        case n.FirstOf(items):
            if not any(_known(item, procedure, book) for item in items):
                yield from missing_of(items[0], procedure, book)
        case _:
            for child in n.children(node):
                yield from missing_of(child, procedure, book)


def _known(node: n.Node, procedure: Procedure, book: ir.Rulebook) -> bool:
    if isinstance(node, n.Fact):
        return any(name == node.name for name, _ in procedure.job)
    return not list(missing_of(node, procedure, book))

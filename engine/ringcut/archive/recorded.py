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

"""The open readings of a plan in parts that no rule joins, each a problem of its own."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction

import msgspec

from ringcut.fit.binding import Opened
from ringcut.fit.bindinglimits import Open
from ringcut.fit.problem import Constraint, Label, Linear, Problem, Table, Value
from ringcut.relations import spans

GIVEN = "given "
"""How the label of a range that the plan gives begins; no rule's id has a blank."""


class Part(msgspec.Struct, frozen=True):
    """Readings that hang together, and what rules and the plan demand of them."""

    opened: Opened
    readings: tuple[Open, ...]
    constraints: tuple[Constraint, ...]

    @property
    def labels(self) -> tuple[Label, ...]:
        """Of the rules and of the given ranges, each once."""
        return tuple(dict.fromkeys(each.label for each in self.constraints if each.label is not None))

    def problem(self, more: Iterable[Constraint] = ()) -> Problem:
        """The problem, with more constraints over the same readings."""
        variables = {where.name: self.opened.domains[where] for where in self.readings}
        return Problem(variables, (*self.constraints, *more))

    def having(self, where: Open, value: Value) -> Problem:
        """The problem with one reading set to one value."""
        return self.problem([Table((where.name,), ((value,),))])


def parts_of(opened: Opened, given: dict[Open, spans.Value]) -> list[Part]:
    """The parts, in the order of the plan; ``given`` are readings that the plan gives as a range."""
    constraints = [*opened.constraints, *(each for where in given for each in _within(opened, where, given[where]))]
    head = {where.name: where.name for where in opened.domains}

    def root(name: str) -> str:
        while head[name] != name:
            name = head[name]
        return name

    for constraint in constraints:
        first, *others = map(root, constraint.scope)
        for other in others:
            head[root(other)] = root(first)
    readings: dict[str, list[Open]] = {}
    for where in opened.domains:
        readings.setdefault(root(where.name), []).append(where)
    demands: dict[str, list[Constraint]] = {}
    for constraint in constraints:
        demands.setdefault(root(constraint.scope[0]), []).append(constraint)
    return [Part(opened, tuple(readings[name]), tuple(demands.get(name, ()))) for name in readings]


def _within(opened: Opened, where: Open, value: spans.Value) -> Iterator[Constraint]:
    """What a range that the plan gives leaves of a reading."""
    if where not in opened.domains:
        return
    each = opened.view.occurrences[where.at]
    text, place = each.texts.get((where.reading, where.side)) or each.texts.get((where.reading, "")) or ("", each.place)
    side = f" {where.side}" if where.side else ""
    words = f"{where.reading.replace('-', ' ')}{side} {text}" + (f" (line {place.line})" if place.line else "")
    label = Label(f"{GIVEN}{where.name}", words)
    if isinstance(value, spans.Span):
        one = {where.name: Fraction(1)}
        if value.low is not None:
            yield Linear(one, ">" if value.low_open else ">=", value.low, label)
        if value.high is not None:
            yield Linear(one, "<" if value.high_open else "<=", value.high, label)
    elif isinstance(value, spans.Words):
        yield Table((where.name,), tuple((option,) for option in value.options), label)


def measured_too(part: Part) -> bool:
    """Whether a part has a reading that only the work itself gives."""
    return any(not part.opened.word(where).planned for where in part.readings)

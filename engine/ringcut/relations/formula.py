"""Conditions in negation normal form: literals over atoms, joined by all and any.

An atom is a condition at a place: a side, a person, or nowhere in particular. Derived conditions are written out and
job facts are put in, so that what is left depends on the order of steps alone.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from ringcut.language import nodes as n
from ringcut.relations.evaluate import truth
from ringcut.relations.truth import FALSE, NO, TRUE, YES, Truth, negated
from ringcut.relations.view import View


class Atom(NamedTuple):
    """A condition at a place."""

    condition: str
    where: str = ""


class Literal(NamedTuple):
    """An atom, or its negation."""

    atom: Atom
    positive: bool


class All(NamedTuple):
    """Every part."""

    parts: tuple[Formula, ...]


class Some(NamedTuple):
    """At least one part."""

    parts: tuple[Formula, ...]


class Given(NamedTuple):
    """What the job facts have settled."""

    truth: Truth


Formula = Literal | All | Some | Given


def formula(node: n.Node, view: View, side: str, positive: bool = True, doers: tuple[str, ...] = ()) -> Formula:
    """The formula of a condition expression on one side; ``positive`` False gives its negation.

    A condition of persons holds where it does for every one of ``doers``, without any where it does for somebody; it
    does not hold where it does for nobody.
    """
    match node:
        case n.Not(item):
            return formula(item, view, side, not positive, doers)
        case n.And(items) | n.Or(items):
            parts = [formula(item, view, side, positive, doers) for item in items]
            return _joined(parts, isinstance(node, n.And) == positive)
        case n.Condition(name):
            state = view.book.conditions[name]
            if state.means is not None:
                return formula(state.means, view, side, positive, doers)
            if state.per == "person" and positive and doers:
                return _joined([Literal(Atom(name, person), True) for person in doers], True)
            return _atoms(view, name, state.per, side, positive)
        case n.Fixed(fixed):
            return Given(TRUE if fixed == positive else FALSE)
        case _:
            found = truth(node, view, side)
            return Given(found if positive else negated(found))


def literals(item: Formula) -> list[Literal]:
    """Every literal, left to right."""
    match item:
        case Literal():
            return [item]
        case All(parts) | Some(parts):
            return [found for part in parts for found in literals(part)]
        case _:
            return []


def conjunction(item: Formula) -> list[Literal | Given] | None:
    """The literals of a literal or a conjunction of literals; None for anything else."""
    match item:
        case Literal() | Given():
            return [item]
        case All(parts):
            flat = [conjunction(part) for part in parts]
            return None if any(part is None for part in flat) else [each for part in flat for each in part or ()]
        case _:
            return None


def _atoms(view: View, name: str, per: str, side: str, positive: bool) -> Formula:
    if per == "side":
        sides = (side,) if side else view.sides
        return _joined([Literal(Atom(name, each), positive) for each in sides], True)
    if per == "person":
        parts: Iterable[Formula] = [Literal(Atom(name, person), positive) for person in people(view, name)]
        return _joined(list(parts), not positive)
    return Literal(Atom(name), positive)


def people(view: View, condition: str) -> tuple[str, ...]:
    """Everybody an entry names that touches a condition, and the crew as a whole (an empty name)."""
    steps = [step.name for step in view.book.steps.values() if any(e.condition == condition for e in step.effects)]
    named = [person for index in view.where(steps) for person in view.occurrences[index].by]
    return ("", *dict.fromkeys(named))


def _joined(parts: list[Formula], every: bool) -> Formula:
    kept: list[Formula] = []
    for part in parts:
        if isinstance(part, Given) and part.truth.level in (YES, NO):
            if (part.truth.level == YES) != every:
                return part
            continue
        kept.append(part)
    if not kept:
        return Given(TRUE if every else FALSE)
    if len(kept) == 1:
        return kept[0]
    return All(tuple(kept)) if every else Some(tuple(kept))

"""The limits of a log that were judged of readings with a standard uncertainty, each with its probability.

A reading ``y`` with standard uncertainty ``u`` stands for a normal distribution. A limit that is accepted although its
value does not conform is a wrong accept, one that is rejected although it does is a wrong reject; the probabilities of
the two are 1 less the probability of conformity, and that probability itself (the specific risks of JCGM 106:2012, 9.3,
clause from memory). Over many readings the expected number of either is the sum of its probabilities, whatever the
readings have to do with each other.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from math import prod
from typing import NamedTuple

from ringcut.archive.results import Chance
from ringcut.forms.instance import Context
from ringcut.forms.limit import doings_meant
from ringcut.judge.findings import CONFORMS, NONCONFORMING, UNDETERMINED
from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.relations import spans as s
from ringcut.relations.conditions import Conditions
from ringcut.relations.conformity import Likely, chance_between, chance_of
from ringcut.relations.evaluate import Environment, chance_of_size, truth, value
from ringcut.relations.procedure import Procedure
from ringcut.relations.spans import Span, Value
from ringcut.relations.truth import NO, UNKNOWN, YES, Level
from ringcut.relations.view import Bound, View


class Chances(NamedTuple):
    """A probability, and the readings whose uncertainty it rests on; none where it is certain."""

    likely: Likely
    names: frozenset[str]


IMPOSSIBLE = Chances(Likely(0.0, 0.0), frozenset())
_VERDICTS = {YES: CONFORMS, UNKNOWN: UNDETERMINED, NO: NONCONFORMING}


def chances_of(procedure: Procedure, book: ir.Rulebook) -> tuple[Chance, ...]:
    """Every limit that an uncertainty has a part in, by row. Limits that conditions rest on are not among them."""
    if not _any_uncertain(procedure):
        return ()
    found: list[Chance] = []
    for closure in procedure.closures:
        view = View(procedure, book, closure)
        conditions = Conditions(view)
        for rule in book.rules:
            if isinstance(rule.form, ir.Limit):
                context = Context(rule, view, conditions)
                found += _of_rule(rule, rule.form, context, first=closure == procedure.closures[0])
    return tuple(sorted(found, key=lambda each: (each.line, each.rule, each.side, each.chance)))


def _any_uncertain(procedure: Procedure) -> bool:
    values: list[Value] = list(procedure.job.values())
    values += [value for each in procedure.occurrences for value in each.readings.values()]
    return any(isinstance(each, Span) and each.terms for each in values)


def _of_rule(rule: ir.Rule, form: ir.Limit, context: Context, first: bool) -> Iterator[Chance]:
    """The limits of one rule in a closure; what all closures share is told in the first."""
    view = context.view
    anchors: Iterable[tuple[int | None, str]] = (
        [(None, side) for side in context.all_sides()] if form.of.moment == ir.START else context.judged(form.of)
    )
    for index, side in anchors:
        if not first and (index is None or view.occurrences[index].closure != view.closure):
            continue
        if rule.when is not None and truth(rule.when, view, side).level != YES:
            continue
        asked = doings_meant(form, context, index, side)
        if any(len(ways) != 1 for _, ways in asked):
            continue  # which doing is meant is open, and with it the verdict
        env = Bound(view, {key: ways[0] for key, ways in asked})
        likely = chance(form.what, env, side)
        level = _level(form, env, side)
        if likely and likely.names and level in _VERDICTS:
            line = 0 if index is None else view.occurrences[index].place.line
            told = likely.likely.most if level == NO else likely.likely.least
            yield Chance(rule.id, rule.class_, line, side, _VERDICTS[level], round(told, 9))


def _level(form: ir.Limit, env: Bound, side: str) -> Level:
    found = truth(form.what, env, side).level
    unclear = found == NO and form.unclear is not None and truth(form.unclear, env, side).level != NO
    return UNKNOWN if unclear else found


def chance(node: n.Node, env: Environment, side: str) -> Chances | None:
    """The probability that an expression holds; None where something is missing, or one reading is in two parts."""
    match node:
        case n.And((n.Compare("<" | "<=" as one, low, middle), n.Compare("<" | "<=" as two, again, high))) if (
            middle == again
        ):
            values = [value(each, env, side) for each in (low, middle, high)]
            likely = chance_between(one, values[0], values[1], two, values[2])
            names = _names(values[0], values[1]) | _names(values[1], values[2])
            return Chances(likely, names) if likely else _all([chance(item, env, side) for item in node.items])
        case n.And(items):
            return _all([chance(item, env, side) for item in items])
        case n.Or(items):
            return _opposite(_all([_opposite(chance(item, env, side)) for item in items]))
        case n.Not(item):
            return _opposite(chance(item, env, side))
        case n.Compare(op, left, right) if op not in ("=", "!="):
            numbers = value(left, env, side), value(right, env, side)
            likely = chance_of_size(node, env, side) or chance_of(op, *numbers)
            if likely is not None:
                return Chances(likely, _names(*numbers))
    level = truth(node, env, side).level
    return Chances(Likely(*(float(level == YES),) * 2), frozenset()) if level in (YES, NO) else None


def _names(left: Value, right: Value) -> frozenset[str]:
    """The readings whose uncertainty has a part in the difference of two values."""
    if not isinstance(left, Span) or not isinstance(right, Span):
        return frozenset()
    return frozenset(name for name, u in s.plus(left, s.negative(right)).terms if u)


def _all(parts: list[Chances | None]) -> Chances | None:
    """Several together: independent, unless one reading is in two of them."""
    if any(part == IMPOSSIBLE for part in parts):
        return IMPOSSIBLE
    known = [part for part in parts if part is not None]
    names = [name for part in known for name in part.names]
    if len(known) < len(parts) or len(set(names)) < len(names):
        return None
    least, most = (prod(part.likely[edge] for part in known) for edge in (0, 1))
    return Chances(Likely(least, most), frozenset(names))


def _opposite(part: Chances | None) -> Chances | None:
    return None if part is None else Chances(part.likely.opposite, part.names)

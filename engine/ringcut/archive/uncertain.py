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

from ringcut.archive.results import Chance
from ringcut.forms.instance import Context
from ringcut.forms.limit import doings_meant
from ringcut.judge.findings import CONFORMS, NONCONFORMING, UNDETERMINED
from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.relations import spans as s
from ringcut.relations.conditions import Conditions
from ringcut.relations.evaluate import Environment, probability, truth, value
from ringcut.relations.procedure import Procedure
from ringcut.relations.spans import Span, Value
from ringcut.relations.truth import NO, UNKNOWN, YES, Level
from ringcut.relations.view import Bound, View

Likely = tuple[float, frozenset[str]]
"""A probability, and the readings whose uncertainty it rests on; none where it is certain."""
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
        if likely and likely[1] and level in _VERDICTS:
            line = 0 if index is None else view.occurrences[index].place.line
            yield Chance(rule.id, rule.class_, line, side, _VERDICTS[level], round(likely[0], 9))


def _level(form: ir.Limit, env: Bound, side: str) -> Level:
    found = truth(form.what, env, side).level
    unclear = found == NO and form.unclear is not None and truth(form.unclear, env, side).level != NO
    return UNKNOWN if unclear else found


def chance(node: n.Node, env: Environment, side: str) -> Likely | None:
    """The probability that an expression holds; None where something is missing, or one reading is in two parts."""
    match node:
        case n.And((n.Compare("<" | "<=" as one, low, middle), n.Compare("<" | "<=" as two, again, high))) if (
            middle == again
        ):
            between = _between(one, two, *(value(each, env, side) for each in (low, middle, high)))
            return between or _all([chance(item, env, side) for item in node.items])
        case n.And(items):
            return _all([chance(item, env, side) for item in items])
        case n.Or(items):
            return _opposite(_all([_opposite(chance(item, env, side)) for item in items]))
        case n.Not(item):
            return _opposite(chance(item, env, side))
        case n.Compare(op, left, right) if op not in ("=", "!="):
            gap = _gap(value(left, env, side), value(right, env, side))
            if gap is not None:
                return probability(op, gap), _names(gap)
    level = truth(node, env, side).level
    return (1.0 if level == YES else 0.0, frozenset()) if level in (YES, NO) else None


def _gap(left: Value, right: Value) -> Span | None:
    """The difference of two values, where an uncertainty has a part in it."""
    if not isinstance(left, Span) or not isinstance(right, Span):
        return None
    gap = s.plus(left, s.negative(right))
    return gap if _names(gap) and gap.low is not None and gap.high is not None else None


def _names(gap: Span) -> frozenset[str]:
    return frozenset(name for name, u in gap.terms if u)


def _between(one: str, two: str, low: Value, middle: Value, high: Value) -> Likely | None:
    """Both of two limits of one value (JCGM 106:2012, 7.4)."""
    below, above = _gap(low, middle), _gap(middle, high)
    if below is None or above is None:
        return None
    both = probability(one, below) + probability(two, above) - 1
    return max(both, 0.0), _names(below) | _names(above)


def _all(parts: list[Likely | None]) -> Likely | None:
    """Several together: independent, unless one reading is in two of them."""
    if any(part == (0.0, frozenset()) for part in parts):
        return 0.0, frozenset()
    known = [part for part in parts if part is not None]
    names = [name for _, found in known for name in found]
    if len(known) < len(parts) or len(set(names)) < len(names):
        return None
    return prod(found for found, _ in known), frozenset(names)


def _opposite(part: Likely | None) -> Likely | None:
    return None if part is None else (1 - part[0], part[1])

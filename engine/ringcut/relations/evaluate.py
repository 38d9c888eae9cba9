"""What an expression means: the reference interpreter over the typed form.

An :class:`Environment` says what the facts, readings and conditions are at the place a rule looks at; this module
says what follows. Missing evidence is never true.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Protocol

from ringcut.language import nodes as n
from ringcut.relations import spans as s
from ringcut.relations.conformity import Likely, chance_between, decided, probability, uncertain
from ringcut.relations.spans import Listed, Missing, Span, Value, Words
from ringcut.relations.truth import FALSE, NO, OPEN, TRUE, UNKNOWN, YES, Cause, Truth, all_of, any_of, negated

RESISTANCE_AT = Fraction(29315, 100)
"""68 degF (20 degC) in kelvin."""
PER_DEGREE = {
    "A": ("0.0021", "0.0021"),
    "B": ("0.0021", "0.0021"),
    "C": ("0.0022", "0.0022"),
    "D": ("0.0013", "0.0013"),
    "E": ("0.0013", "0.0019"),
    "F": ("0.0024", "0.0024"),
}
"""Temperature coefficient of a shield's resistance per degF, least and most, by shield type: 7 CFR 1755.403(a)(5).

Type E is one column for two metals (alloy 194 and 6-mil copper-clad stainless): its coefficient lies between theirs."""


class Environment(Protocol):
    """Where an expression is looked at. ``side`` is empty where nothing differs by side."""

    sides: tuple[str, ...]
    level: Fraction
    """The decision level of JCGM 106: a probability of conformity at least this conforms."""

    def fact(self, name: str, side: str) -> Value:
        """A job fact."""
        ...

    def reading(self, step: str, name: str, side: str) -> Value:
        """A reading of a step."""
        ...

    def condition(self, name: str, side: str) -> Truth:
        """A condition at this moment."""
        ...

    def cell(self, table: str, keys: tuple[Value, ...], column: str) -> Value:
        """A look-up."""
        ...


def truth(node: n.Node, env: Environment, side: str = "") -> Truth:
    """Whether a yes-or-no expression holds."""
    match node:
        case n.And((n.Compare("<" | "<=" as one, low, middle), n.Compare("<" | "<=" as two, again, high))) if (
            middle == again
        ):
            a, b, c = (value(each, env, side) for each in (low, middle, high))
            return between(one, a, b, two, c, env.level)
        case n.And(items):
            return all_of(truth(item, env, side) for item in items)
        case n.Or(items):
            return any_of(truth(item, env, side) for item in items)
        case n.Not(item):
            return negated(truth(item, env, side))
        case n.Compare(op, left, right):
            likely = chance_of_size(node, env, side)
            return (
                decided(likely, env.level)
                if likely
                else compared(op, value(left, env, side), value(right, env, side), env.level)
            )
        case n.Is(left, words):
            return _is(value(left, env, side), words)
        case n.Has(left, word):
            return _has(value(left, env, side), word)
        case n.Condition(name):
            return env.condition(name, side)
        case n.Fixed(fixed):
            return TRUE if fixed else FALSE
        case _:
            raise TypeError(f"{type(node).__name__} is no yes or no")


def value(node: n.Node, env: Environment, side: str = "") -> Value:
    """What a number or word expression is."""
    match node:
        case n.Const(number):
            return s.exactly(number)
        case n.Fact(name):
            return env.fact(name, side)
        case n.Reading(step, name):
            return env.reading(step, name, side)
        case n.FirstOf(items):
            return _first(items, env, side)
        case n.Arithmetic(op, left, right):
            return _arithmetic(op, value(left, env, side), value(right, env, side))
        case n.Call(name, args):
            return _call(name, args, env, side)
        case n.Lookup(table, keys, column):
            return env.cell(table, tuple(value(key, env, side) for key in keys), column)
        case _:
            answer = truth(node, env, side)
            if answer.level in (YES, NO):
                return Words(("yes" if answer.level == YES else "no",))
            return Missing(answer.causes[0] if answer.causes else Cause("fact", "?"))


def compared(op: str, left: Value, right: Value, level: Fraction = Fraction(95, 100)) -> Truth:
    """``left op right``. Wide evidence is unknown where it straddles; a tolerance must hold at its worst."""
    missing = tuple(side.cause for side in (left, right) if isinstance(side, Missing))
    if missing:
        return Truth(UNKNOWN, missing)
    if not isinstance(left, Span) or not isinstance(right, Span):
        return Truth(UNKNOWN, (Cause("value", "not a number", why="unreadable"),))
    gap = s.plus(left, s.negative(right))
    if uncertain(gap) and op not in ("=", "!="):
        return decided(probability(op, gap), level)
    every, some = _over(op, gap)
    if every:
        return TRUE
    if not some:
        return FALSE
    if gap.free:
        return Truth(OPEN)
    if left.tolerance or right.tolerance:
        return FALSE
    return Truth(UNKNOWN, (Cause("value", "the reading leaves room on both sides of the limit", why="unreadable"),))


def between(one: str, low: Value, middle: Value, two: str, high: Value, level: Fraction) -> Truth:
    """``low one middle two high``; with an uncertainty the probability of both together (JCGM 106:2012, 7.4)."""
    likely = chance_between(one, low, middle, two, high)
    if likely is None:
        return all_of([compared(one, low, middle, level), compared(two, middle, high, level)])
    return decided(likely, level)


def chance_of_size(node: n.Compare, env: Environment, side: str) -> Likely | None:
    """How likely ``abs(e) op limit`` is, which has two limits; None for another, and where nothing is uncertain."""
    left, op, right = node.left, node.op, node.right
    if not isinstance(left, n.Call) or left.name != "abs":
        left, op, right = right, n.FLIPPED[op], left
    if not isinstance(left, n.Call) or left.name != "abs" or op in ("=", "!="):
        return None
    inner, limit = value(left.args[0], env, side), value(right, env, side)
    if not isinstance(inner, Span) or not isinstance(limit, Span):
        return None
    inside = "<" if op in ("<", ">=") else "<="
    likely = chance_between(inside, s.negative(limit), inner, inside, limit)
    return likely.opposite if likely and op[0] == ">" else likely


def _over(op: str, gap: Span) -> tuple[bool, bool]:
    """Whether every number, and whether some number, of the gap stands in ``op`` to zero."""
    low, high = gap.low, gap.high
    all_below = high is not None and (high < 0 or high == 0 and gap.high_open)
    all_above = low is not None and (low > 0 or low == 0 and gap.low_open)
    none_above = high is not None and high <= 0
    none_below = low is not None and low >= 0
    match op:
        case "<":
            return all_below, not none_below
        case "<=":
            return none_above, not all_above
        case ">":
            return all_above, not none_above
        case ">=":
            return none_below, not all_below
        case "=":
            return gap.exact and low == 0, gap.holds(Fraction(0))
        case _:
            return not gap.holds(Fraction(0)), not (gap.exact and low == 0)


def _is(left: Value, words: tuple[str, ...]) -> Truth:
    match left:
        case Missing(cause):
            return Truth(UNKNOWN, (cause,))
        case Words(options, free):
            inside = [option in words for option in options]
            if options and all(inside):
                return TRUE
            if options and not any(inside):
                return FALSE
            return Truth(OPEN) if free else Truth(UNKNOWN)
        case Span(low=low) if left.exact:
            return TRUE if str(low) in words else FALSE
    return Truth(OPEN if isinstance(left, Span) and left.free else UNKNOWN)


def _has(left: Value, word: str) -> Truth:
    if isinstance(left, Missing):
        return Truth(UNKNOWN, (left.cause,))
    items = left.items if isinstance(left, Listed) else left.options if isinstance(left, Words) else ()
    return TRUE if word in items else FALSE


def _first(items: tuple[n.Node, ...], env: Environment, side: str) -> Value:
    free: Value | None = None
    last: Value = Missing(Cause("reading", "nothing"))
    for item in items:
        last = value(item, env, side)
        if isinstance(last, Missing):
            continue
        if isinstance(last, Span | Words) and last.free:
            free = free or last
            continue
        return last
    return free or last


def _arithmetic(op: str, left: Value, right: Value) -> Value:
    for each in (left, right):
        if isinstance(each, Missing):
            return each
    if not isinstance(left, Span) or not isinstance(right, Span):
        return Missing(Cause("value", "not a number", why="unreadable"))
    match op:
        case "+":
            return s.plus(left, right)
        case "-":
            return s.plus(left, s.negative(right))
        case "*":
            return s.times(left, right)
    under = s.inverse(right)
    return Missing(Cause("value", "a division by zero", why="unreadable")) if under is None else s.times(left, under)


def _call(name: str, args: tuple[n.Node, ...], env: Environment, side: str) -> Value:
    if name in ("both", "least", "greatest"):
        found = [value(args[0], env, each) for each in env.sides]
    else:
        found = [value(arg, env, side) for arg in args]
    for each in found:
        if isinstance(each, Missing):
            return each
    numbers = [each for each in found if isinstance(each, Span)]
    match name:
        case "both":
            total = numbers[0]
            for each in numbers[1:]:
                total = s.plus(total, each)
            return total
        case "min" | "least":
            return s.least(*numbers)
        case "max" | "greatest":
            return s.greatest(*numbers)
        case "abs":
            return s.size(numbers[0])
        case "angle-between":
            return angle_between(*numbers)
        case "absolute-temperature":
            return numbers[0]
        case "absolute-pressure":
            return _absolute(numbers[0], env)
        case _:
            return _at_68(found)


def angle_between(a: Span, b: Span) -> Span:
    """The turn between two positions around the cable, 0 to 180 degrees; 350 and 10 are 20 apart."""
    gap = s.plus(a, s.negative(b))
    if gap.exact and gap.low is not None:
        around = abs(gap.low) % 360
        return Span(*(min(around, 360 - around),) * 2, False, False, gap.free, gap.tolerance, gap.terms)
    if gap.low is None or gap.high is None or gap.high - gap.low >= 360:
        return Span(Fraction(0), Fraction(180), False, False, gap.free, gap.tolerance)
    points = [gap.low, gap.high]
    first = -(-gap.low // 180) * 180
    while first <= gap.high:
        points.append(Fraction(first))
        first += 180
    around_points = [min(abs(point) % 360, 360 - abs(point) % 360) for point in points]
    return Span(min(around_points), max(around_points), False, False, gap.free, gap.tolerance)


def _absolute(gauge: Span, env: Environment) -> Value:
    barometer = env.fact("barometer", "")
    return s.plus(gauge, barometer) if isinstance(barometer, Span) else barometer


def _at_68(found: list[Value]) -> Value:
    resistance, temperature, shield = found
    if not isinstance(resistance, Span) or not isinstance(temperature, Span) or not isinstance(shield, Words):
        return Missing(Cause("value", "not a number", why="unreadable"))
    if len(shield.options) != 1 or shield.options[0] not in PER_DEGREE:
        return Missing(Cause("fact", "shield-type", why="not recorded"))
    least, most = (Fraction(each) * Fraction(9, 5) for each in PER_DEGREE[shield.options[0]])
    rate = Span(least, most)
    warmer = s.plus(temperature, s.exactly(-RESISTANCE_AT))
    factor = s.inverse(s.plus(s.exactly(Fraction(1)), s.times(rate, warmer)))
    return s.times(resistance, factor) if factor else Missing(Cause("value", "a division by zero", why="unreadable"))

"""From a limit of the rulebook, bound to the doings it looks at, to constraints over open readings.

What is linear stays exact and linear, what keeps two angles apart becomes that; everything else becomes a
test by the reference interpreter with the open readings filled in, which is what the limit means.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from fractions import Fraction
from itertools import product
from math import prod
from typing import NamedTuple

from ringcut.fit import problem as fit
from ringcut.fit.cases import Cases
from ringcut.language import nodes as n
from ringcut.relations.evaluate import truth, value
from ringcut.relations.procedure import Occurrence
from ringcut.relations.spans import Missing, Span, Value, Words, exactly
from ringcut.relations.truth import NO, OPEN, YES
from ringcut.relations.view import Bound, View

TURN = Fraction(360)
MOST_CASES = 1000
"""Choices of words that a limit is taken apart into."""


class Open(NamedTuple):
    """A reading that a plan leaves open: of one doing (by index), on one side.

    ``side`` is empty where the reading does not differ by side.
    """

    at: int
    reading: str
    side: str = ""

    @property
    def name(self) -> str:
        """What the variable is called in the problem."""
        return f"{self.at}.{self.reading}.{self.side}"


class Trial(Bound):
    """An environment in which some readings have the values that are tried, or that are taken for granted."""

    def __init__(self, view: View, chosen: dict[tuple[str, str], int | None], given: Mapping[Open, Value]) -> None:
        super().__init__(view, chosen)
        self.given = given

    def reading(self, step: str, name: str, side: str) -> Value:
        """The value tried or taken for granted, else what the plan says."""
        where = self.where(step, name, side)
        if where is not None and where in self.given:
            return self.given[where]
        return super().reading(step, name, side)

    def where(self, step: str, name: str, side: str) -> Open | None:
        """Which reading of which doing is meant; None where the step is not there."""
        index = self.chosen.get((step, side), self.chosen.get((step, "")))
        return None if index is None else located(self.view, self.view.occurrences[index], name, side)

    def trying(self, values: Mapping[Open, Value]) -> Trial:
        """The same with other values tried."""
        return Trial(self.view, self.chosen, {**self.given, **values})


def located(view: View, each: Occurrence, name: str, side: str) -> Open:
    """The reading of a doing that an expression on one side looks at."""
    if not view.book.steps[each.step].readings[name].sided:
        return Open(each.index, name)
    return Open(each.index, name, side or (each.sides[0] if each.sides else ""))


class Sum(NamedTuple):
    """Coefficients of open readings, and a number."""

    terms: dict[Open, Fraction]
    rest: Fraction

    def plus(self, other: Sum, times: Fraction = Fraction(1)) -> Sum:
        """This and ``times`` the other."""
        terms = dict(self.terms)
        for where, c in other.terms.items():
            terms[where] = terms.get(where, Fraction(0)) + c * times
        return Sum({where: c for where, c in terms.items() if c}, self.rest + other.rest * times)


class Translation:
    """One binding of one limit; ``domains`` are the open readings there are."""

    def __init__(
        self,
        env: Trial,
        side: str,
        domains: Mapping[Open, fit.Domain],
        label: fit.Label | None,
        lenient: bool = False,
    ) -> None:
        """With ``lenient`` only what is certainly broken is excluded, else all that is not known to hold."""
        self.env, self.side, self.domains, self.label, self.lenient = env, side, domains, label, lenient
        self.blocked: list[str] = []
        """What is not known, so that nothing can be demanded."""

    def constraints(self, node: n.Node) -> Iterator[fit.Constraint]:
        """What a yes-or-no expression demands of the open readings, if anything."""
        scope = self.scope(node)
        if not scope:
            return
        match node:
            case n.And(items):
                for item in items:
                    yield from self.constraints(item)
            case n.Or(items):
                yield from self._either(items)
            case _ if missing := self._missing(node, self.side):
                self.blocked.append(missing)
            case n.Compare():
                yield from self._compare(node, scope)
            case _:
                yield self._tested(node, scope)

    def scope(self, node: n.Node, side: str | None = None) -> tuple[Open, ...]:
        """The open readings an expression looks at."""
        side = self.side if side is None else side
        match node:
            case n.Reading(step, name):
                where = self.env.where(step, name, side)
                return (where,) if where is not None and where in self.domains else ()
            case n.FirstOf(items):
                item = self._first(items, side)
                return self.scope(item, side) if item is not None else ()
            case n.Call("both" | "least" | "greatest", (inner,)):
                return tuple(dict.fromkeys(w for each in self.env.sides for w in self.scope(inner, each)))
        return tuple(dict.fromkeys(w for child in n.children(node) for w in self.scope(child, side)))

    def _first(self, items: tuple[n.Node, ...], side: str) -> n.Node | None:
        # What is known counts before what is open, as it does for the interpreter while the plan is as it is.
        opened = [item for item in items if self.scope(item, side)]
        closed = [i for i in items if i not in opened and not _unknown(value(i, self.env, side))]
        return next(iter([*closed, *opened]), None)

    def _missing(self, node: n.Node, side: str) -> str:
        """The first thing an expression needs that is neither known nor open; empty where there is none."""
        match node:
            case n.FirstOf(items):
                item = self._first(items, side)
                return self._missing(items[-1] if item is None else item, side)
            case n.Call("both" | "least" | "greatest", (inner,)):
                return next((found for each in self.env.sides if (found := self._missing(inner, each))), "")
            case n.Reading() | n.Fact():
                absent = not self.scope(node, side) and isinstance(value(node, self.env, side), Missing)
                return node.name if absent else ""
        return next((found for child in n.children(node) if (found := self._missing(child, side))), "")

    def _either(self, items: tuple[n.Node, ...]) -> Iterator[fit.Constraint]:
        closed = [truth(item, self.env, self.side).level for item in items if not self.scope(item)]
        if any(level in (YES, OPEN) or self.lenient and level != NO for level in closed):
            return
        left = [item for item in items if self.scope(item)]
        able = [item for item in left if not self._missing(item, self.side)]
        if self.lenient and len(able) < len(left):
            return
        if not able:
            self.blocked += [self._missing(item, self.side) for item in left]
        elif len(able) == 1:
            yield from self.constraints(able[0])
        else:
            yield self._tested(n.Or(tuple(able)), self.scope(n.Or(tuple(able))))

    def _compare(self, node: n.Compare, scope: tuple[Open, ...]) -> Iterator[fit.Constraint]:
        if node.kind == "wire-size" or node.op == "!=":
            yield self._tested(node, scope)
            return
        apart = self._apart(node)
        if apart is not None:
            yield apart
            return
        left, right = self.sum(node.left, self.side), self.sum(node.right, self.side)
        if left is None or right is None or any(isinstance(self.domains[w][0], str) for w in scope):
            yield self._tested(node, scope)
            return
        whole = left.plus(right, Fraction(-1))
        if whole.terms:
            terms = {where.name: c for where, c in whole.terms.items()}
            yield fit.Linear(terms, node.op, -whole.rest, self.label)

    def sum(self, node: n.Node, side: str) -> Sum | None:
        """An expression as a sum over open readings; None where it is none, or leaves room besides them."""
        if not self.scope(node, side):
            fixed = value(node, self.env, side)
            return Sum({}, fixed.low) if isinstance(fixed, Span) and fixed.exact and fixed.low is not None else None
        match node:
            case n.Reading(step, name):
                where = self.env.where(step, name, side)
                return None if where is None else Sum({where: Fraction(1)}, Fraction(0))
            case n.FirstOf(items):
                item = self._first(items, side)
                return None if item is None else self.sum(item, side)
            case n.Call("both", (inner,)):
                return _added([self.sum(inner, each) for each in self.env.sides])
            case n.Arithmetic(op, left, right):
                return self._arithmetic(op, self.sum(left, side), self.sum(right, side))
        return None

    def _arithmetic(self, op: str, left: Sum | None, right: Sum | None) -> Sum | None:
        if left is None or right is None:
            return None
        if op in ("+", "-"):
            return left.plus(right, Fraction(1 if op == "+" else -1))
        if op == "*" and not (left.terms and right.terms):
            many, one = (left, right) if left.terms else (right, left)
            return Sum({}, Fraction(0)).plus(many, one.rest)
        if op == "/" and not right.terms and right.rest:
            return Sum({}, Fraction(0)).plus(left, 1 / right.rest)
        return None

    def _apart(self, node: n.Compare) -> fit.Constraint | None:
        match (node.op, node.left, node.right):
            case (">=", n.Call("angle-between", (a, b)), least) | (
                "<=",
                least,
                n.Call("angle-between", (a, b)),
            ):
                pass
            case _:
                return None
        first, second, apart = self.sum(a, self.side), self.sum(b, self.side), self.sum(least, self.side)
        if first is None or second is None or apart is None or apart.terms:
            return None
        if [*first.terms.values(), *second.terms.values()] == [1, 1] and not first.rest and not second.rest:
            (one,), (two,) = first.terms, second.terms
            return fit.Apart(one.name, two.name, apart.rest, self.label, TURN)
        return None

    def _tested(self, node: n.Node, scope: tuple[Open, ...]) -> fit.Constraint:
        def test(*values: fit.Value) -> bool:
            tried = {where: _as_read(each) for where, each in zip(scope, values, strict=True)}
            level = truth(node, self.env.trying(tried), self.side).level
            return level in (YES, OPEN) or self.lenient and level != NO

        return fit.Holds(tuple(where.name for where in scope), self._by_words(node, scope) or test, self.label)

    def _by_words(self, node: n.Node, scope: tuple[Open, ...]) -> Callable[..., bool] | None:
        """A test that knows the sums for every choice of words, where with the words chosen only sums are left."""
        words = [where for where in scope if isinstance(self.domains[where][0], str)]
        choices: list[Sequence[fit.Value]] = [self.domains[where] for where in words]
        if not words or len(words) == len(scope) or prod(map(len, choices)) > MOST_CASES:
            return None
        rest = {where: self.domains[where] for where in scope if where not in words}
        cases: dict[tuple[fit.Value, ...], list[fit.Linear] | bool] = {}
        for chosen in product(*choices):
            tried = {where: _as_read(each) for where, each in zip(words, chosen, strict=True)}
            inner = Translation(self.env.trying(tried), self.side, rest, None, self.lenient)
            if not inner.scope(node):
                level = truth(node, inner.env, self.side).level
                cases[chosen] = level in (YES, OPEN) or self.lenient and level != NO
                continue
            made = list(inner.constraints(node))
            sums = [each for each in made if isinstance(each, fit.Linear)]
            if inner.blocked or len(sums) < len(made):
                return None
            cases[chosen] = sums
        at = {where.name: position for position, where in enumerate(scope)}
        return Cases(at, [at[where.name] for where in words], cases)


def _as_read(each: fit.Value) -> Value:
    return Words((each,)) if isinstance(each, str) else exactly(each)


def _unknown(found: Value) -> bool:
    return isinstance(found, Missing) or isinstance(found, Span | Words) and found.free


def _added(parts: list[Sum | None]) -> Sum | None:
    total = Sum({}, Fraction(0))
    for part in parts:
        if part is None:
            return None
        total = total.plus(part)
    return total

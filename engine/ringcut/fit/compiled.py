"""A problem compiled once, then asked many times: masks for the domains, limits for the constraints, and the
fixpoint.

Questions about parts of it (without some labels, with one value struck) choose among the same limits, so
nothing is scaled or tabulated twice.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from math import ceil, floor, lcm

from ringcut.fit.answers import Meter
from ringcut.fit.arcs import Arcs, arcs_of
from ringcut.fit.limits import Around, AtMost, Limit, OneOf, Separate, Tested
from ringcut.fit.problem import Apart, Constraint, Linear, Problem, Table, Value


class Compiled:
    """The limits of every constraint of a problem, in its order, and the mask of every full domain.

    Variables are numbered in the order of the problem; after them come those that ``arcs`` adds.
    """

    def __init__(self, problem: Problem) -> None:
        """Scale and tabulate; a few milliseconds for thousands of values."""
        self.problem = problem
        self.names = tuple(problem.variables)
        self.values: list[tuple[Value, ...]] = [tuple(problem.variables[name]) for name in self.names]
        self._number = {name: position for position, name in enumerate(self.names)}
        different = {id(domain): domain for domain in self.values}  # many variables share one
        denominators = {v.denominator for domain in different.values() for v in domain if isinstance(v, Fraction)}
        denominators |= {c.turn.denominator for c in problem.constraints if isinstance(c, Apart)}
        self.scale = lcm(*denominators)
        grids = {number: self._scaled(domain) for number, domain in different.items()}
        self.numbers: list[Sequence[int]] = [grids[id(domain)] for domain in self.values]
        self._turned: dict[tuple[int, int], Around] = {}
        self.full = [(1 << len(domain)) - 1 for domain in self.values]
        self.limits: list[tuple[Limit, ...]] = [self._limits(c) for c in problem.constraints]

    def at_most(self, terms: Mapping[str, Fraction], bound: Fraction, strict: bool = False) -> AtMost:
        """The sum of the terms is at most, or strictly less than, ``bound``."""
        scaled = lcm(*(c.denominator for c in terms.values()))
        pairs = [(self._number[name], int(c * scaled)) for name, c in terms.items()]
        exact = bound * scaled * self.scale
        return AtMost(pairs, self.numbers, ceil(exact) - 1 if strict else floor(exact))

    def read(self, masks: Sequence[int]) -> dict[str, Value]:
        """The choice that masks of one value each stand for; masks of arcs, which come last, are left out."""
        return {
            name: values[mask.bit_length() - 1]
            for name, values, mask in zip(self.names, self.values, masks, strict=False)
        }

    def position(self, name: str) -> int:
        """The number of a variable."""
        return self._number[name]

    def _scaled(self, domain: tuple[Value, ...]) -> list[int]:
        scale = self.scale
        return [v.numerator * (scale // v.denominator) for v in domain if isinstance(v, Fraction)]

    def _limits(self, constraint: Constraint) -> tuple[Limit, ...]:
        scope = tuple(self._number[name] for name in constraint.scope)
        if isinstance(constraint, Linear):
            return tuple(self._linear(constraint))
        if isinstance(constraint, Apart):
            if constraint.first == constraint.second:
                never = constraint.least > 0
                return (OneOf(scope[:1], [] if never else [(i,) for i in range(len(self.values[scope[0]]))]),)
            least, turn = ceil(constraint.least * self.scale), int(constraint.turn * self.scale)
            around = [self._around(v, turn) for v in scope]
            return (Separate(scope[0], scope[1], around, least, turn), *self._arcs(scope, least, turn))
        if isinstance(constraint, Table):
            where = [{value: position for position, value in enumerate(self.values[v])} for v in scope]
            rows = [
                tuple(index[value] for index, value in zip(where, row, strict=True))
                for row in constraint.rows
                if all(value in index for index, value in zip(where, row, strict=True))
            ]
            return (OneOf(scope, rows),)
        return (Tested(scope, constraint.test, self.values),)

    def _around(self, variable: int, turn: int) -> Around:
        numbers = self.numbers[variable]
        key = (id(numbers), turn)
        if key not in self._turned:
            self._turned[key] = Around(numbers, turn)
        return self._turned[key]

    def _arcs(self, scope: tuple[int, ...], least: int, turn: int) -> Iterable[Arcs]:
        first, second = scope
        arcs = arcs_of(self.numbers[first], self.numbers[second], least, turn)
        if arcs:
            self.numbers.append(list(range(len(arcs))))
            self.full.append((1 << len(arcs)) - 1)
            yield Arcs(first, second, len(self.full) - 1, self.numbers, arcs)

    def _linear(self, constraint: Linear) -> Iterable[AtMost]:
        strict = constraint.op in ("<", ">")
        if constraint.op in ("<=", "<", "="):
            yield self.at_most(constraint.terms, constraint.bound, strict)
        if constraint.op in (">=", ">", "="):
            yield self.at_most({name: -c for name, c in constraint.terms.items()}, -constraint.bound, strict)


class Network:
    """Some limits over the variables of a compiled problem, and which of them look at which variable."""

    def __init__(self, limits: Sequence[Limit], variables: int, struck: set[Limit] | None = None) -> None:
        """``variables`` is how many there are; every limit that strikes something is added to ``struck``."""
        self.limits = limits
        self.struck: set[Limit] = set() if struck is None else struck
        self.watching: list[list[int]] = [[] for _ in range(variables)]
        for number, limit in enumerate(limits):
            for variable in limit.scope:
                self.watching[variable].append(number)

    def tighten(self, masks: list[int], waiting: Iterable[int], meter: Meter, looks: int | None = None) -> bool:
        """Narrow ``masks`` until no limit strikes anything more; False where a variable has no value left.

        ``waiting`` are the numbers of the limits to begin with. Cost: at most one check of a limit for
        each value struck from a variable it looks at; the order is fixed, so is the count. After ``looks``
        checks it stops: what is left is not as narrow as it could be.
        """
        queue = list(dict.fromkeys(waiting))
        queued = set(queue)
        changed: list[int] = []
        at = 0
        while at < len(queue) and (looks is None or at < looks):
            number = queue[at]
            at += 1
            queued.discard(number)
            limit = self.limits[number]
            if not limit.revise(masks, changed, meter):
                self.struck.add(limit)
                return False
            if changed:
                self.struck.add(limit)
            for variable in changed:
                for watcher in self.watching[variable]:
                    if watcher != number and watcher not in queued:
                        queued.add(watcher)
                        queue.append(watcher)
            changed.clear()
        return True

    def parts(self, masks: Sequence[int]) -> list[list[int]]:
        """The open variables in groups that no limit joins, in the order of their first variable."""
        group = list(range(len(masks)))

        def head(variable: int) -> int:
            while group[variable] != variable:
                variable = group[variable]
            return variable

        opened = [mask & (mask - 1) != 0 for mask in masks]
        for limit in self.limits:
            joined = [head(variable) for variable in limit.scope if opened[variable]]
            for other in joined[1:]:
                low, high = sorted((head(joined[0]), head(other)))
                group[high] = low
        parts: dict[int, list[int]] = {}
        for variable in range(len(masks)):
            if opened[variable]:
                parts.setdefault(head(variable), []).append(variable)
        return list(parts.values())

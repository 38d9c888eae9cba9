"""Whether yes-or-no expressions of a rulebook can hold together, and with which facts.

A search over the choices and comparisons in them, with exact arithmetic for the comparisons. Readings and facts are
taken at one side; everything is known. Where it gives up it says so, and its callers then say nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from fractions import Fraction
from itertools import product
from typing import Any

from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.proof.atoms import OPPOSITE, Atom, Numbers, Reader, inequalities
from ringcut.proof.linear import Linear, feasible

MOST_TRIED = 4000
MOST_UNEQUAL = 6
CHOSEN = ("choice", "yes-no")


HOLDS: Mapping[str, Callable[[Fraction], bool]] = {
    "<": lambda number: number < 0,
    "<=": lambda number: number <= 0,
    ">": lambda number: number > 0,
    ">=": lambda number: number >= 0,
    "=": lambda number: number == 0,
    "!=": lambda number: number != 0,
}
"""What a comparison says of the left side less the right one."""


class _GaveUp(Exception):
    """Too many ways."""


Found = dict[Atom, Any]


class Solver:
    """Questions about one rulebook. ``values`` limits what a condition may be."""

    def __init__(self, book: ir.Rulebook, values: Mapping[str, Sequence[bool]] | None = None) -> None:
        self.book = book
        self.values = values
        self.reader = Reader(book)
        self._sums: dict[n.Compare, Numbers] = {}
        self._parts: dict[n.Node, tuple[n.Node | None, Atom]] = {}

    def model(self, demands: Sequence[n.Node], settled: Found | None = None) -> Found | str | None:
        """Values of the parts with which all demands hold, None where there are none, or why it gave up.

        ``settled``: parts that are to stay as they are.
        """
        self._tried = 0
        try:
            return self._search(list(demands), settled or {})
        except _GaveUp:
            return f"more than {MOST_TRIED} ways"

    def holds(self, node: n.Node, found: Found) -> bool | None:
        """What an expression is with some parts settled; None where they do not decide it."""
        return self._truth(node, found)

    def possible(self, demands: Sequence[n.Node]) -> bool:
        """False only where it is proved that the demands cannot hold together."""
        return self.model(demands) is not None

    def implies(self, one: n.Node, two: n.Node) -> bool:
        """True only where it is proved that ``two`` holds wherever ``one`` does."""
        return not self.possible([one, n.Not(two)])

    def _search(self, demands: list[n.Node], found: Found) -> Found | None:
        self._tried += 1
        if self._tried > MOST_TRIED:
            raise _GaveUp
        left = []
        for demand in demands:
            said = self._truth(demand, found)
            if said is False:
                return None
            if said is None:
                left.append(demand)
        if not left:
            return found if self._numbers_hold(found) else None
        atom = self._next(left[0], found)
        for value in self._domain(atom):
            told = {**found, atom: value}
            if atom[0] == "compare" and not self._numbers_hold(told):
                continue
            deeper = self._search(left, told)
            if deeper is not None:
                return deeper
        return None

    def _truth(self, node: n.Node, found: Found) -> bool | None:
        match node:
            case n.Fixed(value):
                return value
            case n.Not(item):
                said = self._truth(item, found)
                return None if said is None else not said
            case n.And(items) | n.Or(items):
                stop = isinstance(node, n.Or)
                told = [self._truth(item, found) for item in items]
                return stop if stop in told else None if None in told else not stop
        inner, atom = self._part(node)
        if inner is not None:
            return self._truth(inner, found)
        if atom not in found:
            return None
        return found[atom] in node.words if isinstance(node, n.Is) and atom[0] == "word" else bool(found[atom])

    def _part(self, node: n.Node) -> tuple[n.Node | None, Atom]:
        """What a part stands for, if it is derived, and what decides it."""
        if node not in self._parts:
            self._parts[node] = self._meaning(node), self._atom(node)
        return self._parts[node]

    def _meaning(self, node: n.Node) -> n.Node | None:
        """What a derived fact or condition stands for, or a comparison of numbers alone."""
        match node:
            case n.Compare(op):
                found = self._sums.setdefault(node, self.reader.difference(node))
                return None if any(found.terms.values()) else n.Fixed(HOLDS[op](found.constant))
            case n.Condition(name):
                return self.book.conditions[name].means
            case n.Is(n.Fact(name), words) if self.book.facts[name].means is not None:
                means = self.book.facts[name].means
                assert means is not None
                return n.Fixed(True) if len(words) > 1 else means if words == ("yes",) else n.Not(means)
        return None

    def _next(self, node: n.Node, found: Found) -> Atom:
        """A part not settled yet, in reading order."""
        if isinstance(node, n.Not | n.And | n.Or):
            child = next(each for each in n.children(node) if self._truth(each, found) is None)
            return self._next(child, found)
        inner, atom = self._part(node)
        if inner is not None:
            return self._next(inner, found)
        return atom

    def _atom(self, node: n.Node) -> Atom:
        """The part that decides a yes-or-no expression which is no And, Or or Not."""
        match node:
            case n.Condition(name):
                return ("condition", name)
            case n.Is(left, _) if isinstance(left, n.Fact | n.Reading) and self._word(left).kind in CHOSEN:
                return ("word", left)
            case n.Has(left, word):
                return ("has", left, word)
            case n.Compare():
                return ("compare", node)
            case _:
                return ("other", repr(node))

    def _domain(self, atom: Atom) -> Sequence[Any]:
        kind, key = atom[0], atom[1]
        if kind == "condition" and self.values is not None:
            return self.values.get(str(key), (False, True))
        if kind != "word":
            return (True, False)
        word = self._word(key)
        return ("yes", "no") if word.kind == "yes-no" else word.choices

    def _word(self, node: Any) -> ir.Word:
        if isinstance(node, n.Reading):
            return self.book.steps[node.step].readings[node.name]
        return self.book.facts[node.name]

    def _numbers_hold(self, found: Found) -> bool:
        rows: list[Linear] = []
        unequal: list[list[list[Linear]]] = []
        names: set[str] = set()
        for atom, value in found.items():
            if atom[0] != "compare":
                continue
            node = atom[1]
            assert isinstance(node, n.Compare)
            ways = inequalities(node.op if value else OPPOSITE[node.op], self._sums[node])
            names |= {name for name, factor in self._sums[node].terms.items() if factor}
            if len(ways) == 1:
                rows += ways[0]
            else:
                unequal.append(ways)
        for name in sorted(names):
            rows += self.reader.bounds(name)
        chosen = product(*unequal[:MOST_UNEQUAL])
        return any(feasible([*rows, *(row for way in ways for row in way)]) is not False for ways in chosen)


def facts_of(found: Found) -> dict[str, str]:
    """The job facts that a model settles, as words; comparisons and conditions are left out."""
    told: dict[str, str] = {}
    for atom, value in found.items():
        match atom:
            case ("word", n.Fact(name)):
                told[name] = str(value)
            case ("has", n.Fact(name), word) if value:
                told[name] = f"{told[name]}, {word}" if name in told else str(word)
    return told

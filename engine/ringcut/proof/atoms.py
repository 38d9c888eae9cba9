"""The smallest parts of an expression that may be true or false by themselves, and what numbers make of them.

A choice is one variable with its words; a comparison is an inequality over readings and facts, linear where it can be
made so. What is not linear (a product, a look-up) becomes a number of its own, so that nothing is called impossible
that is not.
"""

from __future__ import annotations

from collections.abc import Hashable
from fractions import Fraction

import msgspec

from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.language.dimensions import EXPONENTS
from ringcut.proof.linear import Linear

NEVER_NEGATIVE = {*EXPONENTS, "lfl", "volume-percent", "ppm", "voltage", "wire-size"}
TURN = (Fraction(0), Fraction(180))

Atom = tuple[Hashable, ...]


class Numbers(msgspec.Struct):
    """A sum: variables with factors, and a constant."""

    terms: dict[str, Fraction]
    constant: Fraction = Fraction(0)

    def plus(self, other: Numbers, factor: Fraction = Fraction(1)) -> Numbers:
        """This sum and ``factor`` times another."""
        names = {*self.terms, *other.terms}
        zero = Fraction(0)
        terms = {name: self.terms.get(name, zero) + factor * other.terms.get(name, zero) for name in names}
        return Numbers(terms, self.constant + factor * other.constant)

    def times(self, factor: Fraction) -> Numbers:
        """This sum ``factor`` times."""
        return Numbers({name: each * factor for name, each in self.terms.items()}, self.constant * factor)


class Reader:
    """Reads expressions of one rulebook; ``ranges`` collects what is known of each number met."""

    def __init__(self, book: ir.Rulebook) -> None:
        self.book = book
        self.ranges: dict[str, tuple[Fraction | None, Fraction | None]] = {}

    def difference(self, node: n.Compare) -> Numbers:
        """Left less right of a comparison."""
        return self.numbers(node.left).plus(self.numbers(node.right), Fraction(-1))

    def numbers(self, node: n.Node, side: str = "A") -> Numbers:
        """An expression as a sum; a part that is not linear is a variable of its own."""
        match node:
            case n.Const(value):
                return Numbers({}, value)
            case n.Arithmetic(op, left, right) if op in "+-":
                sign = Fraction(1 if op == "+" else -1)
                return self.numbers(left, side).plus(self.numbers(right, side), sign)
            case n.Arithmetic(op, left, right):
                one, two = self.numbers(left, side), self.numbers(right, side)
                if not two.terms and (op == "*" or two.constant):
                    return one.times(two.constant if op == "*" else 1 / two.constant)
                if op == "*" and not one.terms:
                    return two.times(one.constant)
            case n.Call("both", (item,)):
                return self.numbers(item, "A").plus(self.numbers(item, "B"))
            case n.FirstOf((item,)):
                return self.numbers(item, side)
            case n.Fact(name):
                return self._variable(f"{name}{self._side(self.book.facts[name], side)}", self.book.facts[name])
            case n.Reading(step, name):
                word = self.book.steps[step].readings[name]
                sided = side if word.sided or self.book.steps[step].sided else ""
                return self._variable(f"{step}.{name}{'@' + sided if sided else ''}", word)
        return self._unread(node, side)

    def _side(self, word: ir.Word, side: str) -> str:
        return f"@{side}" if word.sided else ""

    def _variable(self, name: str, word: ir.Word) -> Numbers:
        least = Fraction(0) if word.kind in NEVER_NEGATIVE else None
        self.ranges[name] = word.possible or (least, None)
        return Numbers({name: Fraction(1)})

    def _unread(self, node: n.Node, side: str) -> Numbers:
        name = f"{node!r}@{side}"
        turns = isinstance(node, n.Call) and node.name == "angle-between"
        self.ranges[name] = TURN if turns else (None, None)
        return Numbers({name: Fraction(1)})

    def bounds(self, name: str) -> list[Linear]:
        """What is known of a variable, as inequalities."""
        least, most = self.ranges[name]
        rows = [] if least is None else [Linear({name: Fraction(-1)}, least)]
        return rows if most is None else [*rows, Linear({name: Fraction(1)}, -most)]


def inequalities(op: str, found: Numbers) -> list[list[Linear]]:
    """``found op 0`` as alternatives, each a list of inequalities that hold together."""
    up, down = (found.terms, found.constant), (found.times(Fraction(-1)).terms, -found.constant)
    rows = {
        "<": [[Linear(*up, strict=True)]],
        "<=": [[Linear(*up)]],
        ">": [[Linear(*down, strict=True)]],
        ">=": [[Linear(*down)]],
        "=": [[Linear(*up), Linear(*down)]],
        "!=": [[Linear(*up, strict=True)], [Linear(*down, strict=True)]],
    }
    return rows[op]


OPPOSITE = {"<": ">=", "<=": ">", ">": "<=", ">=": "<", "=": "!=", "!=": "="}

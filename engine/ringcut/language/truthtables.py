"""Implication between expressions over facts and conditions, by the rows of a truth table.

Numbers are cut at the constants that occur. Expressions over readings or tables have no such table.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import product

from ringcut.language import ir
from ringcut.language import nodes as n

MOST_ROWS = 100_000
"""Rows of a truth table looked at before it gives up."""


def implies(one: n.Node, two: n.Node, book: ir.Rulebook) -> bool | None:
    """Whether ``one`` implies ``two`` for all facts and conditions; None where the table is too large or not finite."""
    domains: dict[str, tuple[object, ...]] = {}
    for node in (*n.walk(one), *n.walk(two)):
        if not _domain(node, domains, book, (one, two)):
            return None
    rows = 1
    for values in domains.values():
        rows *= len(values)
    if rows > MOST_ROWS:
        return None
    names = list(domains)
    for row in product(*domains.values()):
        facts = dict(zip(names, row, strict=True))
        if holds(one, facts, book) and not holds(two, facts, book):
            return False
    return True


def _domain(
    node: n.Node, domains: dict[str, tuple[object, ...]], book: ir.Rulebook, both: tuple[n.Node, n.Node]
) -> bool:
    match node:
        case n.Condition(name):
            domains[f"condition {name}"] = (False, True)
        case n.Fact(name):
            word = book.facts[name]
            if word.means is not None:
                return all(_domain(each, domains, book, both) for each in n.walk(word.means))
            if word.kind == "yes-no":
                domains[name] = ("no", "yes")
            elif word.kind == "choice" and word.choices:
                domains[name] = word.choices
            elif word.kind == "list":
                for choice in word.choices:
                    domains[f"{name} has {choice}"] = (False, True)
            else:
                cuts = sorted({c for each in both for c in _cuts(each, name, book)})
                if not cuts:
                    return False
                between = [(a + b) / 2 for a, b in zip(cuts, cuts[1:], strict=False)]
                domains[name] = tuple(sorted([cuts[0] - 1, *cuts, *between, cuts[-1] + 1]))
        case n.Reading() | n.Lookup() | n.FirstOf() | n.Call() | n.Arithmetic():
            return False
    return True


def _cuts(node: n.Node, name: str, book: ir.Rulebook) -> list[Fraction]:
    found = []
    for each in n.walk(node):
        match each:
            case n.Compare(_, n.Fact(fact), n.Const(value)) | n.Compare(_, n.Const(value), n.Fact(fact)) if (
                fact == name
            ):
                found.append(value)
            case n.Fact(fact) if book.facts[fact].means is not None and fact != name:
                means = book.facts[fact].means
                found += _cuts(means, name, book) if means is not None else []
    return found


def holds(node: n.Node, facts: dict[str, object], book: ir.Rulebook) -> bool:
    """Two-valued truth of an expression over facts and conditions, all known."""
    match node:
        case n.And(items):
            return all(holds(item, facts, book) for item in items)
        case n.Or(items):
            return any(holds(item, facts, book) for item in items)
        case n.Not(item):
            return not holds(item, facts, book)
        case n.Fixed(value):
            return value
        case n.Condition(name):
            return bool(facts[f"condition {name}"])
        case n.Has(n.Fact(name), word):
            return bool(facts.get(f"{name} has {word}", False))
        case n.Is(n.Fact(name), words):
            means = book.facts[name].means
            if means is not None:
                return ("yes" if holds(means, facts, book) else "no") in words
            return facts[name] in words
        case n.Compare(op, left, right):
            a, b = _number(left, facts), _number(right, facts)
            return {"<": a < b, "<=": a <= b, ">": a > b, ">=": a >= b, "=": a == b, "!=": a != b}[op]
    raise TypeError(f"{type(node).__name__} has no two-valued truth here")


def _number(node: n.Node, facts: dict[str, object]) -> Fraction:
    if isinstance(node, n.Const):
        return node.value
    assert isinstance(node, n.Fact)
    value = facts[node.name]
    assert isinstance(value, Fraction)
    return value

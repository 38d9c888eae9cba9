"""The typed intermediate form of an expression: what a rule's text means, once names and kinds are settled.

Every node is a small immutable struct. Numbers are exact rationals in the base unit of their kind (see
``reading.kinds``). The interpreter in ``relations.evaluate`` is the one place that says what a node means.
"""

from __future__ import annotations

from fractions import Fraction

import msgspec


class Const(msgspec.Struct, frozen=True, tag=True, cache_hash=True):
    """A number; ``unit`` and ``kind`` are for showing it."""

    value: Fraction
    kind: str
    unit: str = ""


class Fact(msgspec.Struct, frozen=True, tag=True):
    """A job fact by name."""

    name: str


class Reading(msgspec.Struct, frozen=True, tag=True):
    """A reading of a step; in a guard the step is the one that has the guard."""

    step: str
    name: str


class Condition(msgspec.Struct, frozen=True, tag=True):
    """A condition by name, at the moment the rule looks at."""

    name: str


class FirstOf(msgspec.Struct, frozen=True, tag=True, cache_hash=True):
    """The first of some values that is known."""

    items: tuple[Node, ...]


class Lookup(msgspec.Struct, frozen=True, tag=True, cache_hash=True):
    """A cell of a table; ``column`` may be empty where a key names the column or there is one column only."""

    table: str
    keys: tuple[Node, ...]
    column: str = ""


class Arithmetic(msgspec.Struct, frozen=True, tag=True, cache_hash=True):
    """``+ - * /`` of two numbers."""

    op: str
    left: Node
    right: Node


class Call(msgspec.Struct, frozen=True, tag=True, cache_hash=True):
    """One of the closed list of functions."""

    name: str
    args: tuple[Node, ...]


FLIPPED = {"<": ">", "<=": ">=", ">": "<", ">=": "<=", "=": "=", "!=": "!="}
"""Each comparison with its two numbers exchanged."""


class Compare(msgspec.Struct, frozen=True, tag=True, cache_hash=True):
    """``<= >= < > = !=`` of two numbers of one kind; ``unit`` is the unit to show it in."""

    op: str
    left: Node
    right: Node
    kind: str = ""
    unit: str = ""


class Is(msgspec.Struct, frozen=True, tag=True, cache_hash=True):
    """A choice is one of some words."""

    left: Node
    words: tuple[str, ...]


class Has(msgspec.Struct, frozen=True, tag=True, cache_hash=True):
    """A list holds a word."""

    left: Node
    word: str


class Not(msgspec.Struct, frozen=True, tag=True, cache_hash=True):
    """Negation."""

    item: Node


class And(msgspec.Struct, frozen=True, tag=True, cache_hash=True):
    """Conjunction."""

    items: tuple[Node, ...]


class Or(msgspec.Struct, frozen=True, tag=True, cache_hash=True):
    """Disjunction; ``if c then d`` is ``not c or d``."""

    items: tuple[Node, ...]


class Fixed(msgspec.Struct, frozen=True, tag=True):
    """Always or never."""

    value: bool


Node = (
    Const
    | Fact
    | Reading
    | Condition
    | FirstOf
    | Lookup
    | Arithmetic
    | Call
    | Compare
    | Is
    | Has
    | Not
    | And
    | Or
    | Fixed
)

ALWAYS = Fixed(True)


def children(node: Node) -> tuple[Node, ...]:
    """The nodes directly under ``node``, left to right."""
    match node:
        case FirstOf(items) | And(items) | Or(items):
            return items
        case Lookup(keys=keys):
            return keys
        case Arithmetic(left=left, right=right) | Compare(left=left, right=right):
            return (left, right)
        case Call(args=args):
            return args
        case Is(left=left) | Has(left=left):
            return (left,)
        case Not(item=item):
            return (item,)
        case _:
            return ()


def walk(node: Node) -> list[Node]:
    """``node`` and everything under it, in reading order."""
    found = [node]
    for child in children(node):
        found += walk(child)
    return found

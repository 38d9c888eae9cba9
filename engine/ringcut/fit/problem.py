"""A constraint problem as typed data: variables with finite ordered domains, and labelled constraints over
them.

Numbers are exact rationals in whatever unit the caller chose; words are text. A constraint carries a
label (an id and words) so that a conflict can be told in the caller's words; one without a label is
background that always holds and is never named in a conflict. Several constraints may share a label: they
are in force or out of force together.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from fractions import Fraction
from itertools import pairwise

import msgspec

Value = Fraction | str
Domain = tuple[Fraction, ...] | tuple[str, ...]

OPERATORS = ("<=", "<", "=", ">=", ">")
"""What a ``Linear`` constraint may say."""


class Label(msgspec.Struct, frozen=True):
    """What a constraint is called when it takes part in a conflict."""

    id: str
    words: str = ""


class Linear(msgspec.Struct, frozen=True):
    """The sum of coefficient times variable stands in relation ``op`` to ``bound``; numbers only, exact."""

    terms: Mapping[str, Fraction]
    op: str
    bound: Fraction
    label: Label | None = None

    @property
    def scope(self) -> tuple[str, ...]:
        """The variables it speaks of."""
        return tuple(self.terms)

    def holds(self, values: Mapping[str, Value]) -> bool:
        """Whether a complete choice satisfies it."""
        total = sum((c * _number(values[name]) for name, c in self.terms.items()), Fraction(0))
        return {
            "<=": total <= self.bound,
            "<": total < self.bound,
            "=": total == self.bound,
            ">=": total >= self.bound,
            ">": total > self.bound,
        }[self.op]


class Apart(msgspec.Struct, frozen=True):
    """Two angles are ``least`` or more apart on a circle of ``turn`` (350 and 10 degrees are 20 apart)."""

    first: str
    second: str
    least: Fraction
    label: Label | None = None
    turn: Fraction = Fraction(360)

    @property
    def scope(self) -> tuple[str, ...]:
        """The variables it speaks of."""
        return (self.first, self.second)

    def holds(self, values: Mapping[str, Value]) -> bool:
        """Whether a complete choice satisfies it."""
        around = (_number(values[self.first]) - _number(values[self.second])) % self.turn
        return min(around, self.turn - around) >= self.least


class Table(msgspec.Struct, frozen=True):
    """The values of ``scope``, in that order, are one of ``rows``."""

    scope: tuple[str, ...]
    rows: tuple[tuple[Value, ...], ...]
    label: Label | None = None

    def holds(self, values: Mapping[str, Value]) -> bool:
        """Whether a complete choice satisfies it."""
        return tuple(values[name] for name in self.scope) in self.rows


class Holds(msgspec.Struct, frozen=True):
    """``test``, given the values of ``scope`` in that order, is true; pure, for each tuple is asked once."""

    scope: tuple[str, ...]
    test: Callable[..., bool]
    label: Label | None = None

    def holds(self, values: Mapping[str, Value]) -> bool:
        """Whether a complete choice satisfies it."""
        return self.test(*(values[name] for name in self.scope))


Constraint = Linear | Apart | Table | Holds


class Preference(msgspec.Struct, frozen=True):
    """A sum that should be as small as possible (negate the coefficients for as large as possible)."""

    terms: Mapping[str, Fraction]
    words: str = ""

    def worth(self, values: Mapping[str, Value]) -> Fraction:
        """The sum for a complete choice."""
        return sum((c * _number(values[name]) for name, c in self.terms.items()), Fraction(0))


class Problem(msgspec.Struct, frozen=True):
    """Variables by name, each with its domain, and the constraints between them.

    A domain of numbers ascends strictly; a domain of words has no repeats and is tried in its order.
    Raises ValueError with every fault at once: an unsorted or empty domain, an unknown variable, words
    where numbers are needed.
    """

    variables: Mapping[str, Domain]
    constraints: tuple[Constraint, ...] = ()

    def __post_init__(self) -> None:
        """Refuse what could not be solved as meant."""
        faults = [fault for name, domain in self.variables.items() for fault in _domain_faults(name, domain)]
        for constraint in self.constraints:
            faults += [f"{_named(constraint)}: {fault}" for fault in self._constraint_faults(constraint)]
        if faults:
            raise ValueError("; ".join(faults))

    def labels(self) -> tuple[Label, ...]:
        """Every label once, in the order in which they first occur: the most important first."""
        return tuple(dict.fromkeys(c.label for c in self.constraints if c.label is not None))

    def require_numbers(self, names: Iterable[str]) -> list[str]:
        """What is wrong with using these variables as numbers; nothing, if nothing is."""
        known = [name for name in names if self.variables.get(name)]
        return [f"{name} holds words, not numbers" for name in known if isinstance(self.variables[name][0], str)]

    def _constraint_faults(self, constraint: Constraint) -> list[str]:
        faults = [f"unknown variable {name}" for name in constraint.scope if name not in self.variables]
        if isinstance(constraint, Linear | Apart):
            faults += self.require_numbers(constraint.scope)
        elif len(set(constraint.scope)) != len(constraint.scope) or not constraint.scope:
            faults.append("its scope needs variables, each once")
        if isinstance(constraint, Linear) and constraint.op not in OPERATORS:
            faults.append(f"unknown relation {constraint.op}, known are {' '.join(OPERATORS)}")
        if isinstance(constraint, Apart) and constraint.turn <= 0:
            faults.append("a turn is more than zero")
        if isinstance(constraint, Table) and any(len(row) != len(constraint.scope) for row in constraint.rows):
            faults.append(f"every row needs {len(constraint.scope)} values")
        return faults


def _domain_faults(name: str, domain: Domain) -> list[str]:
    if not domain:
        return [f"{name} has no values at all"]
    kinds = {type(value) for value in domain}
    if kinds == {str}:
        return [] if len(set(domain)) == len(domain) else [f"{name} needs words, each once"]
    if kinds != {Fraction}:
        return [f"{name} needs all words or all exact numbers"]
    numbers = [_number(value) for value in domain]
    if any(after <= before for before, after in pairwise(numbers)):
        return [f"{name} needs its numbers ascending, each once"]
    return []


def _named(constraint: Constraint) -> str:
    return constraint.label.id if constraint.label else f"{type(constraint).__name__} over {constraint.scope}"


def _number(value: Value) -> Fraction:
    if isinstance(value, str):
        raise TypeError(f"a number is needed, not {value!r}")
    return value

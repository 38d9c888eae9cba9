"""What a question about a problem may be answered with, and the budget it may cost.

An answer is one of different types, never a flag: a ``Solution``, the values ``Remaining``,
``NoSolution`` with its conflict, or ``GaveUp`` with the reason. The budget counts work, not seconds, so
that the same question gives the same answer on every machine.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

import msgspec

from ringcut.fit.problem import Label, Value


class Budget(msgspec.Struct, frozen=True):
    """How much work a question may cost: ``nodes`` of the search, and ``checks`` of a constraint."""

    nodes: int = 100_000
    checks: int = 1_000_000


class Solution(msgspec.Struct, frozen=True):
    """A complete choice; ``worth`` has the sum of each preference that it was found best by."""

    values: Mapping[str, Value]
    worth: tuple[Fraction, ...] = ()


class Remaining(msgspec.Struct, frozen=True):
    """For each variable the values that occur in some solution, in the order of its domain."""

    values: Mapping[str, tuple[Value, ...]]


class NoSolution(msgspec.Struct, frozen=True):
    """Proved impossible. ``conflict`` cannot hold together, and can if any one member is taken out
    (``minimal``).

    It is not minimal only where the budget ended while it was made smaller. It is empty where the
    background alone cannot hold.
    """

    conflict: tuple[Label, ...]
    minimal: bool = True


class GaveUp(msgspec.Struct, frozen=True):
    """The budget ended before an answer was proved; ``so_far`` is the best choice met, if one was."""

    reason: str
    so_far: Mapping[str, Value] | None = None


class OutOfBudget(Exception):
    """Raised inside the layer when the budget ends; never leaves it."""


class Meter:
    """Counts the work done against a budget."""

    def __init__(self, budget: Budget) -> None:
        """Start at zero."""
        self.budget = budget
        self.nodes = 0
        self.checks = 0

    def node(self) -> None:
        """Count one node of the search."""
        self.nodes += 1
        if self.nodes > self.budget.nodes:
            raise OutOfBudget(f"more than {self.budget.nodes} nodes searched")

    def check(self, count: int = 1) -> None:
        """Count constraints looked at."""
        self.checks += count
        if self.checks > self.budget.checks:
            raise OutOfBudget(f"more than {self.budget.checks} constraint checks")

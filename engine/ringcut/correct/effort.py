"""The work that a search may do. It is counted, not timed, so that the same plan gets the same answer everywhere."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager

DEFAULT = 200_000
"""Looks for one correction: about ten seconds on a common machine."""
TELL_EVERY = 2_000
"""Units of work after which the work done is told."""


class BudgetEnded(Exception):
    """More work than was allowed."""


class Effort:
    """Counts rules judged anew. ``told`` hears of the share of the budget (0 to 1) that is used, and what for."""

    def __init__(self, most: int = DEFAULT, told: Callable[[float, str], None] | None = None) -> None:
        self.most, self.told = most, told
        self.doing = "looking for a correction"
        self.spent = 0
        self._cap = most
        self._next = TELL_EVERY
        self._stopped = False
        self._needed = 0

    def spend(self, units: int = 1) -> None:
        """Count work; :class:`BudgetEnded` where it is more than is left."""
        self.spent += units
        if self.told is not None and self.spent >= self._next:
            self._next = self.spent + TELL_EVERY
            self.told(min(1.0, self.spent / self.most), self.doing)
        if self._stopped and not self._needed:
            raise BudgetEnded("the search was stopped")
        if self.spent > self._cap:
            raise BudgetEnded(f"the search ended after {self.most:,} looks")

    def stop(self) -> None:
        """Let no more be looked for: what was found is written down, as where the budget ends."""
        self._stopped = True

    @property
    def left(self) -> int:
        """What is left."""
        return max(0, self._cap - self.spent)

    @contextmanager
    def no_more_than(self, units: int) -> Iterator[None]:
        """Within it so much at most, and no more than is left."""
        before = self._cap
        self._cap = min(before, self.spent + units)
        try:
            yield
        finally:
            self._cap = before

    @contextmanager
    def besides(self, units: int) -> Iterator[None]:
        """Work that has to be done whatever is left, such as to write down what was found; it counts for nothing."""
        before, spent = self._cap, self.spent
        self._cap = self.spent + units
        self._needed += 1
        try:
            yield
        finally:
            self._cap, self.spent = before, spent
            self._needed -= 1

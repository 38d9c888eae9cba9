"""What the reference interpreter said of a line, for others who meet the like: asked once, known to all processes."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from ringcut.bulk.seen import Seen
from ringcut.language import ir


class Lesson(msgspec.Struct, frozen=True):
    """A line, and the codes of groups of rules that were asked for it, by the place of the first rule of each group."""

    line: bytes
    codes: dict[int, bytes]


class Teacher:
    """Asks the reference interpreter, or knows its answers from a lesson, and keeps those that it had to ask."""

    def __init__(self) -> None:
        self.taught: dict[int, bytes] = {}
        """The answers that are known of the line at hand."""
        self.asked: dict[int, bytes] = {}
        """The answers that were asked of the line at hand."""

    def judged(self, seen: Seen, rules: Sequence[ir.Rule], places: Sequence[int]) -> bytes:
        """A code for each rule of a group."""
        first = places[0]
        if first in self.taught:
            return self.taught[first]
        found = self.asked[first] = seen.judged(rules)
        return found

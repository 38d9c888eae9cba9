"""Where something stands in a file, and what is wrong there.

A :class:`Problem` is an input error: something could not be read, so nothing is judged. It is never a verdict.
"""

from __future__ import annotations

from collections.abc import Iterable

import msgspec


class Place(msgspec.Struct, frozen=True, order=True):
    """A position in a file; lines and columns count from 1. Line 0 means the file as a whole.

    In a spreadsheet the line is the row, and ``letter`` is the letter of its column.
    """

    file: str = ""
    line: int = 0
    column: int = 0
    letter: str = ""

    def __str__(self) -> str:
        if not self.line:
            return self.file
        column = self.letter or self.column
        return f"{self.file}:{self.line}:{column}" if column else f"{self.file}:{self.line}"


NOWHERE = Place()


class Problem(msgspec.Struct, frozen=True, order=True):
    """One located input error: what was found, what is expected, how to write it."""

    place: Place
    found: str
    expected: str = ""
    hint: str = ""

    @property
    def in_words(self) -> str:
        """What is wrong, without its place."""
        parts = (part.rstrip(".") for part in (self.found, self.expected, self.hint) if part)
        return " ".join(part if part.endswith("?") else f"{part}." for part in parts)

    def __str__(self) -> str:
        return f"{self.place}: {self.in_words}"


class Unreadable(Exception):
    """Input that cannot be read, with every problem found in it, in file order."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems: tuple[Problem, ...] = tuple(sorted(set(problems)))
        super().__init__("\n".join(str(problem) for problem in self.problems))

"""The text of a YAML file while it is being read, with slips mended in memory and every place kept.

After a syntax error the line is mended here and the text is parsed again, so that all errors of a file come
at once. A mended character becomes a stand-in of the same width (and is put back in every text that is handed
out); where blanks are added or taken away the columns that people see are computed back.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections import Counter
from collections.abc import Iterator
from itertools import chain
from typing import Any

import yaml

from ringcut.reading.problems import Place

__all__ = ["LOADER", "Source", "indent_of", "key_column"]

LOADER: Any = getattr(yaml, "CBaseLoader", yaml.BaseLoader)
"""libyaml, or the parser in Python where PyYAML was built without it."""

_LIST = re.compile(r"\b(?:in|of) (?P<list>\[[^\[\]{}\"'#:]*\])")
"""A list inside an expression: ``work is one of [a, b]``."""

_BREAKS_OF_YAML_1_1 = "\x85\u2028\u2029"
"""Line breaks for libyaml, plain characters in YAML 1.2 (5.4) and in every editor."""


class Source:
    """The lines of one file. Lines and columns of the methods count from 0, those of a Place from 1."""

    def __init__(self, text: str, file: str) -> None:
        self.file = file
        self.original: tuple[str, ...] = tuple(text.split("\n"))
        self.mended: Counter[int] = Counter()
        """How often an error was met in a line."""
        self._free = _stand_ins(text)
        self._stands: dict[str, str] = {}
        self._shifts: dict[int, list[tuple[int, int]]] = {}
        for mark in _BREAKS_OF_YAML_1_1:
            if mark in text:
                text = text.replace(mark, self._stand_in(mark))
        self.lines = text.split("\n")

    @property
    def text(self) -> str:
        """The text as it is to be parsed."""
        return "\n".join(self.lines)

    def place(self, line: int, column: int) -> Place:
        """Where a parsed position stands in the file."""
        if line in self._shifts:
            for at, width in reversed(self._shifts[line]):
                column = column - width if column >= at else column
        return Place(self.file, line + 1, max(column, 0) + 1)

    def restored(self, text: str) -> str:
        """A parsed text with the characters that were typed."""
        for mark, stand in self._stands.items():
            if stand in text:
                text = text.replace(stand, mark)
        return text

    def take_as_text(self, line: int, column: int) -> None:
        """Let the character stand for itself, with no meaning in YAML."""
        said = self.lines[line]
        self.lines[line] = f"{said[:column]}{self._stand_in(said[column])}{said[column + 1 :]}"

    def take_lists_as_text(self) -> None:
        """Let the brackets and commas of ``one of [a, b]`` and ``in [1, 2]`` be part of the expression around them.

        YAML would end a text without quotes at them where it stands in braces; rules are full of both.
        """
        text = self.text
        starts = [0]
        for line in self.lines:
            starts.append(starts[-1] + len(line) + 1)
        for found in _LIST.finditer(text):
            for mark in re.finditer(r"[\[\],]", found["list"]):
                at = found.start("list") + mark.start()
                number = bisect_right(starts, at) - 1
                self.take_as_text(number, at - starts[number])

    def replace(self, line: int, column: int, old: str, new: str) -> None:
        """Write ``new`` in place of ``old``; later columns of the line are counted as before."""
        said = self.lines[line]
        self.lines[line] = f"{said[:column]}{new}{said[column + len(old) :]}"
        if len(new) != len(old):
            self._shifts.setdefault(line, []).append((column, len(new) - len(old)))

    def blank(self, first: int, last: int) -> None:
        """Leave out the lines ``first`` to ``last``; the numbers of the others stay."""
        for line in range(first, last + 1):
            self.lines[line] = ""

    def block(self, first: int) -> int:
        """The last line of what hangs on the line ``first``: all that follows and is indented deeper."""
        indent, last = indent_of(self.lines[first]), first
        for line in range(first + 1, len(self.lines)):
            said = self.lines[line]
            if said.strip():
                if indent_of(said) <= indent:
                    break
                last = line
        return last

    def above(self, line: int) -> int | None:
        """The nearest line above that has text in it and not only a comment."""
        for number in range(line - 1, -1, -1):
            said = self.lines[number].strip()
            if said and not said.startswith("#"):
                return number
        return None

    def _stand_in(self, mark: str) -> str:
        if mark not in self._stands:
            self._stands[mark] = next(self._free)
        return self._stands[mark]


def _stand_ins(text: str) -> Iterator[str]:
    """Characters of the private use area that the file itself does not use."""
    return (chr(code) for code in chain(range(0xE000, 0xF900), range(0xF0000, 0xFFFFE)) if chr(code) not in text)


def indent_of(said: str) -> int:
    """How many blanks a line begins with."""
    return len(said) - len(said.lstrip(" \t"))


def key_column(said: str) -> int:
    """The column of the first letter behind the dashes of a line."""
    column = indent_of(said)
    while said[column : column + 2] == "- ":
        column += 2
        column += indent_of(said[column:])
    return column

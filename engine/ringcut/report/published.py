"""Reports as the JSON that is published: the structs of ``judge.findings``, and of files that could not be read."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from ringcut.judge.findings import Report
from ringcut.reading.problems import Problem


class Trouble(msgspec.Struct, frozen=True, rename="kebab"):
    """An input error at its place: what was found, what is expected, how to write it."""

    file: str
    line: int
    column: int
    found: str
    expected: str
    hint: str
    letter: str = ""


class NotRead(msgspec.Struct, frozen=True, rename="kebab"):
    """A file of which nothing was judged, and why. It has no verdict."""

    file: str
    problems: tuple[Trouble, ...]


def not_read(file: str, problems: Sequence[Problem]) -> NotRead:
    """The published form of the problems of a file."""
    troubles = [
        Trouble(
            each.place.file, each.place.line, each.place.column, each.found, each.expected, each.hint, each.place.letter
        )
        for each in problems
    ]
    return NotRead(file, tuple(troubles))


def encoded(results: Sequence[Report | NotRead]) -> bytes:
    """One object for one file; for several an object with the list ``reports``. Ends with a newline.

    The same results give the same bytes.
    """
    whole: object = results[0] if len(results) == 1 else {"reports": list(results)}
    return msgspec.json.format(msgspec.json.encode(whole), indent=2) + b"\n"

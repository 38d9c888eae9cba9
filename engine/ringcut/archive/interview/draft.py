"""A column file while it grows: what has been said, why, and what nobody knew."""

from __future__ import annotations

from typing import Any

import msgspec

from ringcut.archive.columns import Column, ColumnFile, LeftOut, Marks, Task


class Draft:
    """What is known so far; whole at any moment, so that an interview that is broken off loses nothing.

    ``why``: by key (``dates``, ``columns.PSI``), what stands as a comment beside it. ``left``: by key, what is to be
    said of a key that nobody knew.
    """

    def __init__(self) -> None:
        self.spec = ColumnFile()
        self.why: dict[str, str] = {}
        self.left: dict[str, str] = {}
        self.answers = 0
        """Answers that were given."""
        self.unknown = 0
        """How many of them were that it is not known."""

    def put(self, why: str = "", **fields: Any) -> None:
        """Set keys of the column file (their names in Python), with the reason as a comment."""
        self.spec = msgspec.structs.replace(self.spec, **fields)
        for name in fields:
            self._because(name.replace("_", "-"), why)

    def leave(self, key: str, says: str) -> None:
        """Note that a key stays away because nobody knows."""
        self.left[key] = says

    def column(self, heading: str, column: Column, why: str = "") -> None:
        """Set a column; in the order of the sheet once ``in_order`` was called."""
        self.spec = msgspec.structs.replace(self.spec, columns={**self.spec.columns, heading: column})
        self.left.pop(f"columns.{heading}", None)
        self._because(f"columns.{heading}", why)

    def no_column(self, heading: str) -> None:
        """Take a column away again."""
        columns = {name: column for name, column in self.spec.columns.items() if name != heading}
        self.spec = msgspec.structs.replace(self.spec, columns=columns)

    def in_order(self, headings: list[str]) -> None:
        """Put the columns into the order of the sheet."""
        columns = {name: self.spec.columns[name] for name in headings if name in self.spec.columns}
        self.spec = msgspec.structs.replace(self.spec, columns={**columns, **self.spec.columns})

    def task(self, task: Task, why: str = "") -> None:
        """Add a task, or take the place of the one with the same words."""
        kept = [each for each in self.spec.tasks if each.say != task.say]
        self.spec = msgspec.structs.replace(self.spec, tasks=(*kept, task))
        self._because(f"tasks.{task.say[0]}", why)

    def skip(self, rule: LeftOut) -> None:
        """Add rows that are no steps."""
        self.spec = msgspec.structs.replace(self.spec, leave_out=(*self.spec.leave_out, rule))

    def mark(self, status: str, mark: str) -> None:
        """Add a mark to those of a status."""
        marks = self.spec.marks
        name = status.replace("-", "_")
        known: tuple[str, ...] = getattr(marks, name)
        changed: Marks = msgspec.structs.replace(marks, **{name: (*known, mark.casefold())})
        self.put(marks=changed)

    def _because(self, key: str, why: str) -> None:
        if why:
            self.why[key] = why

"""The crew's words for a task, and the steps and readings that they stand for."""

from __future__ import annotations

import msgspec

from ringcut.archive.columns import ColumnFile, Task, fold
from ringcut.archive.lexicon import Lexicon
from ringcut.archive.templates import fill, fixed, match, places
from ringcut.reading.suggest import canonical


class Said(msgspec.Struct, frozen=True):
    """What a task cell means: its steps, and (step.reading or reading, value) pairs read in its words."""

    steps: tuple[str, ...]
    readings: tuple[tuple[str, str], ...] = ()
    told: bool = True
    """It stands in the column file (else in the vocabulary)."""
    remark_differs: bool = False
    """The remark is not as the column file expects, so readings in it are not known."""


class TaskBook:
    """Looks tasks up: the column file first, then the names and synonyms of the vocabulary."""

    def __init__(self, spec: ColumnFile, lexicon: Lexicon) -> None:
        self._lexicon = lexicon
        self._fixed: dict[str, Task] = {}
        self._open: list[tuple[str, Task]] = []
        for task in spec.tasks:
            for saying in task.say:
                if fixed(saying):
                    self._fixed.setdefault(fold(saying), task)
                else:
                    self._open.append((saying, task))

    def read(self, text: str, remark: str) -> Said | None:
        """What the words mean; None where nobody has said."""
        task, texts = self._fixed.get(fold(text)), dict[str, str]()
        if task is None:
            for saying, open_task in self._open:
                found = match(saying, text)
                if found is not None:
                    task, texts = open_task, found
                    break
        if task is None:
            step = self._lexicon.step(text)
            return Said((step,), told=False) if step else None
        return _said(task, texts, remark)

    def near(self, text: str) -> str:
        """A step that looks like it, or nothing."""
        return self._lexicon.near_step(text)


def _said(task: Task, texts: dict[str, str], remark: str) -> Said:
    differs = False
    if task.remarks:
        found = match(task.remarks, remark) if remark.strip() else None
        texts = {**texts, **(found or {})}
        differs = found is None and bool(remark.strip())
    readings = []
    for name, value in task.readings.items():
        if all(place in texts for place in places(value)):
            readings.append((name, fill(value, texts)))
    return Said(tuple(canonical(step) for step in task.do), tuple(readings), remark_differs=differs)

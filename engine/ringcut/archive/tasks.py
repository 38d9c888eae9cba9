"""The crew's words for a task, and the steps and readings that they stand for.

Several tasks of the column file may have the same words: the remark decides, in the order of the file. What a
task says of a remark counts only where the remark says it.
"""

from __future__ import annotations

from collections.abc import Mapping

import msgspec

from ringcut.archive.columns import ColumnFile, DecimalSign, Task, fold
from ringcut.archive.lexicon import Lexicon
from ringcut.archive.templates import fill, fixed, match, places, shape
from ringcut.reading.suggest import canonical


class Told(msgspec.Struct, frozen=True):
    """A ``reading`` or ``step.reading`` with its value; ``in_remark``: the remark holds it, not the words."""

    name: str
    value: str
    in_remark: bool = False


class Said(msgspec.Struct, frozen=True):
    """What a task cell means: its steps, and the readings in its words and its remark."""

    steps: tuple[str, ...]
    readings: tuple[Told, ...] = ()
    told: bool = True
    """It stands in the column file (else in the vocabulary)."""
    unsaid: tuple[str, ...] = ()
    """Readings that the column file expects in the remark, and the remark is not as it expects."""
    other_remark: bool = False
    """The remark is not as the column file expects."""
    remark: int = -1
    """Which of the remarks says what the column file expects; -1: none, or all of them together."""
    undecided: tuple[str, ...] = ()
    """Remarks that tell apart which steps are meant, where the remark is none of them."""
    decimal: DecimalSign = ""


class TaskBook:
    """Looks tasks up: the column file first, then the names and synonyms of the vocabulary."""

    def __init__(self, spec: ColumnFile, lexicon: Lexicon) -> None:
        self._lexicon = lexicon
        self._fixed: dict[str, list[Task]] = {}
        self._open: dict[str, list[tuple[str, Task]]] = {}
        self._found: dict[str, list[tuple[Task, dict[str, str]]]] = {}
        for task in spec.tasks:
            for saying in task.say:
                if fixed(saying):
                    self._fixed.setdefault(fold(saying), []).append(task)
                else:
                    self._open.setdefault(shape(saying), []).append((saying, task))

    def read(self, text: str, *remarks: str) -> Said | None:
        """What the words mean beside these remarks, each of a column of its own; None where nobody has said.

        A remark alone is looked at before all of them together, with ``; `` between them.
        """
        written = [remark for remark in remarks if remark.strip()]
        ways = [*enumerate(remarks), *([(-1, "; ".join(written))] if len(written) > 1 else [])]
        if text not in self._found:
            self._found[text] = self._candidates(text)
        found = self._found[text]
        if not found:
            step = self._lexicon.step(text)
            return Said((step,), told=False) if step else None
        for task, texts in found:
            if not task.remarks:
                return _said(task, texts, {})
            for number, remark in ways:
                in_remark = match(task.remarks, remark) if remark.strip() else None
                if in_remark is not None:
                    return msgspec.structs.replace(_said(task, texts, in_remark), remark=number)
        task, texts = found[0]
        if len({each.do for each, _ in found}) > 1:
            return Said((), undecided=tuple(each.remarks for each, _ in found))
        return msgspec.structs.replace(_said(task, texts, None), other_remark=bool(written))

    def _candidates(self, text: str) -> list[tuple[Task, dict[str, str]]]:
        """The tasks with these words, and the texts at the places in them."""
        known = self._fixed.get(fold(text))
        if known:
            return [(task, {}) for task in known]
        for tasks in self._open.values():
            if match(tasks[0][0], text) is not None:
                return [(task, match(saying, text) or {}) for saying, task in tasks]
        return []

    def near(self, text: str) -> str:
        """A step that looks like it, or nothing."""
        return self._lexicon.step_spoken_of(text)


def _said(task: Task, texts: Mapping[str, str], in_remark: Mapping[str, str] | None) -> Said:
    """``in_remark``: the texts at the places of the remark; None where it is not as the column file expects."""
    readings = []
    unsaid = []
    for name, value in task.readings.items():
        named = places(value)
        by_words = all(place in texts for place in named) and bool(named or not task.remarks)
        if by_words:
            readings.append(Told(name, fill(value, texts)))
        elif in_remark is None:
            unsaid.append(name)
        elif all(place in texts or place in in_remark for place in named):
            # a remark with places tells what stands in them; what is always so, the task's words tell
            told_there = any(place in in_remark for place in named) or not in_remark and not named
            readings.append(Told(name, fill(value, {**texts, **in_remark}), told_there))
    steps = tuple(canonical(step) for step in task.do)
    return Said(steps, tuple(readings), unsaid=tuple(unsaid), decimal=task.decimal)

"""The logs of many that a reviewer has to look at first, by name: held while logs go by, however many they are."""

from __future__ import annotations

from collections import Counter
from typing import NamedTuple

from ringcut.archive.results import LogReport
from ringcut.archive.telling import Line, arranged
from ringcut.judge.findings import NONCONFORMING


class Grave(NamedTuple):
    """A log that does not conform: how it is called, the cause that breaks it worst, and how many causes more."""

    name: str
    file: str
    worst: Line
    more: int


class Gravest:
    """The ``most`` gravest of all logs added: by critical, then major, then minor rules broken, then as they came."""

    def __init__(self, most: int) -> None:
        self.most = most
        self._held: list[tuple[tuple[int, int, int, int], Grave]] = []
        self._came = 0
        self._last: tuple[int, int, int, int] | None = None

    def add(self, report: LogReport) -> None:
        """Hold a log as long as no graver ones fill the room."""
        if report.verdict != NONCONFORMING:
            return
        self._came += 1
        counts = report.counts
        key = (-counts.critical, -counts.major, -counts.minor, self._came)
        if self._last is not None and key > self._last:
            return
        self._held.append((key, _grave(report)))
        if len(self._held) >= 2 * self.most:
            self._cut()

    def _cut(self) -> None:
        self._held = sorted(self._held, key=lambda each: each[0])[: self.most]
        self._last = self._held[-1][0] if len(self._held) == self.most else None

    def found(self) -> list[Grave]:
        """The gravest first; several of one name have their file beside it."""
        self._cut()
        found = [each for _, each in self._held]
        names = Counter(each.name for each in found)
        return [each._replace(name=f"{each.name} {_short(each)}") if names[each.name] > 1 else each for each in found]


def _short(each: Grave) -> str:
    return each.file.rpartition("/")[2]


def _grave(report: LogReport) -> Grave:
    worst, *others = arranged(report).broken
    return Grave(called(report), report.file, worst, len(others))


def called(report: LogReport) -> str:
    """A log by its reference and closure; by its file and line where it has no reference."""
    if not report.reference:
        line = min((each.line for each in report.findings if each.line), default=0)
        return f"{report.file}:{line}" if line else report.file
    return f"{report.reference} closure {report.order_closure}" if report.order_closure else report.reference

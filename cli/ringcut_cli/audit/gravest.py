"""The logs of many that a reviewer has to look at first: held while logs go by, however many they are."""

from __future__ import annotations

from collections import Counter
from typing import NamedTuple

import msgspec

from ringcut.archive.results import LogReport, PlanCompared
from ringcut.archive.telling import Line, arranged
from ringcut.judge.findings import NONCONFORMING


class Grave(NamedTuple):
    """A log that does not conform: how it is called, its report without what no screen of many has, its causes."""

    name: str
    report: LogReport
    broken: tuple[Line, ...]

    @property
    def worst(self) -> Line:
        """The cause that breaks it worst."""
        return self.broken[0]

    @property
    def more(self) -> int:
        """How many causes more."""
        return len(self.broken) - 1


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
    return each.report.file.rpartition("/")[2]


def _grave(report: LogReport) -> Grave:
    held = msgspec.structs.replace(
        report, rules=(), measured=(), notes=(), warnings=(), to_measure=(), chances=(), timeline=None
    )
    return Grave(called(report), held, arranged(report).broken)


def called(report: LogReport) -> str:
    """A log by its reference and closure; by its file and line where it has no reference."""
    if not report.reference:
        line = min((each.line for each in report.findings if each.line), default=0)
        return f"{report.file}:{line}" if line else report.file
    return f"{report.reference} closure {report.order_closure}" if report.order_closure else report.reference


class Departure(NamedTuple):
    """A log that differs from its plan: how it is called, in what it differs, how many logs came before it, and one."""

    name: str
    compared: PlanCompared
    number: int


class Departures:
    """Logs beside their plans: how many were compared, how many differ, and ``most`` of these, the largest first.

    A step left out, added or moved counts before a fact, a fact before a reading.
    """

    def __init__(self, most: int) -> None:
        self.most, self.compared, self.differ, self._came = most, 0, 0, 0
        self._held: list[tuple[tuple[int, int, int, int], Departure]] = []

    def add(self, report: LogReport) -> None:
        """Count a log, and hold it where it departs from its plan by more than others."""
        self._came += 1
        compared = report.compared
        self.compared += compared is not None
        if compared is None or not compared.differs:
            return
        self.differ += 1
        steps = len(compared.left_out) + len(compared.added) + len(compared.out_of_order)
        key = (-steps, -len(compared.facts), -len(compared.changed), self._came)
        self._held.append((key, Departure(called(report), compared, self._came)))
        if len(self._held) >= 2 * self.most:
            self._cut()

    def _cut(self) -> None:
        self._held = sorted(self._held, key=lambda each: each[0])[: self.most]

    def found(self) -> list[Departure]:
        """Those held."""
        self._cut()
        return [departure for _, departure in self._held]

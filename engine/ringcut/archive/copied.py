"""Readings that look copied: the same odd digits together over several jobs of one crew. A question, never a verdict.

One equal reading proves nothing. Asked about is a set of readings that jobs share, where the chance of it is small even
after counting in how many ways such a coincidence could have turned up among that crew's jobs (a union bound). The
chance takes last digits as independent and equally likely; a value that a tenth of all jobs have is usual and counts
for nothing.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import combinations
from math import comb

import msgspec

from ringcut.archive.results import LogReport, Odd

LEAST_READINGS = 3
CHANCE = 0.001
"""Asked about below this expected number of such coincidences."""
USUAL_SHARE = 0.1
_MOST_JOBS = 3000
"""Jobs of a crew that are compared; the first ones."""
MOST_HELD = 30_000
"""Jobs of all crews that are compared; memory must not grow with a million logs."""


class Copied(msgspec.Struct, frozen=True, rename="kebab"):
    """Jobs of one crew that share odd readings, and how many such sets chance would give."""

    crew: str
    contractor: str
    jobs: tuple[str, ...]
    readings: tuple[str, ...]
    chance: float
    says: str
    files: tuple[str, ...] = ()


class _Job(msgspec.Struct, frozen=True):
    reference: str
    file: str
    odd: dict[str, tuple[str, int]]


class Copies:
    """Collects odd readings while logs go by."""

    def __init__(self) -> None:
        self.held = self.passed_over = 0
        """Jobs that are compared, and jobs that came too late to be."""
        self._crews: dict[tuple[str, str], list[_Job]] = {}
        self._count: dict[tuple[str, str], int] = {}
        self._logs: dict[str, int] = {}

    def add(self, report: LogReport, odd: Iterable[Odd]) -> None:
        """Take a log. Two closures of one order share readings by right: they are one job."""
        found = {each.what: (each.text, each.ways) for each in odd}
        for what, (text, _) in found.items():
            self._count[what, text] = self._count.get((what, text), 0) + 1
            self._logs[what] = self._logs.get(what, 0) + 1
        if len(found) >= LEAST_READINGS and report.crew:
            jobs = self._crews.setdefault((report.contractor, report.crew), [])
            if any(job.reference == report.reference for job in jobs[-20:]):
                return
            if len(jobs) < _MOST_JOBS and self.held < MOST_HELD:
                self.held += 1
                jobs.append(_Job(report.reference, report.file, found))
            else:
                self.passed_over += 1

    def found(self) -> tuple[Copied, ...]:
        """What is to be asked, the least likely first."""
        told = []
        for (contractor, crew), jobs in sorted(self._crews.items()):
            told += self._of_crew(contractor, crew, jobs)
        return tuple(sorted(told, key=lambda each: (each.chance, each.crew, each.jobs)))

    def _of_crew(self, contractor: str, crew: str, jobs: list[_Job]) -> list[Copied]:
        sets: dict[frozenset[tuple[str, str]], set[int]] = {}
        by_value: dict[tuple[str, str], list[int]] = {}
        for number, job in enumerate(jobs):
            for what, (text, _) in job.odd.items():
                if not self._usual(what, text, sum(text == other.odd.get(what, ("",))[0] for other in jobs)):
                    by_value.setdefault((what, text), []).append(number)
        pairs: dict[tuple[int, int], set[tuple[str, str]]] = {}
        for value, numbers in by_value.items():
            for pair in combinations(numbers, 2):
                pairs.setdefault(pair, set()).add(value)
        for (one, two), shared in pairs.items():
            if len(shared) >= LEAST_READINGS:
                sets.setdefault(frozenset(shared), set()).update((one, two))
        told: list[Copied] = []
        covered: list[set[int]] = []
        for values, shared_by in sorted(sets.items(), key=lambda each: (-len(each[1]), -len(each[0]), sorted(each[0]))):
            if any(shared_by <= known for known in covered):
                continue
            made = self._told(contractor, crew, jobs, values, shared_by)
            if made.chance < CHANCE:
                covered.append(shared_by)
                told.append(made)
        return told

    def _usual(self, what: str, text: str, own: int) -> bool:
        """Whether so many logs of other crews have the value that it means nothing."""
        others, logs = self._count[what, text] - own, self._logs[what] - own
        return logs >= 20 and others > USUAL_SHARE * logs

    def _told(
        self, contractor: str, crew: str, jobs: list[_Job], values: frozenset[tuple[str, str]], numbers: set[int]
    ) -> Copied:
        once = 1.0
        for what, _ in values:
            once /= jobs[min(numbers)].odd[what][1]
        possible = max(len(job.odd) for job in jobs)
        chance = comb(len(jobs), len(numbers)) * comb(possible, len(values)) * once ** (len(numbers) - 1)
        readings = tuple(f"{what.partition('.')[2].replace('-', ' ')} {text}" for what, text in sorted(values))
        references = tuple(jobs[number].reference for number in sorted(numbers))
        files = tuple(dict.fromkeys(jobs[number].file for number in sorted(numbers)))
        says = (
            f"{len(numbers)} of {len(jobs)} jobs of {crew} have {', '.join(readings)} together. If last digits fall as "
            f"they may, {_odds(chance)}. Ask for the meter's own record or a photo."
        )
        return Copied(crew, contractor, references, readings, min(chance, 1.0), says, files)


def _odds(chance: float) -> str:
    if chance < 1e-9:
        return "the chance of that is under 1 in 1,000,000,000"
    return f"the chance of that is about 1 in {round(1 / chance):,}"

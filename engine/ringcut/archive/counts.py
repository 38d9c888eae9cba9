"""The counts of an audit: how many logs conform, and how each rule stands. These structs are the published JSON."""

from __future__ import annotations

import msgspec

from ringcut import __version__
from ringcut.archive.counting import CODES, MOST_PROBLEMS, Counted, Rules
from ringcut.archive.summary import Share, wilson
from ringcut.judge.findings import CLASSES, CONFORMS, NONCONFORMING, NOT_APPLICABLE, UNDER_CONCESSION, UNDETERMINED
from ringcut.judge.overall import overall
from ringcut.report.published import Trouble

MOST_ALIKE = 20_000
"""Different sets of verdicts that are held before they are added up."""
_SAID = {code: verdict for verdict, code in CODES.items()}


class RuleCounts(msgspec.Struct, frozen=True, rename="kebab"):
    """In how many logs a rule came out how; in the others it did not apply."""

    rule: str
    class_: str = msgspec.field(name="class")
    conforms: int = 0
    nonconforming: int = 0
    undetermined: int = 0
    under_concession: int = 0


class Counts(msgspec.Struct, frozen=True, rename="kebab"):
    """The counts of all logs of an audit."""

    logs: int
    not_read: int
    in_bulk: int
    """Logs that needed no reading one by one."""
    verdicts: dict[str, int]
    worst_class: dict[str, int]
    """Nonconforming logs by the gravest class broken in them."""
    nonconforming: Share
    rules: tuple[RuleCounts, ...]
    problems: tuple[Trouble, ...]
    """The first of what could not be read."""
    as_of: str
    rulebook: str
    """The digest of everything that the verdicts rest on besides the logs."""
    set_aside: int = 0
    """Lines that were written to a file of their own, for a closer look."""
    version: str = __version__


class Adding:
    """Adds up what stretches and pieces gave, in the order of the files."""

    def __init__(self) -> None:
        self.logs = self.not_read = self.in_bulk = self.set_aside = self.beside = 0
        self.problems: list[Trouble] = []
        self.results: dict[tuple[Rules, bytes, bool], int] = {}
        self.verdicts: dict[str, int] = {}
        self.classes: dict[str, int] = {}
        self.rules: dict[tuple[str, str], list[int]] = {}
        self.ends: dict[tuple[str, str, bool], int] = {}
        """(verdict, gravest class broken, whether something else cannot be said or is not covered) -> logs."""
        self._lines: dict[str, int] = {}

    def add(self, counted: Counted, name: str) -> None:
        """Take the counts of the next stretch of a file."""
        before = self._lines.get(name, 0)
        self._lines[name] = before + counted.lines
        self.logs += counted.logs
        self.not_read += counted.not_read
        self.in_bulk += counted.in_bulk
        self.set_aside += len(counted.aside)
        self.beside += counted.beside
        for problem in counted.problems[: MOST_PROBLEMS - len(self.problems)]:
            moved = before + problem.line if counted.lines and problem.line else problem.line
            self.problems.append(msgspec.structs.replace(problem, line=moved))
        for rules, alike in counted.results:
            for each in alike:
                key = (rules, each.codes, each.uncovered)
                self.results[key] = self.results.get(key, 0) + each.logs
        if len(self.results) > MOST_ALIKE:
            self._fold()

    def _fold(self) -> None:
        for (rules, codes, uncovered), logs in self.results.items():
            said = dict.fromkeys(CODES, 0)
            broken: set[str] = set()
            for (name, class_), code in zip(rules, codes, strict=True):
                said[_SAID[code]] += 1
                self.rules.setdefault((name, class_), [0] * len(CODES))[code] += logs
                if code == CODES[NONCONFORMING]:
                    broken.add(class_)
            verdict = overall(said, uncovered)
            worst = next((name for name in CLASSES if name in broken), "")
            self.verdicts[verdict] = self.verdicts.get(verdict, 0) + logs
            if worst:
                self.classes[worst] = self.classes.get(worst, 0) + logs
            end = (verdict, worst, uncovered or bool(said[UNDETERMINED]))
            self.ends[end] = self.ends.get(end, 0) + logs
        self.results.clear()

    def counts(self, as_of: str, context: str) -> Counts:
        """The counts so far."""
        self._fold()
        order = {name: number for number, name in enumerate(CLASSES)}
        bad = self.verdicts.get(NONCONFORMING, 0)
        rules = [
            RuleCounts(name, class_, *(numbers[CODES[verdict]] for verdict in _COLUMNS))
            for (name, class_), numbers in self.rules.items()
            if any(numbers[code] for code in range(len(CODES)) if code != CODES[NOT_APPLICABLE])
        ]
        rules.sort(key=lambda each: (-each.nonconforming, order.get(each.class_, 9), -each.undetermined, each.rule))
        doubtful, rate = self.verdicts.get(UNDETERMINED, 0), bad / self.logs if self.logs else 0.0
        share = Share("all logs", self.logs, bad, doubtful, rate, *wilson(bad, self.logs))
        return Counts(
            self.logs, self.not_read, self.in_bulk, dict(sorted(self.verdicts.items())),
            {name: self.classes[name] for name in CLASSES if name in self.classes},
            share, tuple(rules), tuple(self.problems), as_of, context, self.set_aside,
        )  # fmt: skip


_COLUMNS = (CONFORMS, NONCONFORMING, UNDETERMINED, UNDER_CONCESSION)

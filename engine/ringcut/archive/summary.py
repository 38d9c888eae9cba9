"""Many logs counted as they go by: verdicts, what breaks most, what keeps us from saying, and by whom, where and when.

A share of logs stands with its interval of confidence: Wilson's score interval without continuity correction, at 95 %.
"""

from __future__ import annotations

from collections import Counter
from math import sqrt
from statistics import NormalDist

import msgspec

from ringcut.archive.results import LogReport
from ringcut.archive.telling import short_cause
from ringcut.judge.findings import CLASSES, CONFORMS, NONCONFORMING, UNDETERMINED

CONFIDENCE = 0.95
MOST_ROWS = 1000
"""Groups of one kind that a report lists, the largest first."""
MOST_GROUPS = 20_000
"""Groups of one kind that are counted each for itself; those that come later are counted together."""
OTHERS = "(all others)"


def wilson(hits: int, of: int, confidence: float = CONFIDENCE) -> tuple[float, float]:
    """The score interval of a share (E. B. Wilson, 1927); 0 to 1 where there is nothing."""
    if not of:
        return 0.0, 1.0
    z = NormalDist().inv_cdf((1 + confidence) / 2)
    share = hits / of
    middle = (share + z * z / (2 * of)) / (1 + z * z / of)
    half = z / (1 + z * z / of) * sqrt(share * (1 - share) / of + z * z / (4 * of * of))
    # at the ends the bound is 0 or 1 itself; rounding must not put it beside
    return 0.0 if not hits else max(0.0, middle - half), 1.0 if hits == of else min(1.0, middle + half)


class Share(msgspec.Struct, frozen=True, rename="kebab"):
    """How many of some logs are nonconforming, with the interval, and of how many it cannot be said."""

    name: str
    logs: int
    nonconforming: int
    undetermined: int
    rate: float
    low: float
    high: float


class RuleCount(msgspec.Struct, frozen=True, rename="kebab"):
    """In how many logs a rule is broken."""

    rule: str
    class_: str = msgspec.field(name="class")
    logs: int
    rate: float
    low: float
    high: float


class CauseCount(msgspec.Struct, frozen=True, rename="kebab"):
    """In how many logs something keeps us from saying, and how many verdicts wait for it."""

    cause: str
    logs: int
    verdicts: int


class Risks(msgspec.Struct, frozen=True, rename="kebab"):
    """Limits judged of readings with a standard uncertainty, by verdict, and how many of them are expected to be wrong.

    The sum of 1 less the probability of conformity over those accepted, and of that probability over those rejected
    (JCGM 106:2012, 9.3, specific risks). An undetermined one is neither.
    """

    rule: str
    class_: str = msgspec.field(name="class")
    accepted: int
    rejected: int
    undetermined: int
    wrong_accepts: float
    wrong_rejects: float


class Summary(msgspec.Struct, frozen=True, rename="kebab"):
    """Counts over all logs of an audit."""

    logs: int
    not_read: int
    """Logs, lines or files that could not be read."""
    verdicts: dict[str, int]
    worst_class: str
    classes: dict[str, int]
    """Logs by the gravest class that is broken in them."""
    rate: Share
    breaks_most: tuple[RuleCount, ...]
    keeps_from_saying: tuple[CauseCount, ...]
    by_contractor: tuple[Share, ...]
    by_crew: tuple[Share, ...]
    by_place: tuple[Share, ...]
    by_week: tuple[Share, ...]
    risks: tuple[Risks, ...] = ()
    """By rule; none where no reading has an uncertainty."""
    risk: Risks | None = None
    """Over all rules."""


class Tally:
    """Adds up; memory grows with rules, causes and groups, not with logs."""

    def __init__(self) -> None:
        self.logs = self.not_read = 0
        self._verdicts: Counter[str] = Counter()
        self._classes: Counter[str] = Counter()
        self._rules: Counter[tuple[str, str]] = Counter()
        self._causes: Counter[str] = Counter()
        self._waiting: Counter[str] = Counter()
        self._risks: dict[tuple[str, str], list[int]] = {}
        self._groups: dict[str, dict[str, list[int]]] = {kind: {} for kind in ("contractor", "crew", "where", "week")}

    def add(self, report: LogReport) -> None:
        """Count a log."""
        self.logs += 1
        self._verdicts[report.verdict] += 1
        if report.worst_class:
            self._classes[report.worst_class] += 1
        broken = {(each.rule, each.class_) for each in report.findings if each.verdict == NONCONFORMING}
        self._rules.update(broken)
        causes = Counter(short_cause(each) for each in report.findings if each.verdict == UNDETERMINED)
        self._causes.update(causes.keys())
        self._waiting.update(causes)
        for each in report.chances:
            counted = self._risks.setdefault((each.rule, each.class_), [0] * 5)
            counted[_COLUMNS[each.verdict]] += 1
            # in whole parts, so that the sum is the same in whatever order logs come
            counted[3] += round((1 - each.chance) * _PARTS) if each.verdict == CONFORMS else 0
            counted[4] += round(each.chance * _PARTS) if each.verdict == NONCONFORMING else 0
        for kind, groups in self._groups.items():
            name = getattr(report, kind)
            if name:
                known = name in groups or len(groups) < MOST_GROUPS
                counted = groups.setdefault(name if known else OTHERS, [0, 0, 0])
                counted[0] += 1
                counted[1] += report.verdict == NONCONFORMING
                counted[2] += report.verdict == UNDETERMINED

    def summary(self) -> Summary:
        """The counts so far, the largest first, equal ones by name."""
        rules = sorted(self._rules.items(), key=lambda each: (-each[1], CLASSES.index(each[0][1]), each[0][0]))
        causes = sorted(self._causes.items(), key=lambda each: (-each[1], each[0]))
        risks = tuple(_risks(*key, counted) for key, counted in sorted(self._risks.items()))
        risks = tuple(sorted(risks, key=lambda each: (-each.wrong_accepts - each.wrong_rejects, each.rule)))
        counts = [self.logs, self._verdicts[NONCONFORMING], self._verdicts[UNDETERMINED]]
        return Summary(
            self.logs,
            self.not_read,
            dict(sorted(self._verdicts.items())),
            next((name for name in CLASSES if self._classes[name]), ""),
            {name: self._classes[name] for name in CLASSES},
            _share("all", counts),
            tuple(RuleCount(rule, cls, count, *_rate(count, self.logs)) for (rule, cls), count in rules),
            tuple(CauseCount(cause, count, self._waiting[cause]) for cause, count in causes[:MOST_ROWS]),
            self._shares("contractor"),
            self._shares("crew"),
            self._shares("where"),
            tuple(sorted(self._shares("week"), key=lambda each: each.name)),
            risks,
            _risks("all", "", [sum(column) for column in zip(*self._risks.values(), strict=True)]) if risks else None,
        )

    def _shares(self, kind: str) -> tuple[Share, ...]:
        groups = sorted(self._groups[kind].items(), key=lambda each: (-each[1][0], each[0]))
        return tuple(_share(name, counted) for name, counted in groups)


_PARTS = 10**9
_COLUMNS: dict[str, int] = {CONFORMS: 0, NONCONFORMING: 1, UNDETERMINED: 2}


def _risks(rule: str, class_: str, counted: list[int]) -> Risks:
    accepted, rejected, open_, accepts, rejects = counted
    return Risks(rule, class_, accepted, rejected, open_, round(accepts / _PARTS, 6), round(rejects / _PARTS, 6))


def _rate(hits: int, of: int) -> tuple[float, float, float]:
    low, high = wilson(hits, of)
    return round(hits / of if of else 0.0, 6), round(low, 6), round(high, 6)


def _share(name: str, counted: list[int]) -> Share:
    logs, bad, unsaid = counted
    return Share(name, logs, bad, unsaid, *_rate(bad, logs))

"""The findings of a log as a reviewer reads them: one line a cause, with all its rows.

What a log of milestones does not have is told in one line; facts that the job does not give in another.
"""

from __future__ import annotations

import msgspec

from ringcut.archive.quoting import missing_step, unknown_fact
from ringcut.archive.results import LogReport
from ringcut.judge.findings import CLASSES, NONCONFORMING, UNDER_CONCESSION, UNDETERMINED, Finding


class Line(msgspec.Struct, frozen=True):
    """A cause: the finding that tells it, all of its rows (with letters), and every rule it concerns."""

    head: Finding
    rows: tuple[str, ...]
    rules: tuple[str, ...]
    others: tuple[Finding, ...] = ()


class Arranged(msgspec.Struct, frozen=True):
    """A report in the order in which it is told."""

    broken: tuple[Line, ...]
    """Gravest first."""
    cannot_say: tuple[Line, ...]
    conceded: tuple[Line, ...]
    not_recorded: tuple[str, ...]
    facts: tuple[str, ...]
    """Job facts that are not given."""
    facts_rules: int
    """The rules that wait for them."""


def arranged(report: LogReport) -> Arranged:
    """Every finding in exactly one line, in ``not_recorded``, or counted in ``facts_rules``."""
    together = set(report.together)
    waiting, facts = set(), dict[str, None]()
    by_verdict: dict[str, list[Finding]] = {NONCONFORMING: [], UNDETERMINED: [], UNDER_CONCESSION: []}
    for number, finding in enumerate(report.findings):
        fact = unknown_fact(finding.cause)
        if fact and finding.verdict == UNDETERMINED:
            facts[fact] = None
            waiting.add(finding.rule)
        elif number not in together:
            by_verdict[finding.verdict].append(finding)
    broken = sorted(_lines(by_verdict[NONCONFORMING]), key=lambda line: CLASSES.index(line.head.class_))
    return Arranged(
        tuple(broken),
        tuple(sorted(_lines(by_verdict[UNDETERMINED]), key=lambda line: (line.head.line, line.head.letter))),
        tuple(_lines(by_verdict[UNDER_CONCESSION])),
        report.not_recorded,
        tuple(facts),
        len(waiting),
    )


def _lines(findings: list[Finding]) -> list[Line]:
    groups: dict[tuple[str, ...], list[Finding]] = {}
    for finding in findings:
        # the same cause broken and unsure, or two reasons under one cause, stay apart by class and text
        key: tuple[str, ...] = (
            finding.closure,
            finding.cause,
            finding.side if finding.verdict == NONCONFORMING else "",
        )
        groups.setdefault(key, []).append(finding)
    return [_line(group) for group in groups.values()]


def _line(group: list[Finding]) -> Line:
    head = min(group, key=lambda each: (bool(each.told_under), CLASSES.index(each.class_)))
    rows = dict.fromkeys(_row(each) for each in sorted(group, key=lambda each: each.line) if each.line)
    rules = dict.fromkeys((head.rule, *(each.rule for each in group)))
    return Line(head, tuple(rows), tuple(rules), tuple(each for each in group if each is not head))


def _row(finding: Finding) -> str:
    return f"{finding.line}:{finding.letter}" if finding.letter else str(finding.line)


def short_cause(cause: str) -> str:
    """A cause without the number of its entry, so that it can be counted over many logs."""
    step = missing_step(cause)
    if step:
        return f"{step} not recorded"
    head, _, tail = cause.partition(" #")
    return f"{head} {tail.split(' ', 1)[1]}" if tail and " " in tail else head

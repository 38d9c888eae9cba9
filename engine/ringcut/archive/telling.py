"""The findings of a log as a reviewer reads them: one line a cause, with all its rows.

What a log of milestones does not have is told in one line; facts that the job does not give in another; what has not
happened yet, in a log that is not finished, in a third.
"""

from __future__ import annotations

import re

import msgspec

from ringcut.archive.quoting import missing_step, rests_on_times, unknown_fact
from ringcut.archive.results import LogReport
from ringcut.judge.findings import CLASSES, NONCONFORMING, UNDER_CONCESSION, UNDETERMINED, Finding
from ringcut.relations.conformity import PROBABILITY
from ringcut.report.outline import in_groups

_NOT_FINISHED = "the log is not finished"
_SO_FAR = "kept so far"
_READING = re.compile(r"reading (?P<step>[^ .]+)\.(?P<name>[^ ]+) #\d+.* missing")
_ENDED = re.compile(r"(?P<what>not [\w -]+) since (?P<step>[\w-]+) \(line \d+\)")
_LOST = re.compile(r"(?P<no>not )?(?P<name>[^ ]+).* lost at #.*")
_SWAPPED = re.compile(r"#\d+ before #\d+")
_LINE = re.compile(r" \(line \d+\)")


class Line(msgspec.Struct, frozen=True):
    """A cause: the finding that tells it, all of its rows (with letters), every rule it concerns, and the others."""

    head: Finding
    rows: tuple[str, ...]
    rules: tuple[str, ...]
    others: tuple[Finding, ...] = ()

    @property
    def class_(self) -> str:
        """The gravest class that the cause concerns; the rule that tells it may be a lesser one."""
        return min((each.class_ for each in (self.head, *self.others)), key=CLASSES.index)

    @property
    def common(self) -> str:
        """What all of it has in common, in words, where what was found does not say that."""
        return self.head.in_common if self.head.in_common != self.head.found else ""

    @property
    def elsewhere(self) -> tuple[str, ...]:
        """What was found at the other places, where it is something else, each with its rule where that is another."""
        said = [each for each in self.others if each.found and each.found != self.head.found]
        texts = (f"{_before(each, self.head)}{each.found}{f' ({each.margin})' if each.margin else ''}" for each in said)
        return tuple(dict.fromkeys(texts))


class Arranged(msgspec.Struct, frozen=True):
    """A report in the order in which it is told."""

    broken: tuple[Line, ...]
    """Gravest first."""
    cannot_say: tuple[Line, ...]
    conceded: tuple[Line, ...]
    not_recorded: tuple[str, ...]
    facts: tuple[str, ...]
    """Job facts that are not given."""
    facts_waiting: tuple[str, ...]
    """The rules that wait for them."""
    unfinished: tuple[str, ...] = ()
    """The rules about what has not happened yet."""
    so_far: tuple[str, ...] = ()
    """The rules about what must be kept, and is until now."""

    @property
    def facts_rules(self) -> int:
        """How many rules wait for facts."""
        return len(self.facts_waiting)


def arranged(report: LogReport) -> Arranged:
    """Every finding in exactly one line, in ``not_recorded``, in ``facts_waiting``, ``unfinished`` or ``so_far``."""
    together = set(report.together)
    waiting, facts = dict[str, None](), dict[str, None]()
    unfinished, so_far = dict[str, None](), dict[str, None]()
    by_verdict: dict[str, list[Finding]] = {NONCONFORMING: [], UNDETERMINED: [], UNDER_CONCESSION: []}
    for number, finding in enumerate(report.findings):
        fact = unknown_fact(finding.cause)
        if fact and finding.verdict == UNDETERMINED:
            facts[fact] = None
            waiting[finding.rule] = None
        elif _not_yet(finding, report):
            (so_far if _SO_FAR in finding.cause else unfinished)[finding.rule] = None
        elif number not in together:
            by_verdict[finding.verdict].append(finding)
    broken = sorted(_lines(by_verdict[NONCONFORMING]), key=lambda line: CLASSES.index(line.class_))
    return Arranged(
        tuple(broken),
        tuple(sorted(_lines(by_verdict[UNDETERMINED]), key=lambda line: (line.head.line, line.head.letter))),
        tuple(_lines(by_verdict[UNDER_CONCESSION])),
        report.not_recorded,
        tuple(facts),
        tuple(waiting),
        tuple(unfinished),
        tuple(so_far),
    )


def _not_yet(finding: Finding, report: LogReport) -> bool:
    """Whether it waits for a step that has not been done in a log that is not finished."""
    if not report.ends_after or finding.verdict != UNDETERMINED:
        return False
    return finding.cause.endswith(_NOT_FINISHED) or bool(missing_step(finding.cause))


def _lines(findings: list[Finding]) -> list[Line]:
    return [_line(group) for group in in_groups(findings)]


def _line(group: list[Finding]) -> Line:
    head, *others = group
    rows = dict.fromkeys(_row(each) for each in sorted(group, key=lambda each: each.line) if each.line)
    rules = dict.fromkeys(each.rule for each in group)
    sides = sorted({each.side for each in group if each.rule == head.rule})
    told = head if "" in sides else msgspec.structs.replace(head, side=", ".join(sides))
    return Line(told, tuple(rows), tuple(rules), tuple(others))


def _before(each: Finding, head: Finding) -> str:
    """Where a finding stands, and its rule where it is not that of the head: in front of what was found there."""
    row = _row(each) if each.line else ""
    rule = "" if each.rule == head.rule else each.rule
    side = f"side {each.side}" if each.side else ""
    told = " ".join(part for part in (row, ", ".join(filter(None, (rule, side)))) if part)
    return f"{told}: " if told else ""


def _row(finding: Finding) -> str:
    return f"{finding.line}:{finding.letter}" if finding.letter else str(finding.line)


def short_cause(finding: Finding) -> str:
    """What keeps one finding from being said, in words that many logs share: without entries, sides and cell texts."""
    cause = finding.cause
    if cause.endswith(_NOT_FINISHED):
        return _NOT_FINISHED
    if any(each.startswith(PROBABILITY) for each in finding.evidence):
        return f"{finding.rule}: too near the limit for its uncertainty"
    if cause.startswith(f"{finding.rule}:"):
        return finding.rule
    if step := missing_step(cause):
        return f"{step} not recorded"
    if fact := unknown_fact(cause):
        return f"the job does not say: {fact.replace('-', ' ')}"
    if reading := _READING.fullmatch(cause):
        unread = finding.why_undetermined == "unreadable"
        return f"{reading['name'].replace('-', ' ')} of {reading['step']} not {'readable' if unread else 'there'}"
    if lost := _LOST.fullmatch(cause):
        if ended := next((found for each in finding.evidence if (found := _ENDED.fullmatch(each))), None):
            return f"{ended['what']} since {ended['step']}"
        name = lost["name"].replace("-", " ")
        return f"{name}, not recorded as ended" if lost["no"] else f"{name} had ended, not recorded anew"
    if rests_on_times(cause):
        return "time runs back"
    if _SWAPPED.fullmatch(cause):
        return _LINE.sub("", finding.found)
    return _LINE.sub("", cause)

"""Concessions and deviation permits: one job, one rule, a reason, an approver, a last day (inclusive).

A finding under concession stays in every output. What is malformed, unknown, expired, not yet granted, approved by
somebody who may not, on what a binding clause itself fixes, or not used is said aloud and changes nothing; the others
of the file count.
"""

from __future__ import annotations

import hashlib

import msgspec

from ringcut.judge.findings import NONCONFORMING, UNDER_CONCESSION, Finding, Report
from ringcut.judge.recount import recounted
from ringcut.language import ir
from ringcut.language.bounds import binds, is_bound
from ringcut.language.house import names_a_person
from ringcut.reading.decode import decode
from ringcut.reading.phrase import Phrase
from ringcut.reading.problems import NOWHERE, Place, Problem, Unreadable
from ringcut.reading.suggest import near
from ringcut.reading.yamltext import Node, load
from ringcut.relations.times import read_date


class Concession(msgspec.Struct, frozen=True, rename="kebab", omit_defaults=True):
    """Leave to depart from one rule on one job, from ``granted`` to the end of ``expires``."""

    job: Phrase
    """The job's reference."""
    rule: Phrase
    """The rule from which the job may depart."""
    reason: str
    """Why."""
    approved_by: Phrase
    """The named person who allows it."""
    granted: Phrase
    expires: Phrase
    side: str = ""
    """The side it is for; absent: all."""
    closure: str = ""
    """The closure it is for; absent: all."""
    place: Place = NOWHERE

    @property
    def words(self) -> str:
        """How a finding names it."""
        return f"{self.reason}; approved by {self.approved_by}, {self.granted} to {self.expires}"


class ConcessionsFile(msgspec.Struct, frozen=True, rename="kebab", omit_defaults=True):
    """``concessions:`` a list. ``may-approve``: who may, by class, as in house rules; both must allow it."""

    concessions: tuple[Concession, ...]
    """What is conceded."""
    may_approve: dict[str, tuple[str, ...]] = {}
    """Who may approve, by class of rule."""


class _Listed(msgspec.Struct, frozen=True, rename="kebab", omit_defaults=True):
    """The file with its concessions not yet looked at."""

    concessions: tuple[Node, ...]
    may_approve: dict[str, tuple[str, ...]] = {}


class Concessions(msgspec.Struct, frozen=True):
    """The usable concessions of a file, what is wrong with the others, and the file's digest."""

    usable: tuple[Concession, ...] = ()
    aloud: tuple[str, ...] = ()
    digest: str = ""


def read_concessions(data: bytes, file: str, book: ir.Rulebook) -> Concessions:
    """Read a file. A concession that cannot count is said aloud; :class:`Unreadable` where the file is no such list."""
    problems: list[Problem] = []
    node = load(data, file, problems)
    listed = decode(node, _Listed, problems) if node is not None else None
    if problems or listed is None:
        raise Unreadable(problems or [Problem(Place(file), "the file is empty", "concessions: a list")])
    lists = tuple(each for each in (book.may_approve, listed.may_approve) if each)
    usable, aloud = [], []
    for item in listed.concessions:
        wrong: list[Problem] = []
        each = decode(item, Concession, wrong)
        if each is not None:
            wrong += _problems(each, book, lists)
        if each is not None and not wrong:
            usable.append(each)
        else:
            aloud.append(_not_counted(item.place, each, wrong))
    return Concessions(tuple(usable), tuple(aloud), hashlib.sha256(data).hexdigest())


def _not_counted(place: Place, each: Concession | None, wrong: list[Problem]) -> str:
    told = []
    for problem in wrong:
        rest = "; ".join(part for part in (problem.expected, problem.hint) if part)
        told.append(f"{problem.found} ({rest})" if rest else problem.found)
    about = f" for {each.rule}, job {each.job}," if each is not None else ""
    return f"concession at {place}{about} does not count: {'; '.join(told)}"


def _problems(each: Concession, book: ir.Rulebook, lists: tuple[dict[str, tuple[str, ...]], ...]) -> list[Problem]:
    found = []
    rule = book.rule(each.rule.text)
    if rule is None:
        close = near(each.rule.text, [rule.id for rule in book.rules])
        found.append(Problem(each.rule.place, f"no rule {each.rule}", "", f"did you mean {close}?" if close else ""))
    elif _fixed_by_law(rule, book):
        found.append(
            Problem(
                each.rule.place,
                f"{rule.id}: {rule.basis.regulation} itself fixes this",
                "no concession on it",
            )
        )
    for key, phrase in (("granted", each.granted), ("expires", each.expires)):
        if read_date(phrase.text) is None:
            found.append(Problem(phrase.place, f"{key}: {phrase}", "a date as 2027-06-30"))
    if not names_a_person(each.approved_by.text):
        found.append(Problem(each.approved_by.place, f"«{each.approved_by}» is not a name", "a named person"))
    elif rule is not None:
        for allowed in (approvers.get(rule.class_, ()) for approvers in lists):
            if each.approved_by.text not in allowed:
                said = f"{each.approved_by} may not approve {rule.class_} rules"
                found.append(
                    Problem(each.approved_by.place, said, f"approved-by: {' or '.join(allowed) or 'nobody may'}")
                )
                break
    return found


def _fixed_by_law(rule: ir.Rule, book: ir.Rulebook) -> bool:
    """A rule of a binding clause, unless every number in it is a house value."""
    if not binds(rule.basis.regulation, book):
        return False
    return not rule.values or any(is_bound(value, rule.basis.regulation, book) for value in rule.values.values())


def conceded(report: Report, given: Concessions, day: str) -> tuple[Report, frozenset[int]]:
    """The report with its concessions applied for ``day`` (ISO 8601), and the numbers of those that were used."""
    used: set[int] = set()
    aloud = list(report.aloud)
    findings = []
    for finding in report.findings:
        number = next((i for i, each in enumerate(given.usable) if _meets(each, finding, report)), None)
        if number is None:
            findings.append(finding)
            continue
        each = given.usable[number]
        if day < each.granted.text or day > each.expires.text:
            when = "expired" if day > each.expires.text else "not yet granted"
            aloud.append(f"concession at {each.place} for {each.rule}, job {each.job}, is {when}: {each.words}")
            findings.append(finding)
            continue
        used.add(number)
        findings.append(msgspec.structs.replace(finding, verdict=UNDER_CONCESSION, concession=each.words))
    changed = _lifted(report, tuple(findings))
    digests = msgspec.structs.replace(changed.digests, concessions=given.digest)
    return msgspec.structs.replace(changed, digests=digests, aloud=tuple(dict.fromkeys(aloud))), frozenset(used)


def unused(given: Concessions, used: frozenset[int]) -> list[str]:
    """What is said of concessions that no finding met."""
    return [
        f"concession at {each.place} for {each.rule}, job {each.job}, was not used"
        for number, each in enumerate(given.usable)
        if number not in used
    ]


def _meets(each: Concession, finding: Finding, report: Report) -> bool:
    return (
        finding.verdict == NONCONFORMING
        and each.rule.text == finding.rule
        and each.job.text == report.reference
        and each.side in ("", finding.side)
        and each.closure in ("", finding.closure)
    )


def _lifted(report: Report, findings: tuple[Finding, ...]) -> Report:
    left = {finding.rule for finding in findings if finding.verdict == NONCONFORMING}
    lifted = {finding.rule for finding in findings if finding.verdict == UNDER_CONCESSION} - left
    rules = tuple(
        msgspec.structs.replace(rule, verdict=UNDER_CONCESSION)
        if rule.rule in lifted and rule.verdict == NONCONFORMING
        else rule
        for rule in report.rules
    )
    return recounted(report, findings, rules)

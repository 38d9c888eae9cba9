"""Findings for open readings of a plan that have no values together, or of which that is not known.

Such a finding stands under the gravest rule of the minimal conflict: without any one rule of it, or any one given
range, there would be a choice.
"""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from ringcut.fit.answers import GaveUp, NoSolution
from ringcut.fit.bindingwords import asked_by, bound_in, words_of_conflict
from ringcut.fit.openparts import GIVEN, Part
from ringcut.fit.problem import Label
from ringcut.judge.findings import CLASSES, NONCONFORMING, UNDETERMINED, Finding, Report
from ringcut.judge.recount import recounted
from ringcut.language import ir
from ringcut.relations.procedure import Occurrence

CHANGE = "Change one of what is given here, or ask for leave from one of these rules."
DECIDE = "Decide some of these readings, then judge again."
VERDICTS = (NONCONFORMING, UNDETERMINED)


def no_choice(report: Report, part: Part, answer: NoSolution) -> Finding | None:
    """The finding of a conflict; None where it is one rule that is broken already, whatever else is chosen."""
    given = [label.words for label in answer.conflict if label.id.startswith(GIVEN)]
    rules = _rules(part, answer.conflict)
    broken = {each.rule for each in report.rules if each.verdict == NONCONFORMING}
    if not rules or len(rules) == 1 and rules[0].id in broken:
        return None
    found = words_of_conflict(part.opened, answer.conflict, given)
    head = min(rules, key=lambda rule: CLASSES.index(rule.class_))
    names = ", ".join(rule.id for rule in rules)
    needed = f"values that keep {names}{' together' if len(rules) > 1 else ''}"
    needed += "" if answer.minimal else " (perhaps not all of these are needed for the conflict)"
    return _of_part(report, part, head, answer.conflict, NONCONFORMING, found, needed)


def not_known(report: Report, part: Part, answer: GaveUp) -> Finding | None:
    """The finding of a search that gave up: nothing was proved."""
    rules = _rules(part, part.labels)
    if not rules:
        return None
    head = min(rules, key=lambda rule: CLASSES.index(rule.class_))
    names = ", ".join(dict.fromkeys(part.opened.word(where).name.replace("-", " ") for where in part.readings))
    found = f"not known whether {names} have values that conform together: gave up, {answer.reason}"
    return _of_part(report, part, head, part.labels, UNDETERMINED, found, "values that conform together")


def with_finding(report: Report, finding: Finding | None) -> Report:
    """The report with one more finding at its place; its rule has the finding's verdict unless it has a worse one."""
    if finding is None or any(each.rule == finding.rule and each.found == finding.found for each in report.findings):
        return report
    rank = _rank(finding)
    at = next((i for i, each in enumerate(report.findings) if _rank(each) > rank), len(report.findings))
    rules = tuple(
        msgspec.structs.replace(rule, verdict=finding.verdict)
        if rule.rule == finding.rule and rule.verdict != NONCONFORMING
        else rule
        for rule in report.rules
    )
    return recounted(report, (*report.findings[:at], finding, *report.findings[at:]), rules)


def _rank(finding: Finding) -> tuple[int, int]:
    verdict = VERDICTS.index(finding.verdict) if finding.verdict in VERDICTS else len(VERDICTS)
    return verdict, CLASSES.index(finding.class_)


def _rules(part: Part, labels: Sequence[Label]) -> list[ir.Rule]:
    named = {label.id for label in labels}
    rules = {rule.id: rule for rule in part.opened.view.book.rules if rule.id in named}
    return list(rules.values())


def _of_part(
    report: Report, part: Part, head: ir.Rule, labels: Sequence[Label], verdict: str, found: str, needed: str
) -> Finding:
    opened = part.opened
    asked = dict.fromkeys(where for each in bound_in(opened, labels) for where in asked_by(opened, each))
    entries = [opened.view.occurrences[where.at] for where in sorted(asked)]
    return finding(report, opened.view.closure, entries, head, _rules(part, labels), verdict, found, needed)


def finding(
    report: Report,
    closure: str,
    entries: Sequence[Occurrence],
    head: ir.Rule,
    rules: Sequence[ir.Rule],
    verdict: str,
    found: str,
    needed: str,
) -> Finding:
    """A finding under one of some rules, at the first of some entries of a plan."""
    place = entries[0].place
    broken = verdict == NONCONFORMING
    return Finding(
        rule=head.id,
        class_=head.class_,
        verdict=verdict,
        why_undetermined="" if broken else "not covered",
        file=place.file or report.file,
        line=place.line,
        column=place.column,
        closure=closure,
        steps=tuple(dict.fromkeys(each.label for each in entries)),
        found=found,
        needed=needed,
        message=f"{found}; needed: {needed}",
        evidence=tuple(f"{rule.id} ({rule.class_}): {rule.says}" for rule in rules),
        remedy=CHANGE if broken else DECIDE,
        basis=str(head.basis),
        says=head.says,
        subject=head.subject,
        cause=found,
    )

"""What would follow if refused cells meant what they likelier mean: told to the reviewer, and used for nothing.

A reviewer who knows that a length of 3/4 in would ask for a sleeve of 27 in, or break another rule, knows which
question to ask first. The crew is not told, so that no answer is shaped by it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import msgspec

from ringcut.archive.given import Given
from ringcut.archive.ledger import NotTaken
from ringcut.archive.likelier import measure_in
from ringcut.archive.putting import Putting
from ringcut.archive.quoting import missing_reading, refused_in
from ringcut.archive.results import Wanted, Would
from ringcut.judge.findings import CONFORMS, NONCONFORMING, UNDETERMINED, Finding
from ringcut.judge.judge import judge_procedure
from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.reading.phrase import Phrase
from ringcut.reading.problems import Problem
from ringcut.relations.procedure import Procedure
from ringcut.relations.resolve import resolve


def would_follow(
    findings: Sequence[Finding], given: Given, procedure: Procedure, book: ir.Rulebook
) -> tuple[Would, ...]:
    """By cell. Only cells whose likelier meaning is a measure, and for which a finding waits."""
    found = []
    for refused in given.not_taken:
        waiting = [each for each in findings if refused.where in refused_in(each)]
        value = measure_in(refused.likelier, _unit(refused, given))
        if waiting and value:
            says = _if(refused, value, waiting, findings, given, procedure, book)
            found += [Would(refused.where, value, says)] if says else []
    return tuple(found)


def _unit(refused: NotTaken, given: Given) -> str:
    return next((each.unit for each in given.columns if each.letter == refused.place.letter), "")


def _if(
    refused: NotTaken, value: str, waiting: Iterable[Finding], findings: Sequence[Finding], given: Given,
    procedure: Procedure, book: ir.Rulebook,
) -> str:  # fmt: skip
    putting = Putting(given.log.raw.steps, book)
    put: set[tuple[str, str]] = set()
    for each in waiting:
        missing = missing_reading(each.cause)
        if missing is not None and (missing.step, missing.name) not in put:
            side = next((c.side for c in given.columns if c.letter == refused.place.letter), "")
            wanted = Wanted(refused.place.line, step=missing.step, reading=missing.name, side=side)
            if not putting.put(wanted, Phrase(value, refused.place)):
                put.add((missing.step, missing.name))
    problems: list[Problem] = []
    other = resolve(msgspec.structs.replace(given.log.raw, steps=putting.steps), book, problems)
    if problems or not put:
        return ""
    before = {each.rule: each for each in reversed(findings) if each.verdict == UNDETERMINED}
    rules = [name for name in before if _looks_at(book.rule(name), put)]
    after = judge_procedure(other, book, rules=rules)
    told = [_told(each.rule, each.verdict, before, after.findings) for each in after.rules]
    return "; ".join(text for text in told if text)


def _looks_at(rule: ir.Rule | None, put: set[tuple[str, str]]) -> bool:
    """Whether a limit looks at one of some readings."""
    if rule is None or not isinstance(rule.form, ir.Limit):
        return False
    return any(isinstance(each, n.Reading) and (each.step, each.name) in put for each in n.walk(rule.form.what))


def _told(rule: str, verdict: str, before: dict[str, Finding], after: Sequence[Finding]) -> str:
    own = [each for each in after if each.rule == rule]
    if verdict == CONFORMS:
        return f"{rule} would conform"
    if verdict == NONCONFORMING and own:
        worst = next(each for each in own if each.verdict == NONCONFORMING)
        side = f", side {worst.side}" if worst.side else ""
        return f"{rule}{side} would be broken: {worst.message}"
    if own and own[0].needed and own[0].needed != before[rule].needed:
        return f"{rule} would need {own[0].needed}"
    return ""

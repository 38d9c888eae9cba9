"""Two rulebooks side by side, as if both were in force: what is new, gone, tighter and looser, and for whom.

Over a set of logs: which verdicts change, by rule, cause and crew, and which rules ask for what nobody records.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

import msgspec

from ringcut.judge.findings import CONFORMS, NONCONFORMING, NOT_APPLICABLE, UNDETERMINED, Finding, Report
from ringcut.judge.judge import judge_procedure
from ringcut.language import ir
from ringcut.language.sense import Sense
from ringcut.language.strictness import Effect, compare_rulebooks
from ringcut.proof.conflicts import Jobs
from ringcut.proof.dead import implies
from ringcut.proof.examples import Example, examples
from ringcut.proof.judged import LOOSER, TIGHTER, Judged
from ringcut.reading.problems import Problem
from ringcut.reading.raw import RawProcedure, RawReading
from ringcut.reading.suggest import canonical
from ringcut.relations.resolve import resolve

WAYS = {
    Sense.TIGHTENS: (TIGHTER,),
    Sense.LOOSENS: (LOOSER,),
    Sense.BOTH: (TIGHTER, LOOSER),
    Sense.CANNOT_TELL: (TIGHTER, LOOSER),
}


class Difference(msgspec.Struct, frozen=True):
    """A rule that is new, gone or changed, with procedures on which the rulebooks differ by it, if any were found."""

    effect: Effect
    kind: str
    """``new``, ``gone``, ``tightened``, ``loosened``, ``changed``."""
    examples: tuple[Example, ...]
    same_verdicts: bool = False
    """Whether only its class or its words differ."""
    stamps: bool = False
    """Whether it is a look at stamps and copies, which no small procedure shows."""


class Changed(msgspec.Struct, frozen=True, order=True):
    """Logs whose verdict by one rule changes in one way for one cause, of one crew."""

    rule: str
    old: str
    new: str
    cause: str
    crew: str
    logs: tuple[str, ...]


class OverLogs(msgspec.Struct, frozen=True):
    """What changes over a set of logs."""

    judged: int
    changed: tuple[Changed, ...]
    unrecorded: tuple[tuple[str, str], ...]
    """Rule of the new rulebook that is new or changed, and what it asks for that no log records."""
    unread: tuple[str, ...]
    """Why logs cannot be read by one of the rulebooks or both: every problem, at its place."""


def differences(old: ir.Rulebook, new: ir.Rulebook) -> list[Difference]:
    """Every rule that is new, gone or changed, in the order of the new rulebook."""
    judged = Judged(old, new)
    return [_difference(effect, judged) for effect in compare_rulebooks(old, new)]


def _difference(effect: Effect, judged: Judged) -> Difference:
    kind = _kind(effect, judged.old, judged.new)
    before, after = judged.variants(effect.rule)
    if any(isinstance(rule.form, ir.Pattern) for rule in (*before, *after)):
        return Difference(effect, kind, (), stamps=True)
    if judged.same_words and judged.old.conditions == judged.new.conditions and judged.old.steps == judged.new.steps:
        tables = judged.old.tables == judged.new.tables and judged.old.quantities == judged.new.quantities
        if tables and [*map(_meaning, before)] == [*map(_meaning, after)]:
            return Difference(effect, kind, (), same_verdicts=True)
        ways = _possible(WAYS[effect.sense], before, after, judged)
    else:
        ways = WAYS[effect.sense]
    return Difference(effect, kind, tuple(examples(effect.rule, judged, ways)))


def _possible(ways: tuple[str, ...], before: list[ir.Rule], after: list[ir.Rule], judged: Judged) -> tuple[str, ...]:
    """The ways without one that is proved not to be: where whoever meets the one rule meets the other."""
    if len(ways) < 2 or len(before) != 1 or len(after) != 1:
        return ways
    jobs = Jobs(judged.new)
    proved = {TIGHTER: implies(before[0], after[0], jobs), LOOSER: implies(after[0], before[0], jobs)}
    return tuple(each for each in ways if not proved[each])


def _meaning(rule: ir.Rule) -> tuple[object, ...]:
    """What decides a rule's verdicts."""
    return rule.form, rule.when, rule.judge_every, rule.sided


def _kind(effect: Effect, old: ir.Rulebook, new: ir.Rulebook) -> str:
    if old.rule(effect.rule) is None:
        return "new"
    if new.rule(effect.rule) is None:
        return "gone"
    return {Sense.TIGHTENS: "tightened", Sense.LOOSENS: "loosened"}.get(effect.sense, "changed")


def over_logs(
    old: ir.Rulebook, new: ir.Rulebook, logs: Iterable[tuple[str, RawProcedure]], touched: Iterable[str]
) -> OverLogs:
    """Judge every log by both rulebooks. ``logs``: name and log; ``touched``: rules that are new or changed."""
    wanted = set(touched)
    groups: dict[tuple[str, str, str, str, str], list[str]] = {}
    asked: dict[str, list[tuple[str, str]]] = {rule: [] for rule in wanted}
    unread: list[str] = []
    judged = 0
    for name, raw in logs:
        one, two = _report(raw, old, name), _report(raw, new, name)
        if isinstance(one, list) or isinstance(two, list):
            unread += _unread((old, one), (new, two))
            continue
        judged += 1
        before = {each.rule: each.verdict for each in one.rules}
        for verdict in two.rules:
            was = before.pop(verdict.rule, "no such rule")
            if verdict.rule in asked and verdict.verdict != NOT_APPLICABLE:
                asked[verdict.rule].append((verdict.verdict, _missing(two, verdict.rule)))
            if was != verdict.verdict and not (was == "no such rule" and verdict.verdict in (CONFORMS, NOT_APPLICABLE)):
                key = (verdict.rule, was, verdict.verdict, _cause(verdict.rule, one, two), _crew(raw))
                groups.setdefault(key, []).append(name)
        for rule, was in before.items():
            if was in (NONCONFORMING, UNDETERMINED):
                groups.setdefault((rule, was, "no such rule", _cause(rule, one, two), _crew(raw)), []).append(name)
    changed = tuple(sorted(Changed(*key, tuple(names)) for key, names in groups.items()))
    unrecorded = tuple(
        (rule, next(what for _, what in said if what))
        for rule, said in sorted(asked.items())
        if said and all(verdict == UNDETERMINED for verdict, _ in said) and any(what for _, what in said)
    )
    return OverLogs(judged, changed, unrecorded, tuple(unread))


def _report(raw: RawProcedure, book: ir.Rulebook, name: str) -> Report | list[Problem]:
    problems: list[Problem] = []
    procedure = resolve(raw, book, problems)
    return problems or judge_procedure(procedure, book, file=name)


def _unread(*read: tuple[ir.Rulebook, Report | list[Problem]]) -> Iterator[str]:
    """Every problem once; what is one in only one of the rulebooks, with its name and edition."""
    lists = [(book, [str(each) for each in found] if isinstance(found, list) else []) for book, found in read]
    for problem in dict.fromkeys(each for _, found in lists for each in found):
        by = [f"{book.name}, edition {book.edition}" for book, found in lists if problem in found]
        yield problem if len(by) == len(lists) else f"by {by[0]}: {problem}"


def _cause(rule: str, *reports: Report) -> str:
    """Why, by the last report that says something of the rule."""
    for report in reversed(reports):
        for finding in report.findings:
            if finding.rule == rule:
                return _plain(finding)
    return ""


def _plain(finding: Finding) -> str:
    """The cause without the numbers of the entries, so that it is the same in every log."""
    told = "" if finding.cause.startswith(f"{finding.rule}: ") else finding.cause
    cause = re.sub(r"#\d+", "a step", told).replace(" at a step", "").replace("a step before a step", "order")
    return re.sub(r" a step(?= )", "", cause) or (f"needed: {finding.needed}" if finding.needed else finding.says)


def _missing(report: Report, rule: str) -> str:
    """What a rule asks for that is not recorded."""
    for finding in report.findings:
        if finding.rule == rule and finding.why_undetermined in ("not recorded", "not asked for"):
            return _plain(finding)
    return ""


def _crew(raw: RawProcedure) -> str:
    known = {canonical(fact.name.text): fact for fact in raw.job}
    for name in ("contractor", "district"):
        if name in known:
            return _said(known[name])
    return "not said"


def _said(fact: RawReading) -> str:
    return fact.value.text if fact.value is not None else "not said"

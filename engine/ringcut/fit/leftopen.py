"""What a plan leaves open, put into its report: the values left for each open reading, or that there is no choice.

A planned reading that is missing, or given as a range ("at least 27 in"), is not decided yet. It stays what the
judgement says of it; here is told which values some conforming choice has, and by which rules the others are
excluded. Readings that only the work itself gives are open too: all of them together must have some conforming
values and times, or the plan cannot be carried out as written. That is a finding with its minimal conflict; a search
that gives up is undetermined.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

import msgspec

from ringcut.fit.answers import Budget, GaveUp, NoSolution, Remaining
from ringcut.fit.binding import Asking, Opened, facts_again, open_readings, ranged_readings, rules_asking
from ringcut.fit.bindingdomains import words_of
from ringcut.fit.bindinglimits import Open
from ringcut.fit.guarded import against_guards, guard_readings
from ringcut.fit.nochoice import no_choice, not_known, with_finding
from ringcut.fit.notimes import no_times
from ringcut.fit.openparts import GIVEN, Part, measured_too, parts_of
from ringcut.fit.problem import Domain, Value
from ringcut.fit.solve import first, remaining
from ringcut.judge.findings import Finding, Report, ToChoose
from ringcut.judge.judge import judge_procedure
from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.relations.procedure import Occurrence, Procedure
from ringcut.relations.view import View

BUDGET = Budget(nodes=4_000, checks=600_000)
"""A few seconds at most for each part of a plan; plans of the trade need a few hundred checks."""
MOST_ASKED = 12
"""Words of which it is asked why they are excluded; of a longer list the first."""


def judged(procedure: Procedure, book: ir.Rulebook, file: str = "", as_of: str = "") -> Report:
    """A procedure judged, a plan with what its open readings can be: every command says the same of one plan."""
    return with_choices(judge_procedure(procedure, book, file=file, as_of=as_of), procedure, book)


def with_choices(report: Report, procedure: Procedure, book: ir.Rulebook, budget: Budget = BUDGET) -> Report:
    """The report of a plan with what its open readings can be; a log's report as it is.

    The limits of every rule that applies count; where it is not known whether one applies, it does not.
    """
    if not procedure.plan:
        return report
    found: dict[tuple[object, ...], tuple[int, ToChoose]] = {}
    asking = rules_asking(book)
    for closure in procedure.closures:
        whole = _Closure(procedure, book, closure, asking)
        stuck: set[str] = set()
        for part in whole.planned():
            answer = remaining(part.problem(), budget)
            if not isinstance(answer, Remaining):
                stuck |= {where.name for where in part.readings}
            if isinstance(answer, NoSolution):
                continue
            for where in part.readings:
                row = _row(part, where, answer, budget)
                found.setdefault((row.line, row.step, row.reading, row.side, row.closure), (where.at, row))
        for part in whole.together(stuck):
            report = _together(report, part, budget)
        for finding in whole.against_guards(report, budget):
            report = with_finding(report, finding)
        report = with_finding(report, no_times(report, View(procedure, book, closure)))
    rows = sorted(found.values(), key=lambda pair: pair[0])
    return msgspec.structs.replace(report, to_choose=tuple(row for _, row in rows))


class _Closure:
    """One closure of a plan, and the rules that look at what it leaves open: no others are bound."""

    def __init__(self, procedure: Procedure, book: ir.Rulebook, closure: str, asking: Asking) -> None:
        self._procedure, self._book, self._closure, self._asking = procedure, book, closure, asking
        here = View(procedure, book, closure).procedure
        self._granted, self._ranges = facts_again(here, book), ranged_readings(here, book)
        steps = dict.fromkeys(each.step for each in here.occurrences)
        self._guards = [(step, name) for step in steps for name in sorted(guard_readings(book, step))]
        self._planned: set[str] = set()
        self._shared: set[str] = set()
        joined = {
            rule.id for rule in book.rules if isinstance(rule.form, ir.Limit) and isinstance(rule.form.what, n.And)
        }
        for each in here.occurrences:
            for name, word in book.steps[each.step].readings.items():
                rules = asking.get((each.step, name), ())
                given = any(reading == name for reading, _ in each.readings)
                if word.planned and rules and (not given or self._not_all(each, name, word)):
                    self._planned |= set(rules)
                elif not word.planned and (len(rules) > 1 or joined.intersection(rules)):
                    self._shared |= set(rules)

    def _not_all(self, each: Occurrence, name: str, word: ir.Word) -> bool:
        """Whether a given reading is missing on a side, or a range."""
        sides = {side for reading, side in each.readings if reading == name}
        if word.sided and "" not in sides and not set(each.sides) <= sides:
            return True
        return any((where.at, where.reading) == (each.index, name) for where in self._ranges)

    def planned(self) -> list[Part]:
        """The parts of what is still to be decided."""
        return self._parts(self._planned, ()) if self._planned else []

    def together(self, stuck: Collection[str]) -> list[Part]:
        """The parts of which the judgement cannot have seen that they have no choice, names in ``stuck`` among them.

        One demand alone on what only the work itself gives has been judged: it would be broken if no value met it.
        """
        if not self._shared and not stuck:
            return []
        done = {name for step in self._book.steps.values() for name, word in step.readings.items() if not word.planned}
        parts = self._parts(self._shared | self._planned, done, lenient=True)
        return [
            part
            for part in parts
            if len(part.constraints) > 1 and measured_too(part) or any(where.name in stuck for where in part.readings)
        ]

    def against_guards(self, report: Report, budget: Budget) -> list[Finding | None]:
        """The findings of needs that limits on the same readings keep from being met."""
        rules = {rule for key in self._guards for rule in self._asking.get(key, ())}
        if not rules:
            return []
        return list(against_guards(report, self._opened(rules, {name for _, name in self._guards}, True), budget))

    def _parts(self, rules: set[str], measured: Collection[str], lenient: bool = False) -> list[Part]:
        return parts_of(self._opened(rules, measured, lenient), self._ranges)

    def _opened(self, rules: set[str], measured: Collection[str], lenient: bool) -> Opened:
        return open_readings(
            self._procedure, self._book, self._closure, assume=self._granted, wanted=self._ranges,
            measured=measured, rules=rules, lenient=lenient,
        )  # fmt: skip


def _together(report: Report, part: Part, budget: Budget) -> Report:
    """The report with what is said where a part has no choice, or may have none."""
    answer = first(part.problem(), budget)
    if isinstance(answer, NoSolution):
        return with_finding(report, no_choice(report, part, answer))
    return with_finding(report, not_known(report, part, answer)) if isinstance(answer, GaveUp) else report


def _row(part: Part, where: Open, answer: Remaining | GaveUp, budget: Budget) -> ToChoose:
    each, domain = part.opened.view.occurrences[where.at], part.opened.domains[where]
    left = answer.values[where.name] if isinstance(answer, Remaining) else ()
    below, above, others = _excluded(domain, left) if left else ([], [], [])
    return ToChoose(
        step=each.label,
        line=each.place.line,
        reading=where.reading,
        side=where.side,
        values_left=_in_words(part, where, left) if left else "",
        left=len(left),
        out_of=len(domain),
        not_less=_because(part, where, below, budget),
        not_more=_because(part, where, above, budget),
        not_others=_because(part, where, others, budget),
        closure=each.closure,
    )


def _in_words(part: Part, where: Open, left: Sequence[Value]) -> str:
    domain = part.opened.domains[where]
    texts = [value for value in left if isinstance(value, str)]
    if texts and len(left) < len(domain):
        return f"{len(left)} of {len(domain)}: {', '.join(texts)}"
    return words_of(left, part.opened.word(where), domain)


def _excluded(domain: Domain, left: Sequence[Value]) -> tuple[list[Value], list[Value], list[Value]]:
    """Excluded values that show why: the next smaller, the next larger, and words or values between."""
    kept = set(left)
    out = [value for value in domain if value not in kept]
    if not out:
        return [], [], []
    if isinstance(domain[0], str):
        return [], [], out
    every: list[Value] = [*domain]
    start, end = every.index(left[0]), every.index(left[-1])
    between = next((value for value in every[start:end] if value not in kept), None)
    return every[start - 1 : start] if start else [], every[end + 1 : end + 2], [between] if between is not None else []


def _because(part: Part, where: Open, values: Sequence[Value], budget: Budget) -> tuple[str, ...]:
    """The rules, and what the plan gives, of the minimal conflicts with some values; rules first."""
    found: dict[str, None] = {}
    for value in values[:MOST_ASKED]:
        answer = first(part.having(where, value), budget)
        if isinstance(answer, NoSolution):
            found |= {(label.words if label.id.startswith(GIVEN) else label.id): None for label in answer.conflict}
        else:
            found["the search for the reason gave up"] = None
    rules = [rule.id for rule in part.opened.view.book.rules if rule.id in found]
    return (*rules, *(words for words in found if words not in rules))

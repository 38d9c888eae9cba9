"""The cases that stand beside a rule: small procedures with the verdict that its author expects.

A case without a job is judged as if the rule applied. ``log`` instead of ``steps``, a time, or a reading that only
the doing
tells make it a log; else it is a plan.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

import msgspec

from ringcut.judge.findings import CONFORMS, NONCONFORMING, NOT_APPLICABLE, UNDETERMINED
from ringcut.judge.judge import judge_procedure
from ringcut.language import ir
from ringcut.reading.problems import Place, Problem
from ringcut.reading.procedurefile import read_raw
from ringcut.reading.suggest import canonical, near
from ringcut.relations.resolve import resolve

VERDICTS = {canonical(verdict): verdict for verdict in (CONFORMS, NONCONFORMING, UNDETERMINED, NOT_APPLICABLE)}


class CaseResult(msgspec.Struct, frozen=True):
    """A case and what came out; ``problems`` where it cannot be read."""

    rule: str
    number: int
    """Counted from 1 within the rule."""
    expected: str
    verdict: str
    problems: tuple[Problem, ...] = ()
    message: str = ""
    procedure: str = ""

    @property
    def passed(self) -> bool:
        """Whether the rule said what its author expects."""
        return not self.problems and self.verdict == self.expected


def run_cases(book: ir.Rulebook, rules: tuple[str, ...] = ()) -> Iterator[CaseResult]:
    """Run the cases of all rules, or of those named, in the order of the rulebook."""
    for rule in book.rules:
        if not rules or rule.id in rules:
            for number, case in enumerate(rule.cases, 1):
                yield run_case(book, rule, number, case)


def run_case(book: ir.Rulebook, rule: ir.Rule, number: int, case: Any) -> CaseResult:
    """Judge one case by its rule alone."""
    problems: list[Problem] = []
    place = Place(rule.place.file, rule.place.line, 0)
    given = str(case.get("verdict", "")) if isinstance(case, dict) else ""
    expected = VERDICTS.get(canonical(given), "")
    if not expected:
        told = f"case {number} of {rule.id} has " + (f"the verdict {given}" if given else "no verdict")
        close = near(given, VERDICTS) if given else None
        hint = f"did you mean {close}?" if close else ""
        return CaseResult(rule.id, number, "", "", (Problem(place, told, ", ".join(VERDICTS), hint),))
    document = case_document(book, case)
    raw = read_raw(json.dumps(document).encode(), place.file, problems)
    procedure = resolve(raw, book, problems) if raw is not None else None
    if problems or procedure is None:
        found = tuple(
            Problem(place, f"case {number} of {rule.id}: {each.found}", each.expected, each.hint) for each in problems
        )
        return CaseResult(rule.id, number, expected, "", found)
    judged = rule if "job" in case else msgspec.structs.replace(rule, when=None)
    narrowed = msgspec.structs.replace(book, rules=(judged,), covers={}, gaps=(), subjects={}, warnings=())
    report = judge_procedure(procedure, narrowed)
    message = "; ".join(finding.message for finding in report.findings)
    return CaseResult(rule.id, number, expected, report.rules[0].verdict, (), message, document["procedure"])


def case_document(book: ir.Rulebook, case: dict[str, Any]) -> dict[str, Any]:
    """A case as the data of a plan or a log, without the verdict it expects."""
    steps = case.get("log", case.get("steps", []))
    is_log = "log" in case or any(_is_done(book, step) for step in _flat(steps))
    kept = {key: value for key, value in case.items() if key not in ("verdict", "steps", "log", "says", "note")}
    document = {"procedure": "log" if is_log else "plan", **kept, "steps": steps}
    return {key: value for key, value in document.items() if value is not None}


def _flat(steps: Any) -> Iterator[Any]:
    for step in steps if isinstance(steps, list) else []:
        if isinstance(step, list):
            yield from _flat(step)
        elif isinstance(step, dict) and "any-order" in step:
            yield from _flat(step["any-order"])
        else:
            yield step


def _is_done(book: ir.Rulebook, step: Any) -> bool:
    if not isinstance(step, dict):
        return False
    if {"at", "started", "status"} & set(step):
        return True
    name = canonical(str(step.get("do", "")))
    known = book.steps.get(book.synonyms.get(name, name))
    return known is not None and any(
        canonical(key) in known.readings and not known.readings[canonical(key)].planned for key in step
    )

"""What the pages of a rulebook say, gathered: rules with their cases run, kinds of work with their model procedures."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import msgspec

from ringcut.draft.models import Model, instantiated, read_models
from ringcut.judge.cases import CaseResult, run_cases
from ringcut.judge.judge import judge_procedure
from ringcut.language import ir
from ringcut.reading.problems import Problem, Unreadable
from ringcut.relations.resolve import resolve
from ringcut_cli.publish.graph import arcs, drawn
from ringcut_cli.shown.ruletext import flow


class ShownCase(msgspec.Struct, frozen=True):
    """A case, in one line, with what came out just now."""

    words: str
    result: CaseResult


class ShownRule(msgspec.Struct, frozen=True):
    """One rule, in its variants where a house change made several of it."""

    rule: ir.Rule
    variants: tuple[ir.Rule, ...]
    cases: tuple[ShownCase, ...]

    @property
    def page(self) -> str:
        """The page, from the folder of the site."""
        return f"rules/{self.rule.id}.html"

    @property
    def kind_of_basis(self) -> str:
        """The heading under which it stands in the index of bases: for law the clause, without its paragraphs."""
        basis = self.rule.basis
        if basis.regulation:
            return re.split(r"[(]", basis.regulation)[0].strip()
        return "a standard" if basis.standard else "a house value" if basis.house else str(basis)


class ShownWork(msgspec.Struct, frozen=True):
    """A kind of work with its model procedure, drawn for the example job."""

    name: str
    says: str
    job: tuple[tuple[str, str], ...]
    steps: tuple[tuple[str, str], ...]
    """Each step, and what it is in words."""
    picture: str
    verdict: str
    rules: tuple[str, ...]


def shown_rules(book: ir.Rulebook) -> list[ShownRule]:
    """Every rule of a rulebook, its cases run."""
    results: dict[str, list[CaseResult]] = {}
    for result in run_cases(book):
        results.setdefault(result.rule, []).append(result)
    found: dict[str, list[ir.Rule]] = {}
    for rule in book.rules:
        found.setdefault(rule.id, []).append(rule)
    return [
        ShownRule(variants[0], tuple(variants), _cases(variants[0].cases, results.get(name, [])))
        for name, variants in found.items()
    ]


def _cases(cases: Sequence[Any], results: Sequence[CaseResult]) -> tuple[ShownCase, ...]:
    return tuple(
        ShownCase(flow({key: value for key, value in case.items() if key != "verdict"}), result)
        for case, result in zip(cases, results, strict=False)
        if isinstance(case, dict)
    )


def shown_works(folder: Path, book: ir.Rulebook) -> list[ShownWork]:
    """The model procedures of a rulebook folder, each for its example job. Raises Unreadable."""
    return [_work(model, book) for model in read_models(folder, book)]


def _work(model: Model, book: ir.Rulebook) -> ShownWork:
    problems: list[Problem] = []
    raw = instantiated(model, (), book, problems)
    procedure = resolve(raw, book, problems)
    if problems:
        raise Unreadable(problems)
    report = judge_procedure(procedure, book)
    applying = {each.rule for each in report.rules if each.verdict != "not applicable"}
    title = f"The steps of {model.name} and what must come before what"
    picture = drawn(procedure, book, arcs(procedure, book, applying), title)
    return ShownWork(
        name=model.name,
        says=model.raw.keys["says"].text if "says" in model.raw.keys else model.name,
        job=tuple((fact.name.text, fact.value.text) for fact in raw.job if fact.value is not None),
        steps=tuple((each.step, book.steps[each.step].says) for each in procedure.occurrences),
        picture=picture,
        verdict=report.verdict,
        rules=tuple(each.rule for each in report.rules if each.rule in applying),
    )

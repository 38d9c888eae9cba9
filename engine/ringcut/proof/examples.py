"""For a changed rule, a smallest procedure that the one rulebook accepts and the other does not.

A search, and an honest one: it begins with the cases that stand beside the rule in both rulebooks, sets their readings
to what lies at and between the values that changed, and takes steps away as long as the difference stays. Where it
finds nothing it says so; that proves nothing.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import Any

import msgspec

from ringcut.judge.cases import case_document
from ringcut.judge.findings import CONFORMS, NONCONFORMING
from ringcut.judge.judge import judge_procedure
from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.proof.conflicts import Jobs
from ringcut.reading.problems import Problem
from ringcut.reading.procedurefile import read_raw
from ringcut.reading.show import show
from ringcut.reading.suggest import canonical
from ringcut.relations.resolve import resolve

MOST_JUDGED = 400
Document = dict[str, Any]


class Example(msgspec.Struct, frozen=True):
    """A procedure on which the two rulebooks differ, as YAML data, and what each says by the rule."""

    document: Document
    old: str
    new: str


class Judged:
    """Verdicts of single rules on documents, in two rulebooks; a budget for all questions."""

    def __init__(self, old: ir.Rulebook, new: ir.Rulebook) -> None:
        self.old, self.new = old, new
        self.left = MOST_JUDGED

    def both(self, rule: str, document: Document) -> tuple[str, str]:
        """The rule's verdict in the old and in the new rulebook; empty where the document cannot be read there.

        A rule that a rulebook lacks accepts everything.
        """
        self.left -= 1
        return self._one(self.old, rule, document), self._one(self.new, rule, document)

    def _one(self, book: ir.Rulebook, rule: str, document: Document) -> str:
        if book.rule(rule) is None:
            return CONFORMS
        problems: list[Problem] = []
        raw = read_raw(json.dumps(document).encode(), "example", problems)
        procedure = resolve(raw, book, problems) if raw is not None else None
        if problems or procedure is None:
            return ""
        return judge_procedure(procedure, book, rules=[rule]).rules[0].verdict


def examples(rule: str, judged: Judged, ways: Sequence[tuple[str, str]]) -> list[Example]:
    """One smallest example for each way: ``(conforms, nonconforming)`` tightens, the other way round loosens."""
    found: dict[tuple[str, str], Example] = {}
    judged.left = MOST_JUDGED
    for document in _candidates(rule, judged):
        if judged.left <= 0 or len(found) == len(ways):
            break
        said = judged.both(rule, document)
        if said in ways and said not in found:
            found[said] = _smaller(rule, judged, Example(document, *said))
    return list(found.values())


def _candidates(rule: str, judged: Judged) -> Iterator[Document]:
    """Cases under a job to which the rule applies, as they are and then with other readings; small ones first."""
    variants = [each for book in (judged.new, judged.old) for each in book.rules if each.id == rule]
    bases = [(each, case) for each in variants for case in each.cases if isinstance(case, dict)]
    bases.sort(key=lambda pair: len(json.dumps(pair[1])))
    documents: list[Document] = []
    for _, case in bases:
        for job in _jobs(variants, judged):
            document = case_document(judged.new, case)
            document = {**document, "job": {**job, **(document.get("job") or {})}}
            if document not in documents:
                documents.append(document)
    yield from documents
    numbers = _numbers(variants)
    for document in documents:
        yield from _mutated(document, numbers, judged.new)


def _jobs(variants: Sequence[ir.Rule], judged: Judged) -> list[dict[str, Any]]:
    """Jobs to which each variant of the rule applies, as far as facts decide it."""
    jobs = Jobs(judged.new)
    found: list[dict[str, Any]] = []
    for each in variants:
        facts = jobs.where([each.when]) if each.when is not None else {}
        if facts is not None:
            # the month is read off the date
            month = facts.pop("month", "1")
            if (
                month.isdigit()
                and "date" in judged.new.facts
                and each.when is not None
                and "month" in each.text["when"]
            ):
                facts["date"] = f"2026-{int(month):02}-15"
            listed = {name: value.split(", ") for name, value in facts.items() if judged.new.facts[name].kind == "list"}
            found.append({**facts, **listed})
    return found or [{}]


def _numbers(variants: Sequence[ir.Rule]) -> dict[str, list[Fraction]]:
    """By kind: every number of the rule's forms, and what lies between two of them."""
    found: dict[str, set[Fraction]] = {}
    for rule in variants:
        if isinstance(rule.form, ir.Limit):
            for node in n.walk(rule.form.what):
                if isinstance(node, n.Const):
                    found.setdefault(node.kind, set()).add(node.value)
    told: dict[str, list[Fraction]] = {}
    for kind, values in found.items():
        row = sorted(values)
        between = [(one + two) / 2 for one, two in zip(row, row[1:], strict=False)]
        told[kind] = [*between, *row]
    return told


def _mutated(document: Document, numbers: dict[str, list[Fraction]], book: ir.Rulebook) -> Iterator[Document]:
    """The document with one reading set to each of the numbers of its kind."""
    steps = document["steps"]
    for at, step in enumerate(steps if isinstance(steps, list) else []):
        for key in step if isinstance(step, dict) else ():
            name = canonical(str(step.get("do", "")))
            known = book.steps.get(book.synonyms.get(name, name))
            word = known.readings.get(canonical(key)) if known else None
            for value in numbers.get(word.kind, []) if word else []:
                assert word is not None
                shown = show(value, word.kind, word.unit)
                yield {**document, "steps": [*steps[:at], {**step, key: shown}, *steps[at + 1 :]]}


def _smaller(rule: str, judged: Judged, example: Example) -> Example:
    """The example without the steps and facts that it does not need."""
    document = example.document
    wanted = (example.old, example.new)
    for at in reversed(range(len(document["steps"]))):
        fewer = {**document, "steps": [*document["steps"][:at], *document["steps"][at + 1 :]]}
        if fewer["steps"] and judged.both(rule, fewer) == wanted:
            document = fewer
    for fact in list(document.get("job", {})):
        fewer = {**document, "job": {name: value for name, value in document["job"].items() if name != fact}}
        if judged.both(rule, fewer) == wanted:
            document = fewer
    return Example({key: value for key, value in document.items() if value or key == "steps"}, *wanted)


TIGHTER = (CONFORMS, NONCONFORMING)
LOOSER = (NONCONFORMING, CONFORMS)

"""Verdicts of one rule on a small procedure, in two rulebooks: what two editions are compared by."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

import msgspec

from ringcut.judge.findings import CONFORMS, NONCONFORMING, NOT_APPLICABLE, UNDETERMINED
from ringcut.judge.judge import level_of
from ringcut.language import ir
from ringcut.reading.problems import Problem
from ringcut.reading.procedurefile import read_raw
from ringcut.reading.raw import RawProcedure
from ringcut.relations.conditions import Conditions
from ringcut.relations.procedure import Procedure
from ringcut.relations.resolve import resolve
from ringcut.relations.truth import OPEN, UNKNOWN
from ringcut.relations.view import View

ACCEPTED = (CONFORMS, NOT_APPLICABLE)
TIGHTER, LOOSER = "tighter", "looser"
Document = dict[str, Any]
"""A plan or a log as YAML data."""

WORDS = ("facts", "synonyms", "sides")
"""What a procedure is read by, besides the steps."""


class Judged:
    """Verdicts of single rules on documents, in two rulebooks."""

    def __init__(self, old: ir.Rulebook, new: ir.Rulebook) -> None:
        self.old, self.new = old, new
        self.same_words = all(getattr(old, name) == getattr(new, name) for name in WORDS) and _steps(old) == _steps(new)
        self.asked = 0
        """How many documents were judged."""
        self._rules = [{name: _variants(book, name) for name in {r.id for r in book.rules}} for book in (old, new)]

    def variants(self, rule: str) -> tuple[list[ir.Rule], list[ir.Rule]]:
        """The rules with this id in the old and in the new rulebook: none, one, or more for different jobs."""
        return self._rules[0].get(rule, []), self._rules[1].get(rule, [])

    def both(self, rule: str, document: Document, ways: Sequence[str] = ()) -> tuple[str, str]:
        """The rule's verdict in the old and in the new rulebook; empty where the document cannot be read there.

        A rule that a rulebook lacks accepts everything. Where one verdict rules out that the two differ in one of the
        ``ways`` (none: any), the other is not looked for and empty.
        """
        self.asked += 1
        problems: list[Problem] = []
        raw = read_raw(json.dumps(document).encode(), "example", problems)
        if raw is None or problems:
            return "", ""
        old, new = self.variants(rule)
        last, read = self._one(raw, self.new, new, None)
        if last in ACCEPTED and ways and LOOSER not in ways:
            return "", last
        first, _ = self._one(raw, self.old, old, read if self.same_words else None)
        return first, last

    def _one(
        self, raw: RawProcedure, book: ir.Rulebook, rules: list[ir.Rule], read: Procedure | None
    ) -> tuple[str, Procedure | None]:
        if not rules:
            # whatever it says, also in words that only the other rulebook has
            return CONFORMS, read
        read = read or _read(raw, book)
        return ("", None) if read is None else (_said(read, book, rules), read)


def _steps(book: ir.Rulebook) -> dict[str, ir.Step]:
    """The steps without what they do, which has no part in reading a procedure."""
    return {name: msgspec.structs.replace(step, effects=(), takes=None) for name, step in book.steps.items()}


def _variants(book: ir.Rulebook, name: str) -> list[ir.Rule]:
    return [rule for rule in book.rules if rule.id == name]


def _read(raw: RawProcedure, book: ir.Rulebook) -> Procedure | None:
    problems: list[Problem] = []
    procedure = resolve(raw, book, problems)
    return None if problems else procedure


def _said(procedure: Procedure, book: ir.Rulebook, rules: list[ir.Rule]) -> str:
    levels = []
    for closure in procedure.closures:
        view = View(procedure, book, closure)
        conditions = Conditions(view)
        levels += [level_of(rule, view, conditions) for rule in rules]
    known = [level for level in levels if level is not None]
    if not known:
        return NOT_APPLICABLE
    worst = max(known)
    return CONFORMS if worst <= OPEN else UNDETERMINED if worst == UNKNOWN else NONCONFORMING

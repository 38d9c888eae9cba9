"""Both opinions on one procedure, and the one word for how they stand to each other."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from tests.oracle import judge
from tests.oracle.mutations import mutations
from tests.oracle.procedures import GOOD, log, plan

from ringcut.judge.findings import NONCONFORMING, UNDETERMINED
from ringcut.language import ir
from ringcut.reading.problems import Unreadable

from .adapter import Raw, judged

FOUND = "found"
QUIET = "both content"
UNKNOWN = "both cannot say"
UNWRITTEN = "not written"
ASKED = "asked"
REFUSED = "refused"
AGREED = (FOUND, QUIET, UNKNOWN, UNWRITTEN, ASKED, REFUSED)
"""The two say the same: found; nothing wrong; cannot say; a reading that a record rule asks for and without which the
oracle cannot say; a question to the crew by a pattern, which is no verdict; refused at its place, not judged."""

MISSED = "missed"
SOFTER = "only undetermined"
FALSE_ALARM = "false alarm"
UNSEEN = "unknown passed"
HARDER = "false doubt"
APART = (MISSED, SOFTER, FALSE_ALARM, UNSEEN, HARDER)
"""The two say different things."""

FORMS = {"log": log, "plan": plan}
BASES = [(name, form) for name in GOOD for form in FORMS]
"""Every good procedure, as a log and as a plan."""


@dataclass(frozen=True)
class Compared:
    """One procedure: what the oracle's rows and the engine's rules say against it."""

    base: str
    kind: str
    words: str
    broken: tuple[str, ...]
    """Rows of the oracle."""
    unknown: tuple[str, ...]
    nonconforming: tuple[str, ...]
    """Rules of the engine; those that only ask for a reading to be written are in ``unwritten``."""
    unwritten: tuple[str, ...]
    undetermined: tuple[str, ...]
    """Those of pattern rules are in ``questions``."""
    questions: tuple[str, ...]
    refused: str
    """Why the engine does not read it; empty where it does."""
    procedure: Raw

    @property
    def verdict(self) -> str:
        """How the two opinions stand to each other."""
        if self.refused:
            return REFUSED
        if self.broken:
            wrong = self.nonconforming or self.unwritten
            return FOUND if wrong else SOFTER if self.undetermined or self.questions else MISSED
        if self.nonconforming or (self.unwritten and not self.unknown):
            return FALSE_ALARM
        if self.unknown:
            return UNWRITTEN if self.unwritten else UNKNOWN if self.undetermined or self.questions else UNSEEN
        return HARDER if self.undetermined else ASKED if self.questions else QUIET


def compared(base: str, kind: str, words: str, procedure: Raw, book: ir.Rulebook) -> Compared:
    """Judge a procedure twice."""
    rows = judge(procedure)
    broken = tuple(sorted(row for row, verdict in rows.items() if verdict == "broken"))
    unknown = tuple(sorted(row for row, verdict in rows.items() if verdict == "unknown"))
    try:
        report = judged(procedure, book)
    except Unreadable as refusal:
        told = "; ".join(problem.found for problem in refusal.problems)
        return Compared(base, kind, words, broken, unknown, (), (), (), (), told, procedure)
    forms = {rule.id: rule.form for rule in book.rules}
    said = {
        verdict: [rule.rule for rule in report.rules if rule.verdict == verdict]
        for verdict in (NONCONFORMING, UNDETERMINED)
    }
    records = tuple(rule for rule in said[NONCONFORMING] if isinstance(forms[rule], ir.Record))
    asks = tuple(rule for rule in said[UNDETERMINED] if isinstance(forms[rule], ir.Pattern))
    wrong = tuple(rule for rule in said[NONCONFORMING] if rule not in records)
    doubt = tuple(rule for rule in said[UNDETERMINED] if rule not in asks)
    return Compared(base, kind, words, broken, unknown, wrong, records, doubt, asks, "", procedure)


def mutated(name: str, form: str, seed: int, count: int, book: ir.Rulebook) -> Iterator[Compared]:
    """So many mutations of one good procedure."""
    for mutation in mutations(FORMS[form](name), seed, count):
        yield compared(f"{name}, {form}", mutation.kind, mutation.words, mutation.procedure, book)

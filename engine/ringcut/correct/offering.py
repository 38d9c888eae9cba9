"""A correction written into the text of its plan, read and judged again, and told edit by edit."""

from __future__ import annotations

from collections.abc import Iterator

import msgspec

from ringcut import checking
from ringcut.correct import asking, filetext, telling
from ringcut.correct.correction import Correction
from ringcut.correct.edits import Add, Edit, applied, bare, leaves
from ringcut.correct.filespans import NotInPlace
from ringcut.correct.finders import Found
from ringcut.correct.readings import Changes
from ringcut.correct.telling import Told
from ringcut.correct.verdicts import Verdicts
from ringcut.draft.models import Items
from ringcut.fit.leftopen import judged
from ringcut.judge.findings import CLASSES, NONCONFORMING, UNDETERMINED, Finding, Report
from ringcut.judge.judge import judge_procedure
from ringcut.language import ir
from ringcut.reading.problems import Unreadable
from ringcut.reading.procedurefile import read_procedure
from ringcut.reading.raw import RawStep


class Offering:
    """One plan as it was: ``before`` is its report, ``alone`` the one without what its open readings can be."""

    def __init__(
        self, text: str, file: str, book: ir.Rulebook, as_of: str, before: Report, alone: Report, verdicts: Verdicts
    ) -> None:
        self.text, self.file, self.book, self.as_of, self.before = text, file, book, as_of, before
        self.verdicts = verdicts
        told = {_key(finding) for finding in alone.findings}
        self.against = tuple(f for f in before.findings if f.verdict == NONCONFORMING and _key(f) not in told)
        self._broken = _broken(before)

    def made(self, found: Found, changes: Changes) -> Correction | None:
        """What is offered; None where the plan would not be better."""
        edits = _with_filled(found.edits, changes)
        if not edits and not changes.changes:
            return None
        try:
            text = filetext.edited(self.text, (*edits, *changes.changes))
            procedure = checking.read(text.encode(), self.file, self.book)
            in_place = bare(read_procedure(text.encode(), self.file).steps) == bare(changes.items)
        except (NotInPlace, Unreadable):
            in_place = False
        if not in_place:
            text, procedure = self.text, self.verdicts.procedure(changes.items)
        report = judged(procedure, self.book, self.file, self.as_of)
        if not self._is_better(report):
            return None
        return Correction(
            report.verdict, text, self._told(found, edits, changes), smallest=changes.fewest and not changes.gave_up,
            changed_readings=len(changes.changes), conflicts=changes.against, against=self._stays(report),
            asks=asking.asks(report, self.book), report=report, in_place=in_place, before=self.text,
        )  # fmt: skip

    def nothing(self, why: str, changes: Changes | None) -> Correction:
        """That there is nothing to offer."""
        conflicts = changes.against if changes is not None else ()
        against = () if conflicts else self.against
        said = [each.words for each in conflicts] or [each.found for each in against] or [why]
        asks = asking.asks(self.before, self.book)
        return Correction(
            self.before.verdict, self.text, smallest=False, why="; ".join(dict.fromkeys(said)), conflicts=conflicts,
            against=against, asks=asks, report=self.before, before=self.text,
        )  # fmt: skip

    def _is_better(self, report: Report) -> bool:
        """Whether nothing is wrong any more, or less than before and nothing that was not."""
        if report.verdict != NONCONFORMING:
            return True
        return _broken(report) <= self._broken and badness(report) < badness(self.before)

    def _stays(self, report: Report) -> tuple[Finding, ...]:
        """Of the choices that cannot be made together those that stay as they are."""
        broken = {_key(finding) for finding in report.findings if finding.verdict == NONCONFORMING}
        return tuple(each for each in self.against if _key(each) in broken)

    # in words

    def _told(self, found: Found, edits: tuple[Edit, ...], changes: Changes) -> tuple[Told, ...]:
        told = telling.placed(found.placings, edits, found.items)
        original = self.verdicts.raw.steps
        items, rest = (found.items, changes.changes) if told else (original, (*edits, *changes.changes))
        return (*told, *self._one_by_one(items, rest))

    def _one_by_one(self, items: Items, edits: tuple[Edit, ...]) -> Iterator[Told]:
        before = self._rules(items)
        for edit in edits:
            items = applied(items, edit)
            after = self._rules(items)
            kept = tuple(rule for rule in before if rule not in after)
            yield Told(telling.words(edit, items), kept, telling.KINDS[type(edit)])
            before = after

    def _rules(self, items: Items) -> list[str]:
        procedure = self.verdicts.procedure(items)
        report = judged(procedure, self.book) if self.against else judge_procedure(procedure, self.book)
        return list(dict.fromkeys(finding.rule for finding in report.findings))


def badness(report: Report) -> tuple[int, ...]:
    """How many rules are broken: critical, major, minor."""
    broken = [rule.class_ for rule in report.rules if rule.verdict == NONCONFORMING]
    against = [each.class_ for each in report.findings if each.verdict == NONCONFORMING and not each.told_under]
    return (*(broken.count(name) for name in CLASSES), *(against.count(name) for name in CLASSES))


def is_certain(correction: Correction) -> bool:
    """Whether the verdict after it is known."""
    return correction.verdict != UNDETERMINED


def _broken(report: Report) -> set[str]:
    return {finding.rule for finding in report.findings if finding.verdict == NONCONFORMING}


def _key(finding: Finding) -> tuple[str, str]:
    """What two findings have in common that are the same but for the lines where their steps stand."""
    return finding.rule, finding.needed


def _with_filled(edits: tuple[Edit, ...], changes: Changes) -> tuple[Edit, ...]:
    """Added steps with the readings that were chosen for them."""
    final = dict(leaves(changes.items))
    filled = {change.at: final[change.at] for change in changes.filled}
    found: list[Edit] = []
    for edit in edits:
        if isinstance(edit, Add):
            chosen = [step for step in filled.values() if _is_same(step, edit.step)]
            edit = msgspec.structs.replace(edit, step=chosen[0]) if chosen else edit
        found.append(edit)
    return tuple(found)


def _is_same(one: RawStep, other: RawStep) -> bool:
    return (one.do, one.closure, one.place) == (other.do, other.closure, other.place)

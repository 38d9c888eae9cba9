"""From a plan that does not conform to the smallest change after which it does, with the rule behind each edit.

Job facts are never changed, and what only the doing tells is never filled in: what is missing of them is asked for. The
corrected text is read and judged again before it is offered.
"""

from __future__ import annotations

from collections.abc import Iterator

import msgspec

from ringcut import checking
from ringcut.correct import asking, filetext, telling
from ringcut.correct.edits import Add, Edit, applied, bare, is_plain, leaves
from ringcut.correct.filespans import NotInPlace
from ringcut.correct.finders import Found, finder
from ringcut.correct.readings import Changes, Impossible, fewest_changes
from ringcut.correct.relevance import limited
from ringcut.correct.search import BudgetEnded
from ringcut.correct.telling import Told
from ringcut.correct.verdicts import Verdicts
from ringcut.draft.models import Items, Model
from ringcut.draft.planned import usual_steps
from ringcut.fit.answers import Budget, GaveUp
from ringcut.fit.bindingwords import Conflict
from ringcut.fit.leftopen import judged, with_choices
from ringcut.fit.solve import DEFAULT
from ringcut.judge.findings import NONCONFORMING, UNDETERMINED, Finding, Report
from ringcut.judge.judge import judge_procedure
from ringcut.language import ir
from ringcut.reading.phrase import Phrase
from ringcut.reading.problems import NOWHERE, Problem, Unreadable
from ringcut.reading.procedurefile import read_procedure
from ringcut.reading.raw import RawProcedure, RawStep

MOST_EDITS = 8
"""Edits after which nobody would call it a correction."""
VERSIONS = 8_000
"""Versions of a plan that are looked at before the search gives up."""
ENOUGH = 40
"""Smallest corrections among which the most natural is chosen, at most."""
TRIED = 5
"""Of these, how many are written and judged again, at most."""


class Correction(msgspec.Struct, frozen=True, rename="kebab"):
    """What was found. ``text`` is the corrected file, the same as before where nothing was to be done or found."""

    verdict: str
    """Of the corrected text, judged again."""
    text: str
    edits: tuple[Told, ...] = ()
    smallest: bool = True
    """Proved that fewer edits will not do."""
    why: str = ""
    """Where there is no correction: why."""
    conflict: Conflict | None = None
    against: tuple[Finding, ...] = ()
    """Choices that cannot be made together, as ``check`` tells them, of which no correction was found."""
    asks: tuple[str, ...] = ()
    """What only people can say: facts that are not known, readings that are not there."""
    report: Report | None = None
    in_place: bool = True
    """Whether the edits could be made in the text."""
    before: str = ""
    """The file as it was."""

    @property
    def found(self) -> bool:
        """Whether there is something to offer."""
        return bool(self.edits)


def correct(
    data: bytes,
    file: str,
    book: ir.Rulebook,
    models: list[Model],
    as_of: str = "",
    versions: int = VERSIONS,
    budget: Budget = DEFAULT,
) -> Correction:
    """The smallest correction of a plan; :class:`Unreadable` for a file that cannot be read, or is a log."""
    procedure = checking.read(data, file, book)
    raw = read_procedure(data, file)
    if not procedure.plan:
        hint = "draft or correct the plan; what a log lacks is a question to the crew"
        raise Unreadable([Problem(raw.place, "a log says what was done", "a plan", hint)])
    text = data.decode("utf-8")
    alone = judge_procedure(procedure, book, file=file, as_of=as_of)
    report = with_choices(alone, procedure, book)
    if report.verdict != NONCONFORMING and not asking.mendable(alone, book):
        return Correction(report.verdict, text, asks=asking.asks(report, book), report=report)
    told = {_key(finding) for finding in alone.findings}
    against = tuple(f for f in report.findings if f.verdict == NONCONFORMING and _key(f) not in told)
    return _Correcting(raw, text, file, book, models, as_of, versions, budget, against).run(report)


def _key(finding: Finding) -> tuple[str, str]:
    """What two findings have in common that are the same but for the lines where their steps stand."""
    return finding.rule, finding.needed


class _Correcting:
    """One plan being corrected."""

    def __init__(
        self, raw: RawProcedure, text: str, file: str, book: ir.Rulebook, models: list[Model], as_of: str,
        versions: int, budget: Budget, against: tuple[Finding, ...],
    ) -> None:  # fmt: skip
        self.raw, self.text, self.file, self.book, self.as_of, self.budget = raw, text, file, book, as_of, budget
        self.verdicts = Verdicts(raw, book)
        self.usual = usual_steps(models, raw.job, book)
        names = [self.verdicts.name_of(step) for step in self.usual]
        self.pairs = set(zip(names, names[1:], strict=False))
        self.often = {name: names.count(name) * self._doings(name) for name in names}
        self.finder = finder(self.verdicts, raw.steps, self._steps, versions, self.pairs)
        self.limited = limited(book)
        self.holding: set[tuple[RawStep, ...]] = set()
        """Orders of the steps that limits look at, for which every limit holds as it is."""
        self.conflict: Conflict | None = None
        self.against = against
        self.stays: tuple[Finding, ...] = ()
        """Of the choices that cannot be made together those that the edits leave as they are."""
        self.gave_up = ""

    def run(self, before: Report) -> Correction:
        smallest = True
        try:
            for most in range(self.finder.at_least(), MOST_EDITS + 1):
                offered = self._offer(self._solutions(most), True)
                if offered is not None:
                    return offered
                if self.conflict is not None or self.stays:
                    break
        except BudgetEnded as ended:
            smallest, self.gave_up = False, str(ended)
        offered = None if self.conflict or self.stays else self._offer(self._quick(), False)
        if offered is not None:
            return offered
        against = () if self.conflict else self.stays or self.against
        why = self.conflict.words if self.conflict else "; ".join(f.found for f in against) or self.gave_up
        return Correction(
            before.verdict, self.text, (), smallest and not self.gave_up, why or f"not with {MOST_EDITS} edits",
            self.conflict, against, asking.asks(before, self.book), before,
        )  # fmt: skip

    # solutions

    def _solutions(self, most: int) -> Iterator[tuple[Found, Changes]]:
        """Corrections of so many moves and additions; with one known, some more to choose the most natural from."""
        taken = 0
        try:
            for found in self.finder.within(most):
                mended = self._mended(found)
                if mended is not None:
                    taken += 1
                    self.finder.is_taken(found)
                    yield found, mended
                    if taken >= ENOUGH:
                        return
        except BudgetEnded:
            if not taken:
                raise

    def _quick(self) -> Iterator[tuple[Found, Changes]]:
        found = self.finder.quick(2 * MOST_EDITS)
        mended = self._mended(found) if found is not None else None
        if found is not None and mended is not None:
            yield found, mended

    def _mended(self, found: Found) -> Changes | None:
        key = tuple(step for _, step in leaves(found.items) if self.verdicts.name_of(step) in self.limited)
        if is_plain(found.items) and key in self.holding:
            return Changes(found.items, ())
        changed = fewest_changes(
            found.items, self.verdicts.procedure, self.book, frozenset(found.added), MOST_EDITS, self.budget
        )
        if isinstance(changed, Impossible):
            self.conflict = self.conflict or changed.conflict
            return None
        if isinstance(changed, GaveUp):
            self.gave_up = changed.reason
            return None
        if changed is not None and not changed.changes and not changed.filled:
            self.holding.add(key)
        return changed

    def _offer(self, solutions: Iterator[tuple[Found, Changes]], proved: bool) -> Correction | None:
        ranked = sorted(solutions, key=self._rank)
        undetermined: Correction | None = None
        for found, changes in (self._nicer(*each) for each in ranked[:TRIED]):
            made = self._made(found, changes, proved)
            if made is not None and made.verdict != UNDETERMINED:
                return made
            undetermined = undetermined or made
        return undetermined

    def _nicer(self, found: Found, changes: Changes) -> tuple[Found, Changes]:
        """Steps where they usually stand, if that costs no reading more."""
        better = self.finder.nicer(found)
        mended = self._mended(better)
        if mended is None or len(mended.changes) > len(changes.changes):
            return found, changes
        return better, mended

    def _made(self, found: Found, changes: Changes, proved: bool) -> Correction | None:
        edits = _with_filled(found.edits, changes)
        try:
            text = filetext.edited(self.text, (*edits, *changes.changes))
            procedure = checking.read(text.encode(), self.file, self.book)
            in_place = bare(read_procedure(text.encode(), self.file).steps) == bare(changes.items)
        except (NotInPlace, Unreadable):
            in_place = False
        if not in_place:
            text, procedure = self.text, self.verdicts.procedure(changes.items)
        report = judged(procedure, self.book, self.file, self.as_of)
        if report.verdict == NONCONFORMING:
            broken = {_key(finding) for finding in report.findings if finding.verdict == NONCONFORMING}
            self.stays = self.stays or tuple(each for each in self.against if _key(each) in broken)
            return None
        return Correction(
            report.verdict, text, self._told(found, edits, changes), proved,
            asks=asking.asks(report, self.book), report=report, in_place=in_place, before=self.text,
        )  # fmt: skip

    # which of several smallest is the most natural

    def _rank(self, solution: tuple[Found, Changes]) -> tuple[object, ...]:
        found, changes = solution
        adds = [self.verdicts.name_of(step) for step in found.added]
        names = [self.verdicts.name_of(step) for _, step in leaves(changes.items)]
        usual = sum(pair in self.pairs for pair in zip(names, names[1:], strict=False))
        # A step done once more than is usual, beside a doing in the wrong place, mends nothing for a person.
        again = sum(names.count(name) > self.often.get(name, 0) for name in adds)
        shared = sum(step.closure is None for step in found.added)
        count, changed = found.count + len(changes.changes), len(changes.changes)
        return (count, again, shared, found.moved, len(adds), changed, found.others, -usual, found.far)

    def _doings(self, name: str) -> int:
        """How often a step of the model may stand in the plan: once for each closure."""
        return 1 if self.book.steps[name].site else len(self.verdicts.closures)

    def _steps(self, name: str) -> list[RawStep]:
        """Steps to add, as the model of the job has them, else bare: for each closure, and for all at once."""
        usual = next((step for step in self.usual if self.verdicts.name_of(step) == name), RawStep(Phrase(name)))
        step = msgspec.structs.replace(usual, when=None, id=None, after=None, optional=None, place=NOWHERE)
        closures = self.verdicts.closures if self._doings(name) > 1 else ()
        return [*(msgspec.structs.replace(step, closure=Phrase(closure)) for closure in closures), step]

    # in words

    def _told(self, found: Found, edits: tuple[Edit, ...], changes: Changes) -> tuple[Told, ...]:
        told = telling.placed(found.placings, edits, found.items)
        items, rest = (found.items, changes.changes) if told else (self.raw.steps, (*edits, *changes.changes))
        return (*told, *self._one_by_one(items, rest))

    def _one_by_one(self, items: Items, edits: tuple[Edit, ...]) -> Iterator[Told]:
        for edit in edits:
            before = self._rules(items)
            items = applied(items, edit)
            after = self._rules(items)
            kept = tuple(rule for rule in before if rule not in after)
            yield Told(telling.words(edit, items), kept, telling.KINDS[type(edit)])

    def _rules(self, items: Items) -> list[str]:
        report = judge_procedure(self.verdicts.procedure(items), self.book)
        return list(dict.fromkeys(finding.rule for finding in report.findings))


def _with_filled(edits: tuple[Edit, ...], changes: Changes) -> tuple[Edit, ...]:
    """Added steps with the readings that were chosen for them."""
    final = dict(leaves(changes.items))
    filled = {change.at: final[change.at] for change in changes.filled}
    found: list[Edit] = []
    for edit in edits:
        if isinstance(edit, Add):
            chosen = [step for step in filled.values() if _is_same(step, edit.step)]
            edit = Add(chosen[0], edit.end) if chosen else edit
        found.append(edit)
    return tuple(found)


def _is_same(one: RawStep, other: RawStep) -> bool:
    return (one.do, one.closure, one.place) == (other.do, other.closure, other.place)

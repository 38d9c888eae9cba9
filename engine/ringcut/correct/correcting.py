"""From a plan that does not conform to the smallest change after which it does, with the rule behind each edit.

Job facts are never changed, and what only the doing tells is never filled in: what is missing of them is asked for. The
corrected text is read and judged again before it is offered. First a correction is looked for that is found soon; then
smaller ones as far as the budget allows, the smallest first. What nothing mends stays in the plan and is told.
"""

from __future__ import annotations

from contextlib import ExitStack

import msgspec

from ringcut import checking
from ringcut.correct import asking
from ringcut.correct.correction import Correction
from ringcut.correct.edits import bare, leaves
from ringcut.correct.effort import DEFAULT, BudgetEnded, Effort
from ringcut.correct.finders import FINISHING, Found, finder
from ringcut.correct.offering import Offering, is_certain
from ringcut.correct.readings import Changes, again, fewest_changes
from ringcut.correct.relevance import limited
from ringcut.correct.verdicts import Verdicts
from ringcut.draft.metric import in_units_of
from ringcut.draft.models import Model
from ringcut.draft.planned import usual_steps
from ringcut.fit import solve
from ringcut.fit.answers import Budget
from ringcut.fit.leftopen import with_choices
from ringcut.judge.findings import NONCONFORMING, Report
from ringcut.judge.judge import judge_procedure
from ringcut.language import ir
from ringcut.reading.phrase import Phrase
from ringcut.reading.problems import NOWHERE, Problem, Unreadable
from ringcut.reading.procedurefile import read_procedure
from ringcut.reading.raw import RawStep

MOST_EDITS = 8
"""Where none was found soon, so many edits of steps are tried together."""
ENOUGH = 40
"""Smallest corrections among which the most natural is chosen, at most."""
AFTERWARDS = 8_000
"""Work for more of them when the first is known."""
AFTERWARDS_OF_MORE = 40_000
"""The same where the first does a step once more than is usual: moving it mends too, perhaps, and is meant."""
TRIED = 5
"""Of these, how many are written and judged again, at most."""
SOON, SOON_OF_MANY = 0.7, 0.9
"""Share of the budget for the correction that is found soon, where few or :data:`MANY` edits are needed."""
MANY = 3
"""Edits needed at least, from which on hardly any search for fewer looks at all there is."""


def correct(
    data: bytes,
    file: str,
    book: ir.Rulebook,
    models: list[Model],
    as_of: str = "",
    effort: Effort | None = None,
    values: Budget = solve.DEFAULT,
) -> Correction:
    """The smallest correction of a plan; :class:`Unreadable` for a file that cannot be read, or is a log.

    ``effort``: the work that it may cost; ``values``: that for each question after the values of readings.
    """
    procedure = checking.read(data, file, book)
    raw = read_procedure(data, file)
    if not procedure.plan:
        hint = "draft or correct the plan; what a log lacks is a question to the crew"
        raise Unreadable([Problem(raw.place, "a log says what was done", "a plan", hint)])
    text = data.decode("utf-8")
    alone = judge_procedure(procedure, book, file=file, as_of=as_of)
    report = with_choices(alone, procedure, book)
    if report.verdict != NONCONFORMING and not asking.mendable(alone, book):
        return Correction(report.verdict, text, asks=asking.asks(report, book), report=report, before=text)
    verdicts = Verdicts(raw, book, effort or Effort(DEFAULT))
    first = _by_hand_first(report, book)
    if first:
        return Offering(text, file, book, as_of, report, alone, verdicts).nothing(first, None)
    offering = Offering(text, file, book, as_of, report, alone, verdicts)
    return _Correcting(verdicts, models, offering, in_units_of(procedure.job_texts, book), values).run()


def _by_hand_first(report: Report, book: ir.Rulebook) -> str:
    """What only a person can mend, and has to before an edit of the rest would mean anything."""
    by_hand = {rule.id: rule for rule in book.rules if rule.by_hand}
    broken = [each for each in report.findings if each.verdict == NONCONFORMING and each.rule in by_hand]
    return "; ".join(f"{each.rule} (line {each.line}) comes first: {by_hand[each.rule].remedy}" for each in broken)


class _Correcting:
    """One plan being corrected."""

    def __init__(
        self, verdicts: Verdicts, models: list[Model], offering: Offering, told_in: ir.Rulebook, values: Budget
    ) -> None:
        """``told_in``: the rulebook with the lengths in the unit of the job."""
        self.verdicts, self.offering, self.told_in, self.values = verdicts, offering, told_in, values
        self.book, self.effort, self.items = verdicts.book, verdicts.effort, verdicts.raw.steps
        self.usual = usual_steps(models, verdicts.raw.job, told_in)
        names = [verdicts.name_of(step) for step in self.usual]
        self.pairs = set(zip(names, names[1:], strict=False))
        self.often = {name: names.count(name) * self._doings(name) for name in names}
        self.finder = finder(verdicts, self.items, self._steps, self.usual, self._elsewhere(models, names))
        self.limited = limited(self.book)
        self._known: dict[object, Changes] = {}
        """The readings to change, by the order of the steps that limits look at."""

    def _elsewhere(self, models: list[Model], names: list[str]) -> set[tuple[str, str]]:
        """Neighbors of steps that the model of the job has not, as the models of other work have them."""
        found: set[tuple[str, str]] = set()
        for model in models:
            steps = [self.verdicts.name_of(step) for _, step in leaves(model.raw.steps)]
            found.update(pair for pair in zip(steps, steps[1:], strict=False) if not {*pair} <= {*names})
        return found

    def run(self) -> Correction:
        why = ""
        with self.effort.besides(FINISHING):
            least = self.finder.at_least()
        share = SOON if least < MANY else SOON_OF_MANY
        with self.effort.no_more_than(int(self.effort.most * share)):
            soon = self.finder.soon()
        most = MOST_EDITS if soon.broken else soon.count
        self.effort.doing = "looking for any" if soon.broken else f"{soon.count} edits found; looking for fewer"
        try:
            while least <= most and (least <= MOST_EDITS or least == soon.count):
                offered = self._offer(self._solutions(least, soon))
                if offered is not None:
                    return self._with_proof(offered, least, least)
                least += 1
        except BudgetEnded as ended:
            why = str(ended)
        with self.effort.besides(FINISHING):
            changes = self._mended(soon)
            offered = self._offer([(soon, changes)])
        if offered is not None:
            return msgspec.structs.replace(self._with_proof(offered, soon.count, least), why=why)
        return self.offering.nothing(changes.gave_up or why or f"not with {MOST_EDITS} edits", changes)

    def _with_proof(self, offered: Correction, edits: int, least: int) -> Correction:
        smallest = offered.smallest and edits <= least and not offered.in_part
        return msgspec.structs.replace(offered, smallest=smallest, at_least=least)

    # solutions

    def _solutions(self, most: int, soon: Found) -> list[tuple[Found, Changes]]:
        """Corrections of so many moves and additions; with one known, some more to choose the most natural from.

        ``soon``: the one that is known already, if it has no more edits.
        """
        taken: list[tuple[Found, Changes]] = []
        with ExitStack() as stack:
            if not soon.broken and soon.count <= most:
                with self.effort.besides(FINISHING):
                    taken.append((soon, self._mended(soon)))
                stack.enter_context(self.effort.no_more_than(self._afterwards(soon)))
            try:
                for found in self.finder.within(most):
                    if not taken:
                        stack.enter_context(self.effort.no_more_than(self._afterwards(found)))
                    taken.append((found, self._mended(found)))
                    self.finder.is_taken(found)
                    if len(taken) >= ENOUGH:
                        break
            except BudgetEnded:
                if not taken:
                    raise
        return taken

    def _mended(self, found: Found) -> Changes:
        key = self.verdicts.order_of(found.items, self.limited)
        if key not in self._known:
            self._known[key] = self._changes(found)
        return again(self._known[key], found.items, lambda step: self.verdicts.name_of(step) in self.limited)

    def _changes(self, found: Found) -> Changes:
        """The readings to change, in the unit of the job; where no lengths on its grid do, in inches."""
        added, read = frozenset(found.added), self.verdicts.procedure
        changes = fewest_changes(found.items, read, self.told_in, added, self.values)
        if self.told_in is self.book or not (changes.against or changes.gave_up):
            return changes
        return fewest_changes(found.items, read, self.book, added, self.values)

    def _offer(self, solutions: list[tuple[Found, Changes]]) -> Correction | None:
        """The most natural; one whose verdict is known before one after which something is still to be asked."""
        ranked = sorted(solutions, key=self._rank)
        made: list[Correction] = []
        with self.effort.besides(FINISHING):
            for found, changes in ranked[:TRIED]:
                one = self.offering.made(*self._nicer(found, changes))
                if one is not None and not one.in_part and is_certain(one):
                    return one
                made += [one] if one is not None else []
        return min(made, key=lambda one: one.in_part, default=None)

    def _nicer(self, found: Found, changes: Changes) -> tuple[Found, Changes]:
        """Steps where they usually stand, if that costs no reading more."""
        try:
            better = self.finder.nicer(found)
        except BudgetEnded:
            return found, changes
        mended = self._mended(better)
        if len(mended.changes) > len(changes.changes) or mended.against != changes.against:
            return found, changes
        return better, mended

    # which of several smallest is the most natural

    def _rank(self, solution: tuple[Found, Changes]) -> tuple[object, ...]:
        found, changes = solution
        names = [self.verdicts.name_of(step) for _, step in leaves(changes.items)]
        usual = sum(pair in self.pairs for pair in zip(names, names[1:], strict=False))
        shared = sum(step.closure is None for step in found.added)
        count, changed = found.count + len(changes.changes), len(changes.changes)
        left = (len(changes.against), bool(changes.gave_up))
        return (
            left, count, self._once_more(found), shared, found.moved, len(found.added), changed, found.others, -usual,
            found.far,
        )  # fmt: skip

    def _once_more(self, found: Found) -> int:
        """Steps done once more than is usual: beside a doing in the wrong place that mends nothing for a person."""
        names = [self.verdicts.name_of(step) for _, step in leaves(found.items)]
        return sum(names.count(name) > self.often.get(name, 0) for name in map(self.verdicts.name_of, found.added))

    def _afterwards(self, found: Found) -> int:
        return AFTERWARDS_OF_MORE if self._once_more(found) else AFTERWARDS

    def _doings(self, name: str) -> int:
        """How often a step of the model may stand in the plan: once for each closure."""
        return 1 if self.book.steps[name].site else len(self.verdicts.closures)

    def _steps(self, name: str) -> list[RawStep]:
        """Steps to add, as the model of the job has them, else bare: for each closure, and for all at once."""
        usual = [step for step in self.usual if self.verdicts.name_of(step) == name] or [RawStep(Phrase(name))]
        clean = {"when": None, "id": None, "after": None, "optional": None, "place": NOWHERE}
        steps = {repr(bare((step,))): step for step in (msgspec.structs.replace(each, **clean) for each in usual)}
        closures = self.verdicts.closures if self._doings(name) > 1 else ()
        return [
            each
            for step in steps.values()
            for each in (*(msgspec.structs.replace(step, closure=Phrase(closure)) for closure in closures), step)
        ]

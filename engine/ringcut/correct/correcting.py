"""From a plan that does not conform to the smallest change after which it does, with the rule behind each edit.

Job facts are never changed, and what only the doing tells is never filled in: what is missing of them is asked for. The
corrected text is read and judged again before it is offered.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterator

import msgspec

from ringcut import checking
from ringcut.correct import filetext
from ringcut.correct.edits import Add, Change, Edit, Move, Path, applied, is_plain, leaves
from ringcut.correct.placing import natural
from ringcut.correct.readings import Changes, Impossible, fewest_changes
from ringcut.correct.search import BudgetEnded, Search, Version, signature
from ringcut.correct.verdicts import Verdicts
from ringcut.draft.models import Items, Model
from ringcut.draft.planned import usual_steps
from ringcut.fit.answers import Budget, GaveUp
from ringcut.fit.bindingwords import Conflict
from ringcut.fit.solve import DEFAULT
from ringcut.judge.findings import NONCONFORMING, Report
from ringcut.judge.judge import judge_procedure
from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.reading.problems import NOWHERE, Problem, Unreadable
from ringcut.reading.procedurefile import read_procedure
from ringcut.reading.raw import RawProcedure, RawStep

MOST_EDITS = 8
"""Edits after which nobody would call it a correction."""
VERSIONS = 8_000
"""Versions of a plan that are looked at before the search gives up."""
ENOUGH = 40
"""Smallest corrections among which the most natural is chosen, at most."""
AFTERWARDS = 600
"""Versions that are still looked at for them when the first is known."""


class Told(msgspec.Struct, frozen=True, rename="kebab"):
    """An edit in words, with the rules that are kept by it."""

    words: str
    rules: tuple[str, ...]
    kind: str
    """``moved``, ``added`` or ``changed``."""


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
    report = judge_procedure(procedure, book, file=file, as_of=as_of)
    if report.verdict != NONCONFORMING and not _mendable(report, book):
        return Correction(report.verdict, text, asks=_asks(report, book), report=report)
    return _Correcting(raw, text, file, book, models, as_of, versions, budget).run(report)


def _mendable(report: Report, book: ir.Rulebook) -> bool:
    """Whether a step is missing, or a reading that a plan may choose."""
    causes = [finding.cause for finding in report.findings]
    return any(cause.startswith("no ") or _planned(cause, book) for cause in causes)


def _planned(cause: str, book: ir.Rulebook) -> bool:
    if not cause.startswith("reading "):
        return False
    step, _, name = cause.split()[1].partition(".")
    word = book.steps[step].readings.get(name) if step in book.steps else None
    return word is not None and word.planned and name not in book.facts


def _asks(report: Report, book: ir.Rulebook) -> tuple[str, ...]:
    found = []
    for finding in report.findings:
        if finding.cause.startswith("fact "):
            found.append(f"the job does not say: {finding.cause.split()[1]}")
        elif finding.cause.startswith("reading "):
            found.append(f"not there: {finding.cause.split()[1]}")
    found += [f"not covered: {gap}" for gap in report.not_covered]
    return tuple(dict.fromkeys(found))


class _Correcting:
    """One plan being corrected."""

    def __init__(
        self, raw: RawProcedure, text: str, file: str, book: ir.Rulebook, models: list[Model], as_of: str,
        versions: int, budget: Budget,
    ) -> None:  # fmt: skip
        self.raw, self.text, self.file, self.book, self.as_of, self.budget = raw, text, file, book, as_of, budget
        self.verdicts = Verdicts(raw, book)
        self.usual = usual_steps(models, raw.job, book)
        names = [self.verdicts.name_of(step) for step in self.usual]
        self.pairs = set(zip(names, names[1:], strict=False))
        self.often = {name: names.count(name) for name in names}
        self.search = Search(self.verdicts, self._step, versions)
        self.limited = _limited(book)
        self.holding: set[tuple[RawStep, ...]] = set()
        """Orders of the steps that limits look at, for which every limit holds as it is."""
        self.conflict: Conflict | None = None
        self.gave_up = ""

    def run(self, before: Report) -> Correction:
        smallest = True
        try:
            for most in range(self.search.at_least(self.raw.steps), MOST_EDITS + 1):
                offered = self._offer(self._solutions(most), True)
                if offered is not None:
                    return offered
                if self.conflict is not None:
                    break
        except BudgetEnded as ended:
            smallest, self.gave_up = False, str(ended)
        offered = None if self.conflict else self._offer(self._quick(), False)
        if offered is not None:
            return offered
        why = self.conflict.words if self.conflict else self.gave_up or f"not with {MOST_EDITS} edits"
        return Correction(
            before.verdict, self.text, (), smallest and not self.gave_up, why, self.conflict,
            _asks(before, self.book), before,
        )  # fmt: skip

    # solutions

    def _solutions(self, most: int) -> Iterator[tuple[Version, Changes]]:
        """Corrections of so many moves and additions; with one known, some more to choose the most natural from."""
        found = 0
        try:
            for version in self.search.within(self.raw.steps, most):
                mended = self._mended(version, MOST_EDITS)
                if mended is not None:
                    found += 1
                    self.search.done.add(signature(version.edits))
                    self.search.most = min(self.search.most, self.search.looked + AFTERWARDS)
                    yield version, mended
                    if found >= ENOUGH:
                        return
        except BudgetEnded:
            if not found:
                raise

    def _quick(self) -> Iterator[tuple[Version, Changes]]:
        version = self.search.greedy(self.raw.steps, 2 * MOST_EDITS)
        mended = self._mended(version, MOST_EDITS) if version is not None else None
        if version is not None and mended is not None:
            yield version, mended

    def _mended(self, version: Version, most: int) -> Changes | None:
        key = tuple(step for _, step in leaves(version.items) if self.verdicts.name_of(step) in self.limited)
        if is_plain(version.items) and key in self.holding:
            return Changes(version.items, ())
        procedure = self.verdicts.procedure(version.items)
        new = {edit.step for edit in version.edits if isinstance(edit, Add)}
        added = frozenset(at for at, (_, step) in enumerate(leaves(version.items)) if step in new)
        found = fewest_changes(version.items, procedure, self.book, added, most, self.budget)
        if isinstance(found, Impossible):
            self.conflict = self.conflict or found.conflict
            return None
        if isinstance(found, GaveUp):
            self.gave_up = found.reason
            return None
        if found is not None and not found.changes and not found.filled:
            self.holding.add(key)
        return found

    def _offer(self, solutions: Iterator[tuple[Version, Changes]], proved: bool) -> Correction | None:
        ranked = sorted(solutions, key=self._rank)
        for version, changes in [self._placed(*each) for each in ranked[:5]]:
            edits = (*_with_filled(version.edits, changes), *changes.changes)
            made = self._made(edits, changes.items, proved)
            if made is not None:
                return made
        return None

    def _placed(self, version: Version, changes: Changes) -> tuple[Version, Changes]:
        """Steps where they usually stand, if that costs no reading more."""
        better = natural(version, self.raw.steps, self.verdicts, self.pairs)
        mended = self._mended(better, MOST_EDITS)
        if mended is None or len(mended.changes) > len(changes.changes):
            return version, changes
        return better, mended

    def _made(self, edits: tuple[Edit, ...], items: Items, proved: bool) -> Correction | None:
        in_place = True
        try:
            text = filetext.edited(self.text, edits)
            procedure = checking.read(text.encode(), self.file, self.book)
            same = bare(read_procedure(text.encode(), self.file).steps) == bare(items)
        except (filetext.NotInPlace, Unreadable):
            same = False
        if not same:
            in_place, text = False, self.text
            procedure = self.verdicts.procedure(items)
        report = judge_procedure(procedure, self.book, file=self.file, as_of=self.as_of)
        if report.verdict == NONCONFORMING:
            return None
        told = self._told(edits)
        return Correction(
            report.verdict,
            text,
            told,
            proved,
            asks=_asks(report, self.book),
            report=report,
            in_place=in_place,
            before=self.text,
        )

    # which of several smallest is the most natural

    def _rank(self, solution: tuple[Version, Changes]) -> tuple[object, ...]:
        version, changes = solution
        moves = [edit for edit in version.edits if isinstance(edit, Move)]
        adds = [self.verdicts.name_of(edit.step) for edit in version.edits if isinstance(edit, Add)]
        names = [self.verdicts.name_of(step) for _, step in leaves(changes.items)]
        usual = sum(pair in self.pairs for pair in zip(names, names[1:], strict=False))
        far = sum(abs(edit.start[0] - edit.end[0]) for edit in moves)
        count = len(version.edits) + len(changes.changes)
        # A step done once more than is usual, beside a doing in the wrong place, mends nothing for a person.
        again = sum(names.count(name) > self.often.get(name, 0) for name in adds)
        return (count, again, len(moves), len(adds), len(changes.changes), -usual, far)

    def _step(self, name: str) -> RawStep | None:
        """A step to add: as the model procedure of the job has it, else bare."""
        usual = next((step for step in self.usual if self.verdicts.name_of(step) == name), None)
        if usual is not None:
            return msgspec.structs.replace(usual, when=None, id=None, after=None, optional=None, place=NOWHERE)
        return bare_step(name)

    # in words

    def _told(self, edits: tuple[Edit, ...]) -> tuple[Told, ...]:
        items, told = self.raw.steps, []
        for edit in edits:
            before = self._rules(items)
            following = applied(items, edit)
            after = self._rules(following)
            kept = tuple(rule for rule in before if rule not in after)
            told.append(Told(_words(edit, following), kept, _kind(edit)))
            items = following
        return tuple(told)

    def _rules(self, items: Items) -> list[str]:
        report = judge_procedure(self.verdicts.procedure(items), self.book)
        return list(dict.fromkeys(finding.rule for finding in report.findings))


def _limited(book: ir.Rulebook) -> frozenset[str]:
    """The steps that some limit looks at."""
    found: set[str] = set()
    for rule in book.rules:
        if isinstance(rule.form, ir.Limit):
            found |= {*rule.form.of.names, *(e.step for e in n.walk(rule.form.what) if isinstance(e, n.Reading))}
    return frozenset(found)


def bare(items: Items) -> object:
    """A tree of steps without the places of their texts, to compare what it says."""
    from ringcut.draft.plantext import step_text

    return [
        step_text(item) if isinstance(item, RawStep) else [bare(branch) for branch in item.branches] for item in items
    ]


def bare_step(name: str) -> RawStep:
    """A step that is only a name."""
    from ringcut.reading.phrase import Phrase

    return RawStep(Phrase(name))


def difference(before: str, after: str, file: str) -> list[str]:
    """A unified diff of two versions of a file, as lines."""
    return list(
        difflib.unified_diff(
            before.splitlines(), after.splitlines(), f"{file} (as it is)", f"{file} (corrected)", "", "", 2, ""
        )
    )


def _with_filled(edits: tuple[Edit, ...], changes: Changes) -> tuple[Edit, ...]:
    """Added steps with the readings that were chosen for them."""
    final = dict(leaves(changes.items))
    filled = {change.at: final[change.at] for change in changes.filled}
    found: list[Edit] = []
    for edit in edits:
        if isinstance(edit, Add):
            chosen = [step for step in filled.values() if step.do.text == edit.step.do.text]
            edit = Add(chosen[0], edit.end) if chosen else edit
        found.append(edit)
    return tuple(found)


def _kind(edit: Edit) -> str:
    return {Move: "moved", Add: "added", Change: "changed"}[type(edit)]


def _words(edit: Edit, after: Items) -> str:
    match edit:
        case Move(step, end=end):
            return f"move {_label(step)}{_line(step)} {_where(after, end)}"
        case Add(step, end):
            return f"add {_label(step)} {_where(after, end)}"
        case Change(step, reading=reading, side=side, before=was, after=now):
            place = f", side {side}" if side else ""
            told = f"from {was} to {now}" if was else f"to {now}"
            return f"set {reading.replace('-', ' ')} of {_label(step)}{_line(step)}{place} {told}"


def _label(step: RawStep) -> str:
    return step.id.text if step.id else step.do.text


def _line(step: RawStep) -> str:
    return f" (line {step.place.line})" if step.place.line else ""


def _where(items: Items, path: Path) -> str:
    line = leaves(items)
    at = next((number for number, (where, _) in enumerate(line) if where == path), 0)
    if not at:
        return "to the beginning"
    return f"after {_label(line[at - 1][1])}{_line(line[at - 1][1])}"

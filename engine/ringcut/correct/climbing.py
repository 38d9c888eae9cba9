"""A correction that is found soon, whether or not it is the smallest, for plans with many mistakes.

The edit that leaves least broken is made, again and again; where no single edit helps, two are tried. Edits that turn
out not to be needed are taken back, and two that one can replace are replaced. What nothing mends stays, and is told.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial
from itertools import combinations, count

import msgspec

from ringcut.correct.edits import Add, Move, bare, demanded, exchanged, leaves, places, put_in, taken_out
from ringcut.correct.effort import BudgetEnded, Effort
from ringcut.correct.modelling import modelled
from ringcut.correct.protection import PROTECTION
from ringcut.correct.search import Search, Version
from ringcut.correct.seats import Edited, Kind, Seat, located, seat, seated, taken_back
from ringcut.correct.verdicts import Verdicts
from ringcut.draft.models import Items
from ringcut.judge.findings import CLASSES
from ringcut.reading.problems import Place
from ringcut.reading.raw import RawStep

UPWARDS = 0.75
"""Share of the work for breaking less, before edits are taken back."""
TIED = 12
"""Of edits that leave as little broken, so many are judged by the rules about time too."""
LOOKED_BEHIND = 16
"""Edits that help nothing for themselves, behind each of which a second one is tried."""
REPLACING = 20_000
"""Work for replacing two edits by one: among many edits hardly any two can be."""
Score = tuple[int, ...]


class Climbed(msgspec.Struct, frozen=True):
    """The version reached, and the rules that are still broken in it."""

    version: Edited
    broken: tuple[str, ...]


class _Try(msgspec.Struct, frozen=True):
    """One edit more: the step, where it goes, and what it leaves broken as far as rules without times say."""

    kind: Kind
    step: RawStep
    where: Seat | None
    items: Items
    broken: tuple[str, ...]


class Climber:
    """Climbs from one plan whose order is that of its list."""

    def __init__(
        self, verdicts: Verdicts, original: Items, steps_for: Callable[[str], list[RawStep]], model: list[RawStep]
    ) -> None:
        self.verdicts, self.original, self.steps_for, self.model = verdicts, original, steps_for, model
        names = [verdicts.name_of(step) for step in model]
        self.usual = set(zip(names, names[1:], strict=False))
        self.often = {name: names.count(name) * len(verdicts.closures) for name in names}
        self.first = frozenset(verdicts.broken(original))
        """What was broken at the beginning: what was not counts twice."""
        self.effort: Effort = verdicts.effort
        self._serial: dict[tuple[str, int], int] = {}
        self.best = Climbed(Edited(original), tuple(verdicts.broken(original)))

    def climb(self) -> Climbed:
        """As far as the budget allows; every version on the way breaks less than the one before."""
        for part, share in ((self._up, UPWARDS), (self._fewer, 1)):
            try:
                with self.effort.no_more_than(int(self.effort.left * share)):
                    part()
            except BudgetEnded:
                pass
        return self.best

    # upwards

    def _up(self) -> None:
        try:
            while self.best.broken and (self._higher() or self._together(2) or self._together(3)):
                pass
        finally:
            if self.best.broken:
                with self.effort.besides(self.effort.most):
                    self._modelled()

    def _higher(self) -> bool:
        """Every edit that helps, the best first, each judged again behind those made before it and made at once."""
        made: set[Place] = set()
        for each in self._helping(self.best):
            again = None if each.step.place in made else self._again(each)
            if again is None:
                continue
            broken = self._all_broken(again.items, again.broken)
            if self._score(broken) < self._score(self.best.broken):
                self.best = Climbed(self.best.version.having(again.items, each.step.place, each.kind), broken)
                made.add(each.step.place)
        return bool(made)

    def _again(self, each: _Try) -> _Try | None:
        """The same edit of the version that is the best by now; None where it mends nothing more."""
        items = self.best.version.items
        path = located(items, each.step.place)
        if each.where is None:
            changed = exchanged(items, path, each.step) if path is not None else None
        else:
            changed = seated(taken_out(items, path) if path is not None else items, each.where, each.step)
        if changed is None:
            return None
        broken = self._soon(changed, each.step, self.best.broken)
        return msgspec.structs.replace(each, items=changed, broken=broken)

    def _helping(self, found: Climbed) -> Iterator[_Try]:
        """The best edit for each set of rules that one edit mends, those that mend most first."""
        mended: set[str] = set()
        for _, each in self._ranked(found):
            gone = set(found.broken) - set(self._all_broken(each.items, each.broken))
            if self._score(self._all_broken(each.items, each.broken)) < self._score(found.broken) and gone - mended:
                mended |= gone
                yield each
                if mended >= set(found.broken):
                    return

    def _ranked(self, found: Climbed) -> list[tuple[tuple[object, ...], _Try]]:
        """What is worth a look with the rules about time, the most promising first."""
        late = {name for name in found.broken if name in self.verdicts.late}
        before = self._score(found.broken)
        ranked: list[tuple[tuple[object, ...], _Try]] = []
        for number, each in enumerate(self._in_time(self._tries(found))):
            rest = [name for name in each.broken if name not in late]
            if self._score(rest) < before:
                odd = self._is_odd(each)
                ranked.append(((*self._score(rest), odd, each.kind == "add", -self._beside(each), number), each))
        ranked.sort(key=lambda pair: pair[0])
        taken: dict[object, int] = {}
        kept = []
        for key, each in ranked:
            what = (each.kind, self.verdicts.name_of(each.step), each.broken)
            taken[what] = taken.get(what, 0) + 1
            if taken[what] <= TIED:
                kept.append((key, each))
        return kept

    def _in_time(self, tries: Iterator[_Try]) -> Iterator[_Try]:
        """As many as half of what is left is enough for: the other half is for those that are worth a second look."""
        tried: list[_Try] = []
        try:
            with self.effort.no_more_than(self.effort.left // 2):
                tried.extend(tries)
        except BudgetEnded:
            if not tried or not self.effort.left:
                raise
        return iter(tried)

    def _together(self, edits: int) -> bool:
        """So many edits that help together where fewer do not."""
        reached = self._reached(self.best, edits, LOOKED_BEHIND)
        self.best = reached or self.best
        return reached is not None

    def _reached(self, found: Climbed, edits: int, wide: int) -> Climbed | None:
        tries = [each for each in self._tries(found) if not set(found.broken) <= set(each.broken)]
        tries.sort(key=lambda each: (self._score(each.broken), self._is_odd(each), -self._beside(each)))
        for each in tries[:wide]:
            broken = self._all_broken(each.items, each.broken)
            there = Climbed(found.version.having(each.items, each.step.place, each.kind), broken)
            if edits > 1 and (further := self._reached(there, edits - 1, TIED)):
                return further
            if self._score(broken) < self._score(self.best.broken):
                return there
        return None

    def _modelled(self) -> None:
        """The order of the model procedure, where that leaves less broken."""
        tried = modelled(self.original, self.model, self.verdicts.name_of, self._from_model)
        if tried is None:
            return
        broken = tuple(self.verdicts.broken(tried.items))
        if self._score(broken) < self._score(self.best.broken):
            self.best = Climbed(tried, broken)

    def _from_model(self, step: RawStep) -> RawStep:
        clean = msgspec.structs.replace(step, when=None, id=None, after=None, optional=None)
        number = self._serial.setdefault(("", len(self._serial)), len(self._serial) + 1)
        return msgspec.structs.replace(clean, place=Place("", 0, number))

    def _tries(self, found: Climbed) -> Iterator[_Try]:
        """Every edit of a step that a broken rule looks at."""
        items = found.version.items
        about = [self.verdicts.about[name] for name in found.broken]
        moved = frozenset[str]().union(*(each.steps for each in about))
        added = frozenset[str]().union(*(each.addable for each in about))
        steps = leaves(items)
        there = {self.verdicts.name_of(step) for _, step in steps}
        # what is missing altogether comes first, in case not all can be looked at
        yield from self._additions(found, sorted(added - there))
        for path, step in steps:
            name = self.verdicts.name_of(step)
            if step.optional is not None and (name in moved or name in added):
                yield self._try(found, "demand", demanded(step), None, exchanged(items, path, demanded(step)))
            if name in moved:
                without = taken_out(items, path)
                for place in places(without):
                    changed = put_in(without, place, step)
                    if changed != items:
                        yield self._try(found, "move", step, seat(without, place), changed)
        yield from self._additions(found, sorted(added & there))

    def _additions(self, found: Climbed, names: list[str]) -> Iterator[_Try]:
        items = found.version.items
        for name in names:
            for new in self._new(name, found.version):
                for place in places(items):
                    yield self._try(found, "add", new, seat(items, place), put_in(items, place, new))

    def _try(self, found: Climbed, kind: Kind, step: RawStep, where: Seat | None, items: Items) -> _Try:
        return _Try(kind, step, where, items, self._soon(items, step, found.broken))

    def _soon(self, items: Items, step: RawStep, before: tuple[str, ...]) -> tuple[str, ...]:
        """What is broken after an edit of a step; of the late rules what was broken before it."""
        return tuple(self.verdicts.broken_after(items, self.verdicts.name_of(step), before))

    def _all_broken(self, items: Items, soon: tuple[str, ...]) -> tuple[str, ...]:
        late = self.verdicts.broken(items, self.verdicts.late)
        return (*(name for name in soon if name not in self.verdicts.late), *late)

    def _new(self, name: str, version: Edited) -> list[RawStep]:
        """Steps to add, each with a place of its own, the same for the same."""
        return [self._placed(step, version) for step in self.steps_for(name)]

    def _placed(self, step: RawStep, version: Edited) -> RawStep:
        for there in count():
            key = (repr(bare((step,))), there)
            place = Place("", 0, self._serial.setdefault(key, len(self._serial) + 1))
            if place not in version.kinds:
                return msgspec.structs.replace(step, place=place)
        raise AssertionError

    def _score(self, broken: tuple[str, ...] | list[str]) -> Score:
        classes = [self.verdicts.rules[name].class_ for name in broken if name in self.verdicts.rules]
        unsafe = PROTECTION in broken  # what takes protection away is no mend, whatever else it mends
        return (
            unsafe,
            2 * len(broken) - len(self.first.intersection(broken)),
            *(classes.count(each) for each in CLASSES),
        )

    def _is_odd(self, each: _Try) -> bool:
        """Whether a step is added that the model does not have, or not so often."""
        name = self.verdicts.name_of(each.step)
        if each.kind != "add":
            return False
        return sum(self.verdicts.name_of(step) == name for _, step in leaves(each.items)) > self.often.get(name, 0)

    def _beside(self, each: _Try) -> int:
        """How many of the neighbours it would have are those of the model procedure."""
        if each.where is None:
            return 0
        names = {step.place: self.verdicts.name_of(step) for step in self._top(each)}
        name = self.verdicts.name_of(each.step)
        pairs = [(names[place], name) for place in each.where.before[:1] if place in names]
        pairs += [(name, names[place]) for place in each.where.behind[:1] if place in names]
        return sum(pair in self.usual for pair in pairs)

    def _top(self, each: _Try) -> Iterator[RawStep]:
        wanted = {*(each.where.before[:1] if each.where else ()), *(each.where.behind[:1] if each.where else ())}
        return (step for _, step in leaves(each.items) if step.place in wanted)

    # fewer edits for the same

    def _fewer(self) -> None:
        while self._one_taken_back():
            pass
        try:
            with self.effort.no_more_than(REPLACING):
                while not self.best.broken and self._two_replaced():
                    pass
        except BudgetEnded:
            pass
        while self._one_taken_back():
            pass

    def _one_taken_back(self) -> bool:
        for place in reversed(list(self.best.version.kinds)):
            tried = taken_back(self.best.version, place, self.original)
            if tried is None:
                continue
            broken = tuple(self.verdicts.broken(tried.items))
            if set(broken) <= set(self.best.broken):
                self.best = Climbed(tried, broken)
                return True
        return False

    def _two_replaced(self) -> bool:
        """One edit in place of two, where it does."""
        for pair in combinations(self.best.version.kinds, 2):
            without: Edited | None = self.best.version
            for place in pair:
                without = taken_back(without, place, self.original) if without is not None else None
            if without is None:
                continue
            for found in Search(self.verdicts, partial(self._new, version=without)).within(without.items, 1):
                self.best = Climbed(_with(without, found), ())
                return True
        return False


def _with(version: Edited, found: Version) -> Edited:
    """A version after the edit that a search found, or as it was where none was needed."""
    for edit in found.edits:
        kind: Kind = "move" if isinstance(edit, Move) else "add" if isinstance(edit, Add) else "demand"
        return version.having(found.items, edit.step.place, kind)
    return version

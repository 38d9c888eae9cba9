"""The comparisons of numbers and times that letters leave open, for logs that show a rule the same letters.

Where the entries stand is the same in all these logs, so a check is a text over their places: the sign of a
difference, or of a gap in time less a length. ``«k»`` in a text stands for the k-th entry that the rule looks at,
``first`` and ``last`` for the ends of the log; ``e`` are the entries of the log, ``t`` their times, ``q`` the numbers
of the job, ``view`` the job.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence, Set
from fractions import Fraction
from functools import lru_cache
from itertools import combinations, count

import msgspec

from ringcut.bulk.footprint import EVERY, Footprint, Unit, conditions_of
from ringcut.bulk.numbers import NotThere
from ringcut.bulk.places import Places, Wanted
from ringcut.bulk.seen import Seen
from ringcut.bulk.vocabulary import Vocabulary
from ringcut.forms.instance import Context
from ringcut.forms.limit import doings_meant
from ringcut.forms.pattern import Measured, compared_pairs
from ringcut.language import ir
from ringcut.language import nodes as n


class Gap(msgspec.Struct, frozen=True):
    """Whether the time from ``one`` to ``two`` stands in ``op`` (``>`` or ``>=``) to a length in seconds."""

    one: str
    two: str
    op: str
    length: Fraction


class Reach(msgspec.Struct, frozen=True):
    """How many entries lie no later than a length in seconds after ``one``; ``before``: earlier than that."""

    one: str
    length: Fraction
    before: bool


class Healed(msgspec.Struct, frozen=True):
    """How many of ``starts``, in order, lie more than a length before the first entry ``lapse`` after ``one``."""

    one: str
    lapse: Fraction
    starts: tuple[str, ...]
    length: Fraction


class Sign(msgspec.Struct, frozen=True):
    """1 or 2: the left number is greater or less by more than rounding; else what ``exact`` says.

    ``size``: how large both could be, where more than sums is in them.
    """

    left: str
    right: str
    exact: str
    size: str = ""


class Said(msgspec.Struct, frozen=True):
    """Anything else, by its text."""

    text: str


_GROWING = re.compile(r"[*]|divided|at_68")
"""What may make a very large number out of others."""
Check = Gap | Reach | Healed | Sign | Said


class Checks(msgspec.Struct):
    """The checks of one rule for one run of letters, what their texts name, and whose readings they look at."""

    items: list[Check]
    names: dict[str, object]
    looked: set[int]


class Maker:
    """Makes checks for one kind of job; the numbers of the job that they use are added to ``wanted``."""

    def __init__(self, vocabulary: Vocabulary, wanted: Wanted) -> None:
        self.vocabulary, self.book, self.wanted = vocabulary, vocabulary.book, wanted
        self._numbers = count()

    def of(self, rule: ir.Rule, looks: Footprint, seen: Seen, at: Sequence[int]) -> Checks:
        """The checks of a rule with its footprint; ``at``: the places of the entries that it looks at."""
        checks = Checks([], {}, set())
        rank = {place: k for k, place in enumerate(at)}
        local = {index: rank[place] for index, place in enumerate(seen.places) if place in rank}
        places = Places(self.vocabulary, self.wanted, seen, at, self._numbers)
        match rule.form:
            case ir.Limit() as form:
                units = [unit for unit in looks.units if unit.readings and not self.vocabulary.is_local(unit)]
                for where, side in _bindings(rule, form, seen) if units else ():
                    places.where = {key: local[index] for key, index in where.items()}
                    for unit in units:
                        self._compare(unit, side, places, checks)
            case ir.Pattern("times-all-equal"):
                checks.items.append(Said("(count > 3) * (1 + (t[first] == t[last]))"))
            case ir.Pattern("measured-and-computed-disagree"):
                for pair in compared_pairs(seen.view):
                    places.where = {key: local[index] for key, index in pair.at.items()}
                    self._disagree(pair, places, checks)
        checks.items += self._gaps(rule, looks, seen, at)
        checks.names |= places.names
        checks.looked |= places.looked
        return checks

    def _compare(self, unit: Unit, side: str, places: Places, checks: Checks) -> None:
        match unit.node:
            case n.And((n.Compare() as one, n.Compare() as two)):
                parts = [one, two]
            case n.Compare() as one:
                parts = [one]
            case _:
                checks.items.append(Said(places.exact(unit, side)))
                return
        for part in parts:
            try:
                left, right = places.text(part.left, side), places.text(part.right, side)
                size = _size(part.left, part.right, side, places)
            except NotThere:
                continue  # unknown whatever the numbers are; of a chain the other part may fail all the same
            checks.items.append(Sign(left, right, places.exact(unit, side), size))

    def _disagree(self, pair: Measured, places: Places, checks: Checks) -> None:
        try:
            gap = f"abs({places.text(pair.measured, '')} - {places.text(pair.computed, '')})"
            size = _size(pair.measured, pair.computed, "", places)
        except NotThere:
            return
        checks.items.append(Sign(gap, repr(float(pair.room)), places.disagrees(pair), size))

    def _gaps(self, rule: ir.Rule, looks: Footprint, seen: Seen, at: Sequence[int]) -> list[Check]:
        """Gaps between the entries that a rule looks at, from the first and on to the last, beside its lengths."""
        done = [k for k, place in enumerate(at) if seen.entries[place].status == "done"]
        if looks.of == EVERY:
            return self._reaching(looks, done)
        steps = [seen.entries[place].step for place in at]
        begins, ends = _spanning(rule.form, self.book)
        pairs = [(i, j) for i, j in combinations(done, 2) if steps[i] in begins and (not ends or steps[j] in ends)]
        gaps: dict[Check, None] = {}
        for length in looks.spans:
            told = [(_place(i), _place(j)) for i, j in pairs]
            if _from_start(rule.form):
                told += [("first", _place(j)) for j in done]
            if _to_end(rule.form, seen):
                told += [(_place(i), "last") for i in done if steps[i] in begins]
            if _from_start(rule.form) and _to_end(rule.form, seen):
                told.append(("first", "last"))
            gaps |= dict.fromkeys(Gap(one, two, op, length) for op in _ops(rule.form, length) for one, two in told)
        for name in looks.lapsing:
            length = self.book.conditions[name].lapses or Fraction(0)
            for i, j in self._ageing(name, done, seen, at):
                if j is not None or _to_end(rule.form, seen):
                    two = "last" if j is None else _place(j)
                    gaps |= dict.fromkeys(Gap(_place(i), two, op, length) for op in (">", ">="))
        return [*gaps, *self._healing(rule, looks, seen, at, done)]

    def _reaching(self, looks: Footprint, done: Sequence[int]) -> list[Check]:
        """For a rule that time alone can break, so that every entry may be where it is: how far each length reaches."""
        lengths = [*looks.spans, *(self.book.conditions[name].lapses or Fraction(0) for name in looks.lapsing)]
        return [Reach(_place(k), length, before) for k in done for length in lengths for before in (False, True)]

    def _healing(
        self, rule: ir.Rule, looks: Footprint, seen: Seen, at: Sequence[int], done: Sequence[int]
    ) -> list[Check]:
        """For a grace that may end because a condition lapses: it does so at the next entry, of any step."""
        if not isinstance(rule.form, ir.Keep) or not looks.lapsing or not looks.spans:
            return []
        begins = self.book.changing(conditions_of(rule.form, self.book)) | set(ir.steps_named(rule.form))
        starts = ["first", *(_place(k) for k in done if seen.entries[at[k]].step in begins)]
        checks: list[Check] = []
        for name in looks.lapsing:
            lapse = self.book.conditions[name].lapses or Fraction(0)
            makers = [k for k in done if seen.entries[at[k]].step in self.book.changing([name])]
            checks += [Healed(_place(k), lapse, tuple(starts), length) for k in makers for length in looks.spans]
        return checks

    def _ageing(
        self, condition: str, done: Sequence[int], seen: Seen, at: Sequence[int]
    ) -> Iterator[tuple[int, int | None]]:
        """Each doing that changes a condition, with those at which it may be the last that did; None: the end."""
        for number, i in enumerate(done):
            entry = seen.entries[at[i]]
            if entry.step not in self.book.changing([condition]):
                continue
            for j in done[number + 1 :]:
                yield i, j
                later = seen.entries[at[j]]
                if set(entry.sides) <= set(later.sides) and self._sets(later.step, condition):
                    break
            else:
                yield i, None

    def _sets(self, step: str, condition: str) -> bool:
        """Whether every doing of a step gives a condition a value, whoever does it."""
        if self.book.conditions[condition].per == "person":
            return False
        effects = [effect for effect in self.book.steps[step].effects if effect.condition == condition]
        return any(effect.where is None and not effect.keeps for effect in effects)


def _size(left: n.Node, right: n.Node, side: str, places: Places) -> str:
    """How large two numbers could be together; empty where both are sums, whose rounding has a bound of its own."""
    one, two = places.size(left, side), places.size(right, side)
    return f"{one} + {two}" if _GROWING.search(one + two) else ""


@lru_cache(maxsize=1000)
def _place(k: int) -> str:
    """The k-th entry that a rule looks at, as a text says it; one text for all, since there are many."""
    return f"«{k}»"


def _spanning(form: ir.Form, book: ir.Rulebook) -> tuple[Set[str], Set[str]]:
    """The steps from whose doings a form measures time, and those to which it does; none: to any."""
    match form:
        case ir.Elapsed(start=start, to=to):
            return set(start.names), set(to.names)
        case ir.Repeat(what=what):
            return set(what.names), set()
        case ir.Need(before=before):
            return set(before.names), set()
    return book.changing(conditions_of(form, book)) | set(ir.steps_named(form)), set()


def _ops(form: ir.Form, length: Fraction) -> list[str]:
    """How a form compares gaps with one of its lengths, which may be both the least and the most."""
    if not isinstance(form, ir.Elapsed):
        return [">"]
    return [op for op, own in ((">=", form.at_least), (">", form.at_most)) if own == length]


def _from_start(form: ir.Form) -> bool:
    return isinstance(form, ir.Elapsed | ir.Keep) and form.start.moment == ir.START


def _to_end(form: ir.Form, seen: Seen) -> bool:
    """Whether a form may measure time on to the last entry of a log."""
    finished = seen.frame.procedure.finished
    match form:
        case ir.Elapsed(to=to):
            return bool(to.moment) or not finished
        case ir.Need(before=before):
            return bool(before.moment) or not finished
    return True


def _bindings(rule: ir.Rule, form: ir.Limit, seen: Seen) -> Iterator[tuple[dict[tuple[str, str], int], str]]:
    """For each place where a limit is judged the occurrences it asks, and the side."""
    context = Context(rule, seen.view, seen.conditions)
    anchors: list[tuple[int | None, str]] = [*context.judged(form.of)]
    if form.of.moment == ir.START:
        anchors = [(None, side) for side in context.all_sides()]
    for index, side in anchors:
        asked = doings_meant(form, context, index, side)
        yield {key: found[0] for key, found in asked if found and found[0] is not None}, side

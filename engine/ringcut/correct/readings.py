"""The fewest readings of a plan to change so that every limit holds, each to the nearest value that does.

Readings of added steps are free: they are chosen with the step. A reading that repeats a job fact is never changed, and
what only the doing tells is never filled in. What a rule asks of a bar is not mended by calling the bar a strap: a word
that only says whether a limit applies is changed where nothing else will do.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from fractions import Fraction

import msgspec

from ringcut.correct.edits import Change, exchanged, leaves
from ringcut.draft.models import Items
from ringcut.draft.planned import set_reading
from ringcut.fit import problem as fit
from ringcut.fit.answers import Budget, GaveUp, NoSolution, Remaining, Solution
from ringcut.fit.binding import Opened, facts_again, given_readings, open_readings
from ringcut.fit.bindingdomains import as_in, nearest
from ringcut.fit.bindinglimits import Open
from ringcut.fit.bindingwords import Conflict, asked_by, conflict_of
from ringcut.fit.solve import best, first, remaining
from ringcut.language import ir
from ringcut.language.premises import premises, readings_in
from ringcut.reading.measures import show
from ringcut.reading.raw import RawStep
from ringcut.relations.evaluate import truth
from ringcut.relations.procedure import Occurrence, Procedure
from ringcut.relations.spans import Span, Value, Words, exactly
from ringcut.relations.truth import OPEN, YES
from ringcut.relations.view import View

Text = tuple[int, str, str]
"""(step index, reading, side): one text of the plan; the side is empty where one text stands for all."""


MOST_WAYS = 200
"""Sets of readings to let go that are looked at at once; with more of them fewer may do than are found."""
MOST_CHOICES = 20
"""Equally small sets of readings among which the one that changes least is chosen."""


class Impossible(msgspec.Struct, frozen=True):
    """No values do, whatever is changed."""

    conflict: Conflict


class Changes(msgspec.Struct, frozen=True):
    """The changes and the version with them; fewer will not do."""

    items: Items
    changes: tuple[Change, ...]
    filled: tuple[Change, ...] = ()
    """Readings of added steps that were not in the model or did not fit: no edits of their own."""
    texts: frozenset[Text] = frozenset()
    """What was changed."""
    values: dict[Open, fit.Value] = {}
    """The new values."""
    against: tuple[Conflict, ...] = ()
    """Limits that no values keep; every reading that hangs together with them stays as it is."""
    fewest: bool = True
    """Fewer changes will not do."""
    gave_up: str = ""
    """Where the search for values ended early: why. The readings that it was about stay as they are."""


def fewest_changes(
    items: Items,
    read: Callable[[Items], Procedure],
    book: ir.Rulebook,
    added: frozenset[RawStep],
    budget: Budget,
) -> Changes:
    """The changes. ``read`` puts a version on the vocabulary; ``added`` are steps that are new.

    Closures are mended one after the other, and in each the readings that no limit joins apart from each other.
    """
    found = Changes(items, ())
    procedure = read(items)
    new = frozenset(at for at, (_, step) in enumerate(leaves(items)) if step in added)
    for closure in procedure.closures:
        seen = [each.index for each in procedure.occurrences if _is_seen(each, procedure, book, closure)]
        before = len(found.texts)
        for opened in _parts(procedure, book, closure):
            fresh = frozenset(at for at, number in enumerate(seen) if number in new)
            one = _Mending(found.items, opened.view.procedure, opened, fresh, budget, seen).run()
            if isinstance(one, Impossible):
                found = msgspec.structs.replace(found, against=(*found.against, one.conflict))
            elif isinstance(one, GaveUp):
                found = msgspec.structs.replace(found, gave_up=found.gave_up or one.reason)
            else:
                found = _both(found, one)
        procedure = read(found.items) if len(found.texts) > before else procedure
    return found


def _parts(procedure: Procedure, book: ir.Rulebook, closure: str) -> list[Opened]:
    """The readings that limits look at, in parts that neither a limit nor a text joins."""
    own = View(procedure, book, closure).procedure
    granted = facts_again(own, book)
    opened = open_readings(procedure, book, closure, assume=granted, wanted=given_readings(own))
    joined: dict[str, str] = {where.name: where.name for where in opened.domains}

    def root(name: str) -> str:
        while joined[name] != name:
            name = joined[name]
        return name

    texts: dict[Text, str] = {}
    for where in opened.domains:
        joined[root(where.name)] = root(texts.setdefault(_text_of(opened.view.procedure, where), where.name))
    for constraint in opened.constraints:
        for other in constraint.scope[1:]:
            joined[root(other)] = root(constraint.scope[0])
    parts: dict[str, Opened] = {}
    for where, domain in opened.domains.items():
        part = parts.setdefault(root(where.name), msgspec.structs.replace(opened, domains={}, constraints=[]))
        part.domains[where] = domain
    for constraint in opened.constraints:
        if constraint.scope:
            parts[root(constraint.scope[0])].constraints.append(constraint)
    return list(parts.values())


def _both(found: Changes, one: Changes) -> Changes:
    return msgspec.structs.replace(
        found, items=one.items, changes=_joined(found.changes, one.changes), filled=_joined(found.filled, one.filled),
        texts=found.texts | one.texts, values={**found.values, **one.values}, fewest=found.fewest and one.fewest,
    )  # fmt: skip


def again(changes: Changes, items: Items, wanted: Callable[[RawStep], bool]) -> Changes:
    """The same changes in another version, in which the wanted steps, those of the changes among them, come alike."""
    old = {path: number for number, path in enumerate(path for path, step in leaves(changes.items) if wanted(step))}
    made: list[tuple[Change, ...]] = []
    for each in (changes.changes, changes.filled):
        done = []
        for change in each:
            path, step = [(path, step) for path, step in leaves(items) if wanted(step)][old[change.at]]
            step = set_reading(step, change.reading, change.side, change.after)
            items = exchanged(items, path, step)
            done.append(msgspec.structs.replace(change, step=step, at=path))
        made.append(tuple(done))
    return msgspec.structs.replace(changes, items=items, changes=made[0], filled=made[1])


def _is_seen(each: Occurrence, procedure: Procedure, book: ir.Rulebook, closure: str) -> bool:
    return len(procedure.closures) == 1 or each.closure in ("", closure) or book.steps[each.step].site


def _joined(first: tuple[Change, ...], then: tuple[Change, ...]) -> tuple[Change, ...]:
    """Changes one after the other; a text that two closures share is changed once."""
    again = {(each.at, each.reading, each.side): each for each in then}
    kept = [each for each in first if (each.at, each.reading, each.side) not in again]
    return (*kept, *then)


class _Mending:
    """One version whose readings are being mended."""

    def __init__(
        self, items: Items, procedure: Procedure, opened: Opened, added: frozenset[int], budget: Budget,
        seen: Sequence[int],
    ) -> None:  # fmt: skip
        self.items, self.procedure, self.opened, self.added, self.budget = items, procedure, opened, added, budget
        self.seen = seen
        """The place in the whole plan of each step that the closure sees."""
        self.typed: dict[Text, list[Open]] = {}
        self.values: dict[Open, fit.Value] = {}
        self.empty: list[Text] = []
        for where in opened.domains:
            text = _text_of(procedure, where)
            value = _value(procedure, where)
            if value is not None:
                self.values[where] = as_in(opened.domains[where], value)
            elif where.at not in added and text not in self.empty:
                self.empty.append(text)
            self.typed.setdefault(text, []).append(where)

    def run(self) -> Changes | Impossible | GaveUp:
        """The smallest set of texts to let go: conflicts of what is held, each broken by one of its texts."""
        free = [text for text in self.typed if text[0] in self.added]
        held = [text for text in self.typed if text not in free and text not in self.empty]
        wave: list[frozenset[Text]] = [frozenset()]
        seen, fewest, whole = set(wave), True, True
        while wave:
            following: list[frozenset[Text]] = []
            able: list[frozenset[Text]] = []
            for gone in wave:
                answer = best(self._problem([text for text in held if text not in gone]), (), self.budget)
                if isinstance(answer, GaveUp):
                    return answer
                if not isinstance(answer, NoSolution):
                    able.append(gone)
                    continue
                labels = {label.id for label in answer.conflict}
                named = [text for text in held if _name(text) in labels]
                texts = [text for text in named if not self._only_says_whether(text, labels)] or named
                if not texts:
                    return Impossible(conflict_of(self.opened, answer))
                more = [gone | {text} for text in texts if gone | {text} not in seen]
                seen.update(more)
                following += more
            if able:
                least = self._least(held, able[:MOST_CHOICES], free)
                return msgspec.structs.replace(least, fewest=fewest) if isinstance(least, Changes) else least
            fewest, whole = fewest and whole, len(following) <= MOST_WAYS
            wave = following[:MOST_WAYS]
        return GaveUp("no readings were found that keep every limit")

    def _only_says_whether(self, text: Text, labels: Collection[str]) -> bool:
        """Whether every limit of a conflict that looks at a word asks by it whether it applies, and nothing of it."""
        name = (self.procedure.occurrences[text[0]].step, text[1])
        limits = [bound.what for each in labels for bound in self.opened.bound.get(each, ())]
        looking = [what for what in limits if name in readings_in(what)]
        return bool(looking) and all(name in premises(what) for what in looking)

    def _least(self, held: list[Text], able: list[frozenset[Text]], free: list[Text]) -> Changes | GaveUp:
        """Of equally many readings those that change least: no word where a number will do, then by how far."""
        found = [self._near(held, gone, free) for gone in able]
        changed = [each for each in found if isinstance(each, Changes)]
        return min(changed, key=self._size) if changed else found[0]

    def _size(self, changes: Changes) -> tuple[object, ...]:
        words, far = 0, Fraction(0)
        for text in [*changes.texts]:
            for where in self.typed[text]:
                was, now = self.values.get(where), changes.values.get(where)
                if isinstance(was, Fraction) and isinstance(now, Fraction):
                    far += abs(now - was) / (abs(was) or 1)
                elif was is not None:
                    words += 1
        return (words, far, [-text[0] for text in sorted(changes.texts)])

    def _problem(self, held: list[Text], pinned: Mapping[Open, fit.Value] = {}) -> fit.Problem:
        pins: list[fit.Constraint] = []
        for text in held:
            for where in self.typed[text]:
                if where in self.values:
                    pins.append(fit.Table((where.name,), ((self.values[where],),), fit.Label(_name(text))))
        pins += [fit.Table((where.name,), ((value,),)) for where, value in pinned.items()]
        pins += self._one_text()
        return self.opened.problem(pins)

    def _one_text(self) -> list[fit.Constraint]:
        """What one text says for both sides stays equal."""
        same: list[fit.Constraint] = []
        for wheres in self.typed.values():
            for other in wheres[1:]:
                if not isinstance(self.opened.domains[other][0], str):
                    terms = {wheres[0].name: Fraction(1), other.name: Fraction(-1)}
                    same.append(fit.Linear(terms, "=", Fraction(0)))
        return same

    def _near(self, held: list[Text], gone: frozenset[Text], free: list[Text]) -> Changes | GaveUp:
        kept = [text for text in held if text not in gone]
        pinned: dict[Open, fit.Value] = {}
        for text in (*sorted(gone), *self.empty, *free):
            if text in self.empty and not self._is_asked_for(text, pinned):
                continue
            for where in self.typed[text]:
                if self._stays(where, kept, pinned):
                    pinned[where] = self.values[where]
                    continue
                left = remaining(self._problem(kept, pinned), self.budget, (where.name,))
                if isinstance(left, NoSolution):
                    return GaveUp("the readings let go leave nothing")
                if isinstance(left, GaveUp):
                    return left
                pinned[where] = self._chosen(where, left)
        return self._changes(pinned)

    def _is_asked_for(self, text: Text, pinned: Mapping[Open, fit.Value]) -> bool:
        """Whether a limit cannot be judged without a reading that is not written; of a braid nobody asks its bar."""
        tried = {where: _as_read(value) for where, value in pinned.items()}
        for bounds in self.opened.bound.values():
            for each in bounds:
                looks = any(where in self.typed[text] for where in asked_by(self.opened, each))
                if looks and truth(each.what, each.env.trying(tried), each.side).level not in (YES, OPEN):
                    return True
        return False

    def _stays(self, where: Open, kept: list[Text], pinned: Mapping[Open, fit.Value]) -> bool:
        """Whether a reading that was let go, or came with a step of the model, may be what it is."""
        wanted = self.values.get(where)
        if wanted is None or wanted not in self.opened.domains[where]:
            return False
        return isinstance(first(self._problem(kept, {**pinned, where: wanted}), self.budget), Solution)

    def _chosen(self, where: Open, left: Remaining) -> fit.Value:
        values, wanted = left.values[where.name], self.values.get(where)
        if isinstance(wanted, Fraction):
            return nearest(values, wanted)
        return wanted if wanted is not None and wanted in values else values[0]

    def _changes(self, pinned: Mapping[Open, fit.Value]) -> Changes:
        items = self.items
        found: list[Change] = []
        filled: list[Change] = []
        texts: set[Text] = set()
        for text, wheres in self.typed.items():
            new = pinned.get(wheres[0])
            if new is None or new == self.values.get(wheres[0]):
                continue
            at, reading, side = text
            path, step = leaves(items)[self.seen[at]]
            word = self.opened.word(wheres[0])
            said = new if isinstance(new, str) else show(new, word.kind, word.unit)
            before = self.procedure.occurrences[at].texts.get((reading, side), ("", None))[0]
            texts.add(text)
            changed = set_reading(step, reading, side, said)
            items = exchanged(items, path, changed)
            (filled if at in self.added else found).append(Change(changed, path, reading, side, before, said))
        return Changes(items, tuple(found), tuple(filled), frozenset(texts), dict(pinned))


def _text_of(procedure: Procedure, where: Open) -> Text:
    texts = procedure.occurrences[where.at].texts
    side = (
        where.side
        if (where.reading, where.side) in texts
        or (where.reading, "") not in texts
        and any(name == where.reading for name, _ in texts)
        else ""
    )
    return (where.at, where.reading, side)


def _as_read(value: fit.Value) -> Value:
    return Words((value,)) if isinstance(value, str) else exactly(value)


def _name(text: Text) -> str:
    return f"text {text[0]}.{text[1]}.{text[2]}"


def _value(procedure: Procedure, where: Open) -> fit.Value | None:
    readings = procedure.occurrences[where.at].readings
    value = readings.get((where.reading, where.side), readings.get((where.reading, "")))
    if isinstance(value, Words) and len(value.options) == 1:
        return value.options[0]
    return value.low if isinstance(value, Span) and value.exact else None

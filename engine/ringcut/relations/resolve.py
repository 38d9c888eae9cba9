"""From a procedure as typed to one on the vocabulary: names, sides, measures, times, the order as written.

Every problem is told at its place; nothing is guessed. What only the doing can tell is refused in a plan, with the
values that will conform.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from fractions import Fraction

from ringcut.language import ir
from ringcut.reading.measures import Refusal, read_measure, read_yes_no
from ringcut.reading.phrase import Phrase
from ringcut.reading.problems import Problem
from ringcut.reading.procedurekeys import DOCUMENT_KEYS, STEP_KEYS
from ringcut.reading.raw import RawGroup, RawProcedure, RawReading, RawStep
from ringcut.reading.suggest import canonical, near
from ringcut.relations.accepting import accepted, guards_of, wanted_by
from ringcut.relations.lasting import settle
from ringcut.relations.meant import meant
from ringcut.relations.order import Cycle, plan_order
from ringcut.relations.procedure import NotDone, Occurrence, Procedure
from ringcut.relations.spans import Words
from ringcut.relations.times import Clock, read_date, read_time, read_zone
from ringcut.relations.values import ValueReader
from ringcut.relations.view import View

STATUSES = ("done", "not-done", "not-applicable", "not-recorded")
_SOME_DAY = date(2000, 1, 1)
"""For looking whether there is a zone of that name."""
ADMINISTRATIVE = ("reference", "date", "contractor", "district", "timezone", "sides", "closures")
"""Job facts that every vocabulary has."""


def resolve(raw: RawProcedure, book: ir.Rulebook, problems: list[Problem]) -> Procedure:
    """Look every name up and read every measure; what is wrong is added to ``problems``."""
    return _Resolving(raw, book, problems).procedure()


class _Resolving(ValueReader):
    """One procedure being resolved."""

    def __init__(self, raw: RawProcedure, book: ir.Rulebook, problems: list[Problem]) -> None:
        self.raw, self.book, self.problems = raw, book, problems
        self.plan = raw.kind != "log"
        self.result = Procedure(
            self.plan,
            {},
            {},
            [],
            edges=[],
            not_done=[],
            assumptions=[],
            displaced=[],
            displacing=[],
            place=raw.place,
            digest=raw.digest,
        )
        self.ids: dict[str, int] = {}
        self.pending: list[tuple[int, RawStep]] = []
        self.lasting: list[tuple[Occurrence, Occurrence]] = []

    def procedure(self) -> Procedure:
        self._job()
        self._keys()
        self.clock = self._clock()
        self._sequence(self.raw.steps, [])
        self._after()
        settle(self.result, self.lasting)
        if self.plan and not self.problems:
            self._cycles()
        self.result.zone = self.clock.zone or 0
        # a log without times was done on the date of its job
        day = self.clock.first_day or (None if self.plan else self.clock.day)
        if day:
            self.result.day = day.isoformat()
        if len(self.clock.mixed) == 2 and (self.clock.day is None or not self.clock.zone_given):
            self._problem(self.raw.place, "bare times stand beside full ones", "date and timezone in the job")
        return self.result

    # the job

    def _job(self) -> None:
        result = self.result
        sides = next((each for each in self.raw.job if canonical(each.name.text) == "sides"), None)
        result.sides = tuple(item.text for item in sides.items) if sides and sides.items else self.book.sides
        for given in self.raw.job:
            name = canonical(given.name.text)
            if name in ("sides", "closures"):
                continue
            word = self.book.facts.get(name)
            if word is None and name in ADMINISTRATIVE:
                word = ir.Word(name, "text")
            if word is None or word.means is not None or name == "month":
                self._not_a_fact(given.name, name, word)
                continue
            if given.value is not None:
                result.job_texts[name] = (given.value.text, given.value.place)
            for side, value in self._values(given, word, result.sides):
                result.job[name, side] = value
        reference = result.job_texts.get("reference")
        result.reference = reference[0] if reference else ""

    def _not_a_fact(self, phrase: Phrase, name: str, word: ir.Word | None) -> None:
        if name in DOCUMENT_KEYS:
            self._problem(phrase.place, f"{phrase.text} is not a job fact", "", f"{name} stands beside job, not in it")
        elif word is not None or name == "month":
            typed = _synonyms(self.book.facts).get(phrase.text.strip().casefold())
            hint = f"if it is the {typed}, write {typed}; else delete it" if typed else "delete it"
            self._problem(phrase.place, f"{phrase.text} follows from other job facts", "", hint)
        else:
            self._unknown(phrase, "job fact", [*self.book.facts, *ADMINISTRATIVE], _synonyms(self.book.facts))

    def _keys(self) -> None:
        keys = self.raw.keys
        records = self._one_of("records", ("every-step", "milestones"))
        self.result.milestones = records == "milestones"
        self.stamp = self._one_of("stamp", ("finished", "started")) or "finished"
        self.result.rows_in_order = self._yes(keys.get("sorted"), "sorted", True)
        self.result.finished = self._yes(keys.get("finished"), "finished", True)
        if self.stamp == "started":
            self.result.assumptions.append("times are when steps began; the end of a step is not written")

    def _one_of(self, key: str, choices: tuple[str, ...]) -> str:
        phrase = self.raw.keys.get(key)
        if phrase is None:
            return ""
        if canonical(phrase.text) not in choices:
            self._problem(phrase.place, f"{key}: {phrase.text}", " or ".join(choices))
            return ""
        return canonical(phrase.text)

    def _yes(self, phrase: Phrase | None, name: str, default: bool) -> bool:
        if phrase is None:
            return default
        answer = read_yes_no(phrase.text)
        if answer is None:
            self._problem(phrase.place, f"{name}: {phrase.text}", "yes or no")
            return default
        return answer

    def _clock(self) -> Clock:
        date_text, zone_text = (self.result.job_texts.get(name) for name in ("date", "timezone"))
        day = read_date(date_text[0]) if date_text else None
        if date_text and day is None:
            self._problem(date_text[1], f"date: {date_text[0]}", "a date as 2026-03-01")
        zone = read_zone(zone_text[0], day or _SOME_DAY) if zone_text else None
        if zone_text and zone is None:
            self._problem(
                zone_text[1], f"timezone: {zone_text[0]}", "an offset as -05:00, or a zone as America/Chicago"
            )
        named = zone_text[0] if zone_text and zone is not None and not day else ""
        return Clock(day, zone if day else None, self.result.assumptions, self.result.rows_in_order, named)

    # the steps

    def _sequence(self, items: tuple[RawStep | RawGroup, ...], above: list[int]) -> tuple[list[int] | None, list[int]]:
        """Read items in sequence behind ``above``; the entries of the first item, and the exits of the last."""
        entries: list[int] | None = None
        for item in items:
            if isinstance(item, RawGroup):
                exits: list[int] = []
                firsts: list[int] = []
                for branch in item.branches:
                    first, last = self._sequence(branch, above)
                    firsts += first or []
                    exits += last if branch else []
                entries = firsts if entries is None else entries
                above = exits or above
                continue
            index = self._step(item)
            if index is None:
                continue
            if item.after is None:
                self.result.edges += [(earlier, index) for earlier in above]
            else:
                self.pending.append((index, item))
                self.result.displaced += above
                self.result.displacing += [index] * len(above)
            entries = [index] if entries is None else entries
            above = [index]
        return entries, above

    def _after(self) -> None:
        names: dict[str, list[int]] = {}
        for each in self.result.occurrences:
            names.setdefault(each.step, []).append(each.index)
        for index, item in self.pending:
            for phrase in item.after or ():
                wanted = canonical(phrase.text)
                target = self.ids.get(wanted)
                steps = names.get(self.book.synonyms.get(wanted, wanted), [])
                if target is None and len(steps) == 1:
                    target = steps[0]
                if target is None and len(steps) > 1:
                    self._problem(phrase.place, f"after {phrase.text}: it is done {len(steps)} times", "the id of one")
                elif target is None:
                    self._unknown(phrase, "step or id", [*self.ids, *names], self.book.synonyms)
                else:
                    self.result.edges.append((target, index))

    def _cycles(self) -> None:
        try:
            plan_order(len(self.result.occurrences), self.result.edges)
        except Cycle as cycle:
            path = [self.result.occurrences[index] for index in cycle.path]
            told = " -> ".join(f"{each.label} (line {each.place.line})" for each in path)
            self._problem(path[0].place, "these steps wait for each other", told, "take one of the «after» away")

    def _step(self, item: RawStep) -> int | None:
        sides = self._sides(item)
        name = self._step_name(item.do, sides)
        step = self.book.steps.get(name)
        if step is None:
            return None
        result = self.result
        closure = "" if item.closure is None else item.closure.text
        status = canonical(item.status.text) if item.status else "done"
        if status not in STATUSES:
            assert item.status is not None
            self._unknown(item.status, "status", STATUSES)
            status = "done"
        if status != "done":
            if item.reason is None:
                self._problem(item.place, f"{name} is {status} without a reason", "reason: why")
            reason = item.reason.text if item.reason else ""
            result.not_done.append(NotDone(name, status, reason, sides, closure, item.place))
            return None
        index = len(result.occurrences)
        each = Occurrence(
            index,
            name,
            sides,
            item.place,
            canonical(item.id.text) if item.id else "",
            closure,
            tuple(phrase.text for phrase in item.by),
            optional=self._yes(item.optional, "optional", False),
            readings={},
            texts={},
            evidence=tuple(phrase.text for phrase in item.evidence),
            note=item.note.text if item.note else "",
            unlisted=item.unlisted,
        )
        result.occurrences.append(each)
        self._name(each, item)
        self._times(each, item)
        for given in item.readings:
            self._reading(each, step, given, given.name.place.line == item.do.place.line)
        if not self.plan and step.lasting and each.begin is not None and each.finish != each.begin:
            self._lasting(each, step)
        return index

    def _step_name(self, said: Phrase, sides: tuple[str, ...]) -> str:
        """The step that is meant; empty, with a problem, where none is or the job does not say which."""
        word = canonical(said.text)
        if word not in self.book.shared:
            name = self.book.synonyms.get(word, word)
            if name not in self.book.steps:
                self._unknown(said, "step", self.book.steps, self.book.synonyms)
            return name
        found = meant(word, sides, View(self.result, self.book))
        if len(found) == 1:
            return found[0]
        hint = "write which of them, or give the job's facts, and the side where the ends differ"
        self._problem(said.place, f"{said.text} may be {' or '.join(found)}", "the name of one step", hint)
        return ""

    def _lasting(self, each: Occurrence, step: ir.Step) -> None:
        """A step that lasts begins at ``started``; the step that ends it is done at ``at``, unless a row says when."""
        finish, each.finish = each.finish, each.begin
        end = Occurrence(len(self.result.occurrences), step.lasting, each.sides, each.place, readings={}, texts={})
        end.closure, end.by, end.begin, end.finish = each.closure, each.by, finish, finish
        end.implied = True
        self.result.occurrences.append(end)
        self.lasting.append((each, end))

    def _name(self, each: Occurrence, item: RawStep) -> None:
        if not each.id:
            return
        if each.id in self.ids:
            first = self.result.occurrences[self.ids[each.id]].place
            self._problem(
                item.id.place if item.id else item.place,
                f"id {each.id} is used twice",
                f"first in line {first.line}",
            )
        self.ids[each.id] = each.index

    def _sides(self, item: RawStep) -> tuple[str, ...]:
        sides: list[str] = []
        for phrase in item.side:
            found = self._side(phrase)
            sides += [found] if found else []
        return tuple(sides) or self.result.sides

    def _times(self, each: Occurrence, item: RawStep) -> None:
        if self.plan:
            for phrase in (item.at, item.started):
                if phrase is not None:
                    self._problem(
                        phrase.place,
                        "a time in a plan",
                        "times are for logs",
                        "delete it, or write procedure: log",
                    )
            return
        found: dict[str, Fraction] = {}
        for key, phrase in (("started", item.started), ("at", item.at)):
            if phrase is None:
                continue
            instant = read_time(phrase.text)
            if instant is None:
                self._problem(
                    phrase.place,
                    f"{key}: {phrase.text} is no time",
                    "14:05, 2:05 pm or 2026-03-01T14:05:00-05:00",
                )
                continue
            if instant.leap:
                self.result.assumptions.append(
                    f"{each.label}: {phrase.text} is a leap second, read as the second after"
                )
            if item.unlisted and instant.bare and self.clock.several_days:
                self._problem(phrase.place, f"{key}: {phrase.text} may be on either day: the log passes midnight")
                continue
            found[key] = self.clock.seconds(instant, each.label, listed=not item.unlisted)
        each.begin = found.get("started", found.get("at"))
        each.finish = found.get("at", each.begin if self.stamp == "started" else None)
        if each.begin is not None and each.finish is None:
            each.finish = each.begin
            self.result.assumptions.append(f"{each.label}: begun at {item.started}; its end is not written")
        if each.begin is not None and each.finish is not None and each.finish < each.begin:
            self._problem(item.place, f"{each.label} ends before it begins", f"{item.started} to {item.at}")

    # readings

    def _reading(self, each: Occurrence, step: ir.Step, given: RawReading, in_line: bool) -> None:
        name = canonical(given.name.text)
        word = step.readings.get(name)
        if word is None:
            self._no_reading(step, given)
            return
        if self.plan and not word.planned:
            text = given.value.text if given.value else "..."
            how = f"Take {given.name.text} out" if in_line else "Delete the line"
            self._problem(
                given.value.place if given.value else given.name.place,
                f"{given.name.text}: {text}",
                "a plan cannot hold a reading that is only known when the step is done",
                f"{how}; {_will_print(step, word, self.book)}",
            )
            return
        for side, value in self._values(given, word, each.sides):
            each.readings[name, side] = value
        pairs = [("", given.value)] if given.value else [(side.text, phrase) for side, phrase in given.sides]
        for label, phrase in pairs:
            if phrase is not None:
                each.texts[name, label] = (phrase.text, phrase.place)
                self._qualified(each, step, word, phrase)

    def _qualified(self, each: Occurrence, step: ir.Step, word: ir.Word, phrase: Phrase) -> None:
        if not word.qualifier or word.qualifier not in step.readings:
            return
        found = read_measure(phrase.text, word.kind, plan=self.plan)
        if not isinstance(found, Refusal) and found.qualifier:
            each.readings.setdefault((word.qualifier, ""), Words((found.qualifier,)))

    def _no_reading(self, step: ir.Step, given: RawReading) -> None:
        name = canonical(given.name.text)
        known = [*step.readings, *STEP_KEYS]
        close = near(name, known, _synonyms(step.readings))
        owners = [other.name for other in self.book.steps.values() if name in other.readings]
        hint = f"Did you mean {close}?" if close else f"it belongs to {' or '.join(owners[:3])}" if owners else ""
        self._problem(given.name.place, f"{step.name} has no reading {given.name.text}", ", ".join(step.readings), hint)


def _synonyms(words: Mapping[str, ir.Word]) -> dict[str, str]:
    return {other: word.name for word in words.values() for other in word.also}


def _will_print(step: ir.Step, word: ir.Word, book: ir.Rulebook) -> str:
    guards = [guard for _, guard, _ in guards_of(step, wanted_by(book.rules, book))]
    wanted = accepted(guards, step.readings).get(word.name) if guards else ""
    if wanted:
        return f"the card will print «{wanted}» with a blank"
    return "the card will print a blank for it"

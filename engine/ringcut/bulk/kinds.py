"""What is known of one kind of job: the levels of its rules for runs of letters and outcomes of checks.

Rules that look at the same entries are judged together (``groups``). A run of all letters remembers which of what they
know belong together, and after some uses compares in one function.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Container, Iterator, Mapping, Sequence
from functools import partial

import msgspec

from ringcut.bulk.chains import Chains
from ringcut.bulk.checks import Checks, Maker
from ringcut.bulk.cutting import HAND, Cut
from ringcut.bulk.entries import Entry
from ringcut.bulk.frames import Frame
from ringcut.bulk.functions import Alike, Ends, Function
from ringcut.bulk.groups import Crew, Group, Local, Log, compact, numbered
from ringcut.bulk.letters import Alphabet
from ringcut.bulk.places import Wanted
from ringcut.bulk.seen import NOT_APPLICABLE, Seen, named
from ringcut.bulk.strips import Strip
from ringcut.bulk.vocabulary import Vocabulary
from ringcut.language import ir
from ringcut.relations.evaluate import truth
from ringcut.relations.truth import NO

MOST_PLAIN = 10_000
"""What groups of one kind of job know without checks, that is kept when runs are dropped."""
MOST_CREWS = 1000
"""Sets of hands that are kept for one run of letters."""
OFTEN = 16
"""Times that outcomes of a run must be met, at first, before they are worth a function of their own."""
MOST_USUAL = 4
"""Outcomes of one run of letters that logs are asked for."""
Outcomes = tuple[int, ...]
"""The number of the outcome of each part of a run."""


class Judged(msgspec.Struct, frozen=True, eq=False):
    """A code for each name of a rule (see ``seen``), and whether the rulebook lacks rules for the job."""

    codes: bytes
    uncovered: bool


class Result:
    """The verdicts on logs of one outcome, and how often it was met."""

    __slots__ = ("judged", "met")

    def __init__(self, judged: Judged) -> None:
        self.judged, self.met = judged, 0


class Tally:
    """How many functions there are for usual outcomes, and how often these must be met before there is one."""

    __slots__ = ("functions", "often")

    def __init__(self) -> None:
        self.functions, self.often = 0, OFTEN


class Run:
    """What is known of one run of all letters of a log."""

    __slots__ = ("codes", "ends", "locals", "places", "results", "tally", "usual")

    def __init__(self, codes: bytes, parts: Mapping[Local, Sequence[int]], seen: Seen, tally: Tally) -> None:
        """``codes`` of the rules that no reading and no time can change; ``parts``: where the others look."""
        self.codes, self.locals, self.places, self.tally = codes, tuple(parts), tuple(parts.values()), tally
        self.results: dict[Outcomes, Result] = {}
        self.usual: list[tuple[Function, Result]] = []
        """The outcomes that are met most often, those first."""
        done = compact(seen.places)
        self.ends: Ends = (done[0], done[-1], len(done), done) if done else (0, 0, 0, done)

    def outcomes(self, log: Log) -> Outcomes:
        """The number of the outcome of each part."""
        entries, times, numbers, view = log
        first, last, count, done = self.ends
        return tuple(
            [
                local.usual
                if (alike := local.alike) is not None
                and alike(entries, times, numbers, view, first, last, count, done, at)
                else local.outcome(log, self.ends, at)
                for local, at in zip(self.locals, self.places, strict=True)
            ]
        )

    def looked(self) -> set[int]:
        """The places of the entries whose readings are looked at."""
        return {at[k] for local, at in zip(self.locals, self.places, strict=True) for k in local.checks.looked}

    @property
    def met(self) -> int:
        """How many logs had this run."""
        return sum(result.met for result in self.results.values())

    def keep_usual(self) -> int:
        """Drop the functions for outcomes that were not met so often; how many are left."""
        self.usual = [(alike, result) for alike, result in self.usual if result.met >= self.tally.often]
        return len(self.usual)

    def keep(self) -> None:
        """Drop outcomes that were met once, where there are others."""
        kept = {outcomes: result for outcomes, result in self.results.items() if result.met > 1}
        self.results = kept or self.results

    def result(self, log: Log) -> Result | Outcomes:
        """What logs of these outcomes get; the outcomes, where they were not met before."""
        for alike, result in self.usual:
            if alike(*log, *self.ends):
                result.met += 1
                return result
        outcomes = self.outcomes(log)
        found = self.results.get(outcomes)
        if found is None:
            return outcomes
        self.meet(outcomes, found)
        return found

    def meet(self, outcomes: Outcomes, result: Result) -> None:
        """Take note of outcomes that are met once more, and are none of the usual ones."""
        result.met += 1
        least = self.usual[-1][1].met if len(self.usual) == MOST_USUAL else 0
        if result.met < max(self.tally.often, 2 * least):
            return
        self.tally.functions += 1 - len(self.usual[MOST_USUAL - 1 :])
        del self.usual[MOST_USUAL - 1 :]
        self.usual.append((self._alike(outcomes), result))
        self.usual.sort(key=lambda each: -each[1].met)

    def _alike(self, outcomes: Outcomes) -> Function:
        alike = Alike(self.ends)
        for local, at, number in zip(self.locals, self.places, outcomes, strict=True):
            alike.add(local.checks.items, local.checks.names, at, local.outcomes[number])
        return alike.function()


class Crewed:
    """Runs of the same letters by who did what: who is who matters, not what they are called."""

    def __init__(self, steps: Sequence[str], people: Container[str]) -> None:
        self.runs: dict[Crew, Run] = {}
        self.places = compact([place for place, step in enumerate(steps) if step in people])
        """Where it matters who did it."""
        self._alone: Crew = ((0,),) * len(self.places)
        self._known: dict[tuple[tuple[str, ...], ...], Crew] = {}

    def crew(self, entries: Sequence[Entry], parts: Cut) -> Crew:
        """Who did the entries for which it matters, by number."""
        if parts.alone or not self.places:
            return self._alone
        names = tuple([entries[place].by for place in self.places])
        found = self._known.get(names)
        if found is None:
            found = numbered(named(each, parts.hand) for each in names)
            if len(self._known) < MOST_CREWS and all(each in ((), (HAND,)) for each in names):
                self._known[names] = found
        return found


class Kind:
    """One kind of job."""

    def __init__(self, vocabulary: Vocabulary, frame: Frame, tally: Tally) -> None:
        self.vocabulary, self.book, self.tally = vocabulary, vocabulary.book, tally
        self.alphabet = Alphabet(vocabulary, frame.view)
        self.wanted: Wanted = []
        self.maker = Maker(vocabulary, self.wanted)
        self.groups = self._groups(frame)
        self.entries: dict[str, Entry] = {}
        self.letters: dict[str, int] = {}
        """The entries that were met and their letters, by their text."""
        self.runs: dict[bytes, Crewed] = {}
        self.uncovered = frame.uncovered
        self.locals = 0
        self._chains: Chains[Run] = Chains()
        self.learnt = 0
        """How many runs and outcomes were met for the first time."""
        self._results: dict[bytes, Judged] = {}
        self._met = 0

    def _groups(self, frame: Frame) -> list[Group]:
        together: dict[object, list[int]] = {}
        for place, rule in enumerate(self.book.rules):
            sides = frame.view.sides if rule.sided else ("",)
            if rule.when is not None and all(truth(rule.when, frame.view, side).level == NO for side in sides):
                continue
            looks = self.vocabulary.footprints[place]
            alone = looks.units or looks.spans or looks.lapsing or isinstance(rule.form, ir.Pattern)
            key = place if alone else (looks.steps, looks.people, looks.roles, looks.latest)
            together.setdefault(key, []).append(place)
        found = []
        for places in together.values():
            rules = [self.book.rules[place] for place in places]
            found.append(Group(rules, places, self.vocabulary.footprints[places[0]]))
        return found

    def meet(self) -> None:
        """Tell every group of letters that are new."""
        alphabet = self.alphabet
        for letter in range(self._met, len(alphabet.steps)):
            for group in self.groups:
                group.meet(letter, alphabet.steps[letter], alphabet.marked[letter], alphabet.ways[letter])
        self._met = len(alphabet.steps)

    def judged(
        self, letters: bytes, frame: Frame, parts: Cut, times: Sequence[int], glance: Strip | None = None
    ) -> Judged | None:
        """The verdicts on a log whose entries were all met; ``glance``: its pieces, to be known by.

        None where nothing was done: rules that look at no entry of theirs still ask whether there is one.
        """
        entries = [self.entries[text] for text in parts.entries]
        crewed = self.runs.get(letters)
        if crewed is None:
            if all(entry.status != "done" for entry in entries):
                return None
            crewed = self.runs[letters] = Crewed([entry.step for entry in entries], self.vocabulary.people)
        crew = crewed.crew(entries, parts)
        run, seen = crewed.runs.get(crew), None
        if run is None:
            seen = Seen(frame, parts, entries, times, self.book)
            run = crewed.runs[crew] = self._run(letters, dict(zip(crewed.places, crew, strict=True)), seen)
        found = run.result((entries, times, self._numbers(frame), frame.view))
        if not isinstance(found, Result):
            self.learnt += 1
            outcomes = found
            codes = self._codes(run, outcomes, seen or Seen(frame, parts, entries, times, self.book))
            found = run.results[outcomes] = Result(self._results.setdefault(codes, Judged(codes, self.uncovered)))
            run.meet(outcomes, found)
        # a run that was met before, since most flaws come once; and none whose day its first entry does not say
        if glance is not None and parts.alone and seen is None and entries[0].status == "done":
            self._chains.meet(glance, letters, entries, run, run.looked())
        return found.judged

    def all_runs(self) -> Iterator[Run]:
        """Every run, by whomever it was done."""
        return (run for crewed in self.runs.values() for run in crewed.runs.values())

    def keep(self, wanted: Callable[[Run], bool]) -> None:
        """Drop the runs that are not wanted, and what groups know of one run only."""
        for crewed in self.runs.values():
            crewed.runs = {crew: run for crew, run in crewed.runs.items() if wanted(run)}
        self.runs = {letters: crewed for letters, crewed in self.runs.items() if crewed.runs}
        self._results = {}
        for run in self.all_runs():
            run.keep()
            self._results |= {result.judged.codes: result.judged for result in run.results.values()}
        plain = sum(len(group.known) for group in self.groups) - self.locals <= MOST_PLAIN
        self.locals = 0
        for group in self.groups:
            group.known = {
                seen: local
                for seen, local in group.known.items()
                if (plain if isinstance(local, bytes) else local.runs > 1)
            }
            self.locals += sum(isinstance(local, Local) for local in group.known.values())
        self._chains.keep({*self.all_runs()}.__contains__)

    def glanced(self, glance: Strip, frame: Frame, learn: Callable[[Kind, Sequence[str]], bool]) -> Judged | None:
        """The verdicts on a log by its pieces alone; None where it has to be read.

        ``learn``: reads the texts of entries that were not met; whether all could be read.
        """
        met = self._chains.of(glance)
        if met is None:
            taken = self._chains.take(glance, partial(self._read, learn))
            met = self._chains.of(glance) if taken else None
        if met is None:
            return None
        run, entries = met
        found = run.result((entries, glance.times, self._numbers(frame), frame.view))
        return found.judged if isinstance(found, Result) else None

    def _read(
        self, learn: Callable[[Kind, Sequence[str]], bool], strip: Strip, begun: bytes, rest: bytes
    ) -> tuple[int, Entry] | None:
        """The letter of an entry that begins and goes on so, and what it says."""
        try:
            text = begun.decode() + strip.joint + rest.decode()
        except UnicodeDecodeError:
            return None
        known = text in self.letters or learn(self, [text])
        return (self.letters[text], self.entries[text]) if known and text in self.letters else None

    @property
    def pieces(self) -> int:
        """How many pieces are known."""
        return len(self._chains)

    def _numbers(self, frame: Frame) -> Sequence[float]:
        return frame.numbers if len(frame.numbers) == len(self.wanted) else frame.fill(self.wanted)

    def _run(self, letters: bytes, people: dict[int, tuple[int, ...]], seen: Seen) -> Run:
        codes = bytearray([NOT_APPLICABLE]) * len(self.book.rules)
        parts: dict[Local, Sequence[int]] = {}
        again = self._again(letters)
        for group in self.groups:
            looked = group.seen(letters, again)
            key: bytes | tuple[bytes, Crew] = looked
            if group.looks.people:
                key = looked, numbered(people[place] for place in group.at(letters) if place in people)
            local = group.known.get(key)
            if not isinstance(local, bytes):
                at = group.at(letters)
                local = local or self._local(group, key, seen, at)
            if isinstance(local, Local):
                local.runs += 1
                parts[local] = at
                continue
            group.write(local, codes)
        return Run(bytes(codes), parts, seen, self.tally)

    def _again(self, letters: bytes) -> list[int]:
        """The letters of steps that a run has more than once."""
        steps = self.alphabet.steps
        times = Counter(map(steps.__getitem__, letters))
        return [letter for letter in set(letters) if times[steps[letter]] > 1]

    def _local(self, group: Group, key: bytes | tuple[bytes, Crew], seen: Seen, at: Sequence[int]) -> Local | bytes:
        checks = self._checks(group, seen, at)
        if checks.items:
            self.locals += 1
            found: Local | bytes = Local(group, checks)
        else:
            found = seen.judged(group.rules)
        group.known[key] = found
        return found

    def _checks(self, group: Group, seen: Seen, at: Sequence[int]) -> Checks:
        if len(group.rules) > 1:
            return Checks([], {}, set())
        return self.maker.of(group.rules[0], group.looks, seen, at)

    def _codes(self, run: Run, outcomes: Outcomes, seen: Seen) -> bytes:
        codes = bytearray(run.codes)
        for local, number in zip(run.locals, outcomes, strict=True):
            group = local.group
            if number not in local.codes:
                local.codes[number] = seen.judged(group.rules)
            group.write(local.codes[number], codes)
        return self.vocabulary.by_name(bytes(codes))

"""Lines of JSON Lines to verdicts on a rulebook, as long as the lines are written in the usual way."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ringcut.bulk.clocks import times
from ringcut.bulk.cutting import Cut, cut
from ringcut.bulk.entries import Entries
from ringcut.bulk.frames import Frame, Frames
from ringcut.bulk.kinds import Judged, Kind, Run, Tally
from ringcut.bulk.letters import Full
from ringcut.bulk.strips import Strip, strip
from ringcut.bulk.vocabulary import Vocabulary
from ringcut.language import ir

MOST_TEXTS, MOST_RUNS = 17_500, 5_000
"""Texts of entries, and runs of letters with what is known of them, that are kept before the half of the runs that was
met most seldom is dropped."""
MOST_FUNCTIONS = 400
"""Functions that ask for usual outcomes; where there are more, only twice as usual ones have one."""
MOST_FRAMES = 2_000
"""Jobs that are kept apart because a rule sees a difference, were it only in a number."""


class Bulk:
    """Judges lines on one rulebook; what it has learnt of earlier lines makes later ones quick."""

    def __init__(self, book: ir.Rulebook) -> None:
        self.book = book
        self.vocabulary = Vocabulary(book)
        self._forget()

    @property
    def rules(self) -> tuple[tuple[str, str], ...]:
        """The name and the class of each rule, in the order of codes."""
        first = (self.book.rules[places[0]] for places in self.vocabulary.named.values())
        return tuple((rule.id, rule.class_) for rule in first)

    def _forget(self) -> None:
        """Begin to learn anew, so that memory stays bounded."""
        compared = {step: tuple(keys) for step, keys in self.vocabulary.compared.items()}
        self.reader = Entries(self.book, compared)
        self.frames = Frames(self.vocabulary)
        self._kinds: dict[tuple[object, ...], Kind] = {}
        self._homes: dict[Frame, Kind] = {}
        self._tally = Tally()
        self._zones: set[str] = set()
        """Zones of lines that were read whole."""

    def judge(self, line: bytes) -> Judged | None:
        """The verdicts on a log; None where it is left to the audit of single logs."""
        glance = strip(line)
        if glance is not None and glance.zone in self._zones:
            frame = self.frames.met(glance)
            home = self._homes.get(frame) if frame is not None else None
            found = home.glanced(glance, frame, self._learn) if home is not None and frame is not None else None
            if found is not None:
                return found
        parts = cut(line)
        clocks = times(line, parts) if parts is not None else None
        if parts is None or clocks is None:
            return None
        return self._judged(line, parts, clocks, glance)

    def _judged(
        self, line: bytes, parts: Cut, clocks: list[int], glance: Strip | None, *, again: bool = True
    ) -> Judged | None:
        frame = self.frames.of(parts)
        if frame is None:
            return None
        kind = self._homes.get(frame) or self._home(frame)
        try:
            letters = bytes(map(kind.letters.__getitem__, parts.entries))
        except KeyError:
            read = again and self._learn(kind, parts.entries)
            return self._judged(line, parts, clocks, glance, again=False) if read else None
        if kind.alphabet.ways[letters[0]][1] != "done" and not _of_one_day(line, parts):
            return None
        if glance is not None:
            self._zones.add(glance.zone)
        learnt = kind.learnt
        judged = kind.judged(letters, frame, parts, clocks, glance)
        if kind.learnt > learnt:
            self._bound()
        return judged

    def _home(self, frame: Frame) -> Kind:
        """The kind of a job that is met for the first time."""
        kind = self._kinds.get(frame.kind)
        if kind is None:
            kind = self._kinds[frame.kind] = Kind(self.vocabulary, frame, self._tally)
        if len(self.frames) > MOST_FRAMES:
            self.frames.forget()
            self._homes.clear()
        self._homes[frame] = kind
        return kind

    def _learn(self, kind: Kind, texts: Sequence[str]) -> bool:
        """Read the entries that a kind of job has not met; whether all could be read."""
        self._bound()
        for text in texts:
            if text in kind.letters:
                continue
            entry = self.reader.read(text)
            if entry is None:
                return False
            try:
                kind.letters[text] = kind.alphabet.letter(entry)
            except Full:
                self._forget()
                return True
            kind.entries[text] = entry
        kind.meet()
        return True

    def _bound(self) -> None:
        """Drop what is seldom met where too much is kept, or everything."""
        if self._tally.functions > MOST_FUNCTIONS:
            self._tally.often *= 2
            self._count_functions()
        if not self._full():
            return
        runs = sorted(self._all_runs(), key=lambda run: run.met)  # of those met as often the oldest stand first
        kept = {*runs[len(runs) // 2 :]}
        for kind in self._kinds.values():
            kind.keep(kept.__contains__)
        self._count_functions()
        if self._full():
            self._forget()

    def _count_functions(self) -> None:
        """Drop the functions for what is no longer usual enough, and count the others."""
        self._tally.functions = sum(run.keep_usual() for run in self._all_runs())

    def _all_runs(self) -> Iterator[Run]:
        return (run for kind in self._kinds.values() for run in kind.all_runs())

    def _full(self) -> bool:
        texts = sum(len(kind.entries) + kind.pieces for kind in self._kinds.values())
        return texts > MOST_TEXTS or self._runs() > MOST_RUNS

    def _runs(self) -> int:
        return sum(len(kind.runs) + kind.locals for kind in self._kinds.values())


def _of_one_day(line: bytes, parts: Cut) -> bool:
    """Whether every time is of the day of the first: the day of a log is that of the first doing."""
    day = parts.day.encode() + b"T"
    return line.count(b'"at":"' + day) + line.count(b'"at": "' + day) == len(parts.entries)

"""Many logs counted only: verdicts over all, and of each rule; no report of a log is made.

A file of lines is cut into stretches of whole lines, which any process can count by itself. What the bulk leaves, and
every other file, is judged as a single log is; so is, with concessions, whatever does not conform.
"""

from __future__ import annotations

import gc
from codecs import BOM_UTF8
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from io import BufferedReader
from pathlib import Path

import msgspec

from ringcut.archive.jsonlines import LONGEST_LINE, next_line
from ringcut.archive.results import Item
from ringcut.archive.work import Bench, Piece, Settings, pieces
from ringcut.bulk.judging import Bulk
from ringcut.bulk.kinds import Judged
from ringcut.bulk.seen import CONFORMS, NONCONFORMING, NOT_APPLICABLE, UNDETERMINED
from ringcut.judge import findings
from ringcut.report.published import Trouble

STRETCH = 4_000_000
"""Bytes of a stretch."""
MOST_AT_ONCE = 2 * STRETCH
"""Bytes of a stretch whose lines are taken as they come, since none of them can fill the memory."""
AT_ONCE = 1 << 20
"""Bytes that are read from a file at once."""
SELDOM = 10_000
"""Containers made, less those freed, between two looks for garbage; a few megabytes at most."""
MOST_PROBLEMS = 20
"""Problems that are kept; the others are counted."""
UNDER_CONCESSION = 4
CODES: dict[str, int] = {
    findings.NOT_APPLICABLE: NOT_APPLICABLE, findings.CONFORMS: CONFORMS, findings.UNDETERMINED: UNDETERMINED,
    findings.NONCONFORMING: NONCONFORMING, findings.UNDER_CONCESSION: UNDER_CONCESSION,
}  # fmt: skip
"""The code of each verdict."""
Rules = tuple[tuple[str, str], ...]
"""The rules that logs were judged by, in order, each with its class."""


class Stretch(msgspec.Struct, frozen=True):
    """Some whole lines of a file, by bytes."""

    path: Path
    name: str
    start: int
    size: int
    aside: bool = False
    """Whether the lines that need a closer look are wanted."""


class Alike(msgspec.Struct, frozen=True):
    """Logs with the same verdicts: a code for each rule."""

    codes: bytes
    uncovered: bool
    logs: int


class Counted(msgspec.Struct):
    """What a stretch or a file gave. Places of problems in a stretch count its lines from 1."""

    results: list[tuple[Rules, list[Alike]]] = []
    lines: int = 0
    logs: int = 0
    in_bulk: int = 0
    not_read: int = 0
    problems: list[Trouble] = []
    aside: list[bytes] = []
    """The lines of the logs that need a closer look, where they are wanted, each with its end."""
    beside: int = 0
    """Logs that need one and are no lines."""


def needs_look(codes: bytes, uncovered: bool) -> bool:
    """Whether a log does not conform, or something of it cannot be said."""
    return uncovered or NONCONFORMING in codes or UNDETERMINED in codes


def stretches(files: Sequence[tuple[Path, str]], *, aside: bool = False) -> Iterator[Stretch | Piece]:
    """Files of lines in stretches, others in pieces; a packed file of lines cannot be cut.

    ``aside``: whether the lines that need a closer look are wanted.
    """
    for path, name in files:
        if name.lower().endswith((".jsonl", ".ndjson")):
            try:
                yield from _cut(path, name, aside)
                continue
            except OSError:
                pass  # told by the piece, which cannot be read either
        yield from pieces([(path, name)])


def _cut(path: Path, name: str, aside: bool) -> Iterator[Stretch]:
    whole, start = path.stat().st_size, 0
    with path.open("rb") as stream:
        while start < whole or not start:
            stream.seek(min(start + STRETCH, whole))
            while (rest := stream.readline(1 << 20)) and not rest.endswith(b"\n"):
                pass
            end = min(stream.tell(), whole)
            yield Stretch(path, name, start, end - start, aside)
            if end <= start:
                return
            start = end


class Counter:
    """The bench at which logs are counted. Raises Unreadable as a bench does."""

    def __init__(self, settings: Settings) -> None:
        self.bench = Bench(settings)
        self.settings = settings
        self.plain = not settings.jobs and not settings.answers
        self._bulks: dict[str, Bulk] = {}
        self._found: dict[tuple[Rules, bytes, bool], int] = {}

    def counted(self, work: Stretch | Piece) -> Counted:
        """The counts of one stretch or piece."""
        told = Counted()
        self._found = {}
        if isinstance(work, Stretch):
            with _seldom_collecting():
                self._count(work, told)
        else:
            audited = self.bench.done(work)
            told.beside = self._take(audited.items, told)
            if audited.unread is not None:
                told.not_read += 1
                told.problems += audited.unread.problems[:MOST_PROBLEMS]
        told.results = _sheets(self._found)
        return told

    def _count(self, work: Stretch, told: Counted) -> None:
        """Count the lines of a stretch: in bulk, what the bulk can judge and nothing else can change the verdict of."""
        found, of = dict[Judged, int](), dict[Judged, Rules]()
        by_day = bool(self.bench.books.known)
        excused, number = bool(self.bench.concessions.usable), 0
        bulk = self._bulk(self.settings.as_of)
        looks = set[Judged]()
        for number, line in enumerate(_lines(work), 1):
            if by_day:
                bulk = self._bulk(_day(line) or self.settings.as_of)
            judged = bulk.judge(line) if self.plain else None
            if judged is None or excused and needs_look(judged.codes, False):
                piece = Piece(work.path, work.name, ((number, line),))
                if line.strip() and self._take(self.bench.done(piece).items, told) and work.aside:
                    told.aside += _whole(line)
                continue
            if judged in found:
                found[judged] += 1
            else:
                found[judged], of[judged] = 1, bulk.rules
                if work.aside and needs_look(judged.codes, judged.uncovered):
                    looks.add(judged)
            if judged in looks:
                told.aside += _whole(line)
        for judged, logs in found.items():
            self._add(of[judged], judged.codes, judged.uncovered, logs)
        told.lines, told.in_bulk = number, sum(found.values())
        told.logs += told.in_bulk

    def _bulk(self, day: str) -> Bulk:
        if day not in self._bulks:
            book = self.bench.books.on(day)
            same = next((known for known in self._bulks.values() if known.book is book), None)
            self._bulks[day] = same or Bulk(book)
        return self._bulks[day]

    def _take(self, items: Iterable[Item], told: Counted) -> int:
        """Count some logs that were judged one by one; how many of them need a closer look."""
        looks = 0
        for item in items:
            if item.unread is not None:
                looks += 1
                told.not_read += 1
                told.problems += item.unread.problems[: MOST_PROBLEMS - len(told.problems)]
            if item.report is not None:
                told.logs += 1
                given = item.report.rules
                codes = bytes(CODES[each.verdict] for each in given)
                self._add(tuple((each.rule, each.class_) for each in given), codes, item.report.uncovered, 1)
                looks += needs_look(codes, item.report.uncovered)
        return looks

    def _add(self, rules: Rules, codes: bytes, uncovered: bool, logs: int) -> None:
        key = (rules, codes, uncovered)
        self._found[key] = self._found.get(key, 0) + logs


def _whole(line: bytes) -> list[bytes]:
    """A line with its end, to stand among others; nothing, where it is cut off or no text."""
    text = line.removeprefix(BOM_UTF8).rstrip(b"\r\n")
    try:
        text.decode()
    except UnicodeDecodeError:
        return []
    return [text + b"\n"] if len(line) <= LONGEST_LINE else []


def _day(line: bytes) -> str:
    """The date of the first time of a log, as typed; nothing where there is none."""
    start = line.find(b'"at":')
    found = line[start + 5 : start + 17].strip().strip(b'"')[:10] if start >= 0 else b""
    return found.decode("ascii", "replace") if len(found) == 10 and found[4:5] == b"-" == found[7:8] else ""


@contextmanager
def _seldom_collecting() -> Iterator[None]:
    """Look for garbage in cycles less often: what is learnt is kept, and each look goes through all of it."""
    usual = gc.get_threshold()
    gc.set_threshold(SELDOM, *usual[1:])
    try:
        yield
    finally:
        gc.set_threshold(*usual)


def _lines(work: Stretch) -> Iterator[bytes]:
    """The lines of a stretch; one that is too long is cut, and refused by whoever reads it."""
    with BufferedReader(work.path.open("rb", buffering=0), AT_ONCE) as stream:
        stream.seek(work.start)
        left = work.size
        if left <= MOST_AT_ONCE:
            for line in stream:
                yield line if len(line) <= LONGEST_LINE else line[: LONGEST_LINE + 2]
                left -= len(line)
                if left <= 0:
                    break
            return
        while left > 0:
            line, taken = next_line(stream)
            if not taken:
                return  # the file has become shorter since it was cut
            left -= taken
            yield line


def _sheets(found: dict[tuple[Rules, bytes, bool], int]) -> list[tuple[Rules, list[Alike]]]:
    sheets: dict[Rules, list[Alike]] = {}
    for (rules, codes, uncovered), logs in found.items():
        sheets.setdefault(rules, []).append(Alike(codes, uncovered, logs))
    return list(sheets.items())

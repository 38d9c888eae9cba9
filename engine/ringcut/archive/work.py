"""Work cut into pieces: a file, or some lines of JSON Lines; and the bench at which a piece is done.

A bench is made once in each process from plain settings. A piece gives the same result on every bench.
"""

from __future__ import annotations

import gzip
import hashlib
from collections.abc import Iterator, Sequence
from pathlib import Path

import msgspec

from ringcut import __version__
from ringcut.archive.answering import Answers, read_answers
from ringcut.archive.auditing import Auditor
from ringcut.archive.auditreport import AuditDigests
from ringcut.archive.columnfile import each_of
from ringcut.archive.jobs import Jobs, read_jobs
from ringcut.archive.jsonlines import next_line
from ringcut.archive.lexicon import RulebookLexicon
from ringcut.archive.planned import PlanShelf
from ringcut.archive.results import Audited, FileRead, Item, UnreadLog
from ringcut.archive.spreadsheets import Reading
from ringcut.archive.streams import read_line, read_logs
from ringcut.judge.concessions import Concessions, read_concessions
from ringcut.judge.findings import FORMAT
from ringcut.language.editions import Shelf
from ringcut.reading.problems import Place, Problem, Unreadable
from ringcut.report.published import not_read

LINES = 20
"""Lines of JSON Lines in a piece: what a kill may cost, and a stop waits for, is less than a second of work."""
_ENDS = (".jsonl", ".ndjson", ".jsonl.gz", ".ndjson.gz")
READS = (".csv", ".tsv", ".txt", ".xlsx", ".xlsm", ".yaml", ".yml", ".json", *_ENDS)
"""What is taken from a folder."""


class Settings(msgspec.Struct, frozen=True):
    """Everything that decides a result besides the logs, as paths, so that any process can make a bench of it."""

    builtin: Path
    as_of: str
    rulebook: Path | None = None
    concessions: Path | None = None
    columns: tuple[Path, ...] = ()
    """Column files; of several, each table is read by that one which fits it."""
    jobs: Path | None = None
    answers: Path | None = None
    plans: tuple[Path, ...] = ()
    cache: Path | None = None
    pictures: bool = False
    """Whether reports carry a timeline."""


class Piece(msgspec.Struct, frozen=True):
    """A file to be read, or some of its lines with their numbers. ``key`` names its bytes."""

    path: Path
    name: str
    lines: tuple[tuple[int, bytes], ...] = ()
    problem: str = ""
    """Why the file (or its rest, behind the last line) cannot be read."""
    size: int = 0
    """Bytes, for telling how far the work is."""

    def keys(self, context: str, numbered: bool = False) -> list[str]:
        """One key a line, or one for the file: the digest of its bytes and of everything it is judged by.

        ``numbered``: the same bytes in another line have another key.
        """
        if self.lines:
            head = context.encode() + b"\0line\0"
            heads = (head + b"%d\0" % number if numbered else head for number, _ in self.lines)
            joined = zip(heads, self.lines, strict=True)
            return [hashlib.sha256(first + data).hexdigest() for first, (_, data) in joined]
        found = hashlib.sha256(f"{context}\0file\0{self.name}\0".encode())
        try:
            found.update(self.path.read_bytes())
        except OSError:
            return [""]
        return [found.hexdigest()]


def pieces(files: Sequence[tuple[Path, str]]) -> Iterator[Piece]:
    """The pieces of some files, streamed: no file of lines is held whole."""
    for path, name in files:
        if name.lower().endswith(_ENDS):
            yield from _lines(path, name)
        else:
            yield Piece(path, name, size=_size(path))


def _lines(path: Path, name: str) -> Iterator[Piece]:
    held: list[tuple[int, bytes]] = []
    number = logs = 0
    try:
        with gzip.open(path) if name.lower().endswith(".gz") else path.open("rb") as stream:
            while line := next_line(stream)[0]:
                number += 1
                if line.strip():
                    held.append((number, line))
                    logs += 1
                if len(held) == LINES:
                    yield Piece(path, name, tuple(held), size=sum(len(each) for _, each in held))
                    held = []
    except (OSError, EOFError) as error:
        said = f"cannot be read to its end: {getattr(error, 'strerror', None) or error}"
        yield Piece(path, name, tuple(held), said)
        return
    if held or not logs:
        empty = "" if logs else "no line has a log"
        yield Piece(path, name, tuple(held), empty, sum(len(each) for _, each in held))


def _size(path: Path) -> int:
    try:
        return path.stat().st_size
    except OSError:
        return 0


class Bench:
    """Where pieces are worked on. Raises Unreadable with every problem of rulebook, columns, jobs and answers."""

    def __init__(self, settings: Settings) -> None:
        self.settings = settings
        self.books = Shelf(settings.rulebook, settings.builtin, settings.cache)
        book = self.books.on(settings.as_of)
        self.lexicon = RulebookLexicon(book)
        problems: list[Problem] = []
        self.jobs: Jobs | None = None
        self.answers = Answers()
        given = Concessions()
        plans = None
        self.columns = each_of(settings.columns, self.lexicon, problems)
        try:
            if settings.jobs:
                self.jobs = read_jobs(settings.jobs, str(settings.jobs), self.lexicon)
        except Unreadable as error:
            problems += error.problems
        try:
            if settings.concessions:
                given = read_concessions(settings.concessions.read_bytes(), str(settings.concessions), book)
        except Unreadable as error:
            problems += error.problems
        try:
            if settings.answers:
                self.answers = read_answers(settings.answers, str(settings.answers))
        except Unreadable as error:
            problems += error.problems
        try:
            plans = PlanShelf(settings.plans) if settings.plans else None
        except Unreadable as error:
            problems += error.problems
        if problems:
            raise Unreadable(problems)
        self.concessions = given
        self.auditor = Auditor(self.books, settings.as_of, given, plans, settings.pictures)

    def digests(self) -> AuditDigests:
        """Of everything that results rest on besides the logs, as a whole and each for itself."""
        settings = self.settings
        whole = hashlib.sha256(f"{__version__}\0{self.books.digest}\0{settings.pictures}".encode())
        # the day decides only where something is dated; a log without a day gets the day of the run when it is told
        if settings.concessions or self.books.known:
            whole.update(settings.as_of.encode())
        first = settings.columns[0] if settings.columns else None
        given = (settings.concessions, first, settings.jobs, settings.answers, *settings.plans)
        each = [hashlib.sha256(path.read_bytes()) if path else None for path in given]
        more = [hashlib.sha256(path.read_bytes()) for path in settings.columns[1:]]
        for one in each:
            whole.update(b"\0" + (one.digest() if one else b"-"))
        for one in more:
            whole.update(b"\0columns\0" + one.digest())
        concessions, columns, jobs, answers, *plans = [one.hexdigest() if one else "" for one in each]
        files = (columns, *(one.hexdigest() for one in more)) if columns else ()
        return AuditDigests(
            whole.hexdigest(), __version__, self.books.digest, columns, jobs, tuple(plans), concessions, answers, files
        )

    def context(self) -> str:
        """The digest of everything that results rest on besides the logs."""
        return self.digests().context

    def keyed(self, context: str) -> str:
        """What a result that is kept is known by, besides its log: results name the files they rest on."""
        settings = self.settings
        first = settings.columns[0] if settings.columns else None
        given = (settings.jobs, settings.answers, settings.concessions, *settings.plans, *settings.columns[1:])
        named = (first, *given)
        return hashlib.sha256("\0".join([context, FORMAT, *map(str, named)]).encode()).hexdigest()

    def done(self, piece: Piece) -> Audited:
        """The results of a piece; problems are results too, nothing is raised for what stands in a file of logs."""
        if piece.lines or piece.problem:
            items = [item for number, line in piece.lines for item in self._line(piece.name, number, line)]
            lost = _unread(piece.name, [Problem(Place(piece.name), piece.problem)]) if piece.problem else None
            judged = sum(each.report is not None for each in items)
            return Audited(tuple(items), FileRead(piece.name, "json-lines", logs=judged), lost)
        try:
            corrected = self.answers.cells(piece.name)
            opened = read_logs(
                piece.path, piece.name, self.lexicon, self.columns, self.jobs, corrected,
            )  # fmt: skip
            found = list(opened.logs)
        except Unreadable as error:
            return Audited((), None, _unread(piece.name, error.problems))
        items = [
            _item(each) if isinstance(each, Problem) else self.auditor.audit(each, opened.sheet, self.answers)
            for each in found
        ]
        logs = sum(not isinstance(each, Problem) for each in found)
        return Audited(tuple(items), _told(piece.name, opened.kind, opened.sheet, logs))

    def _line(self, name: str, number: int, line: bytes) -> Iterator[Item]:
        for each in read_line(line, name, number, self.jobs):
            yield _item(each) if isinstance(each, Problem) else self.auditor.audit(each, None, self.answers)


def _item(problem: Problem) -> Item:
    return Item(unread=_unread(problem.place.file, [problem], problem.place.line))


def _unread(file: str, problems: Sequence[Problem], line: int = 0) -> UnreadLog:
    return UnreadLog(file, line, "", not_read(file, problems).problems)


def _told(name: str, kind: str, sheet: Reading | None, logs: int) -> FileRead:
    if sheet is None:
        return FileRead(name, kind, logs=logs)
    troubles = not_read(name, sheet.problems).problems
    return FileRead(
        name, kind, sheet.digest, sheet.tables, sheet.assumptions, sheet.not_taken, sheet.noted, troubles, logs
    )

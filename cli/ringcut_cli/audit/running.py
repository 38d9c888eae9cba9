"""The run of an audit: files into pieces, pieces through the store and the workers, results into a sink, in order."""

from __future__ import annotations

import signal
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, nullcontext
from pathlib import Path
from typing import Protocol

import msgspec

from ringcut.archive.auditreport import AuditDigests
from ringcut.archive.copied import Copied, Copies
from ringcut.archive.crowd import NoBench, WorkerLost, worked
from ringcut.archive.results import Ask, Audited, FileRead, Item, LogReport, UnreadLog
from ringcut.archive.resultstore import ResultStore
from ringcut.archive.storedpiece import StoredPiece
from ringcut.archive.summary import Summary, Tally
from ringcut.archive.work import READS, Bench, Piece, Settings, pieces
from ringcut.judge.concessions import unused
from ringcut.reading.problems import Place, Problem
from ringcut.report.published import not_read
from ringcut_cli.audit.progress import Progress
from ringcut_cli.audit.spool import Spool
from ringcut_cli.exits import Exit, exit_for, worst

ENDS = f"files that end with {', '.join(READS[:-1])} or {READS[-1]}"


class Ended(msgspec.Struct):
    """What is known when the run is over."""

    summary: Summary
    patterns: tuple[Copied, ...]
    asks: Sequence[Ask]
    aloud: tuple[str, ...]
    digests: AuditDigests
    as_of: str
    stopped: bool = False
    """From the keyboard."""
    lost: str = ""
    """Why a process of the run was lost, with which the run ended."""
    code: Exit = Exit.CONFORMS
    from_store: int = 0
    store_lost: str = ""
    """Why results of this run are not all in the store."""

    @property
    def complete(self) -> bool:
        """Whether every log was looked at."""
        return not self.stopped and not self.lost


class Sink(Protocol):
    """Takes results as they come."""

    def file(self, read: FileRead) -> None:
        """What was read of a file; for JSON Lines after its last line."""

    def log(self, report: LogReport) -> None:
        """A log that was judged."""

    def unread(self, found: UnreadLog) -> None:
        """A log, line or file that could not be read."""

    def end(self, ended: Ended) -> None:
        """The run is over, or was stopped."""


def files_of(arguments: Sequence[str]) -> Iterator[tuple[Path, str]]:
    """The files named, and those in the folders named, by name; each is called as it was typed."""
    for each in arguments:
        path = Path(each)
        if path.is_dir():
            for inside in sorted(path.rglob("*")):
                if inside.is_file() and inside.name.lower().endswith(READS) and not _hidden(inside, path):
                    yield inside, inside.as_posix()
        else:
            yield path, path.as_posix()


def _hidden(path: Path, folder: Path) -> bool:
    return any(part.startswith((".", "~$")) for part in path.relative_to(folder).parts)


class Run:
    """One run. ``sink`` gets everything in the order of the files, whoever did the work."""

    def __init__(self, settings: Settings, fail_on: str, workers: int = 1, store: Path | None = None) -> None:
        self.settings, self.fail_on, self.workers = settings, fail_on, workers
        # opened before the first byte of a report is written: a file that is no store leaves nothing half done
        self.store = ResultStore(store) if store is not None else None
        self.bench = Bench(settings)
        self.digests = self.bench.digests()
        self.keyed = self.bench.keyed(self.digests.context)
        self.tally, self.copies = Tally(), Copies()
        self.asks: Spool[Ask] = Spool(Ask)
        self.ends: list[Exit] = []
        self.from_store = 0
        self.store_lost = ""
        self._seen: set[tuple[str, str, str]] = set()
        self._planned: set[str] = set()
        """Plans with which a log was compared."""
        self._reading: FileRead | None = None

    def over(self, files: Sequence[tuple[Path, str]], sink: Sink, progress: Progress) -> Ended:
        """Judge every log of the files. Stopped, or with a process lost, it ends with what is done."""
        stopped, lost = False, None
        with self.store if self.store is not None else nullcontext() as store, progress:
            try:
                for audited, size in self._results(pieces(files), store):
                    with _whole():
                        self._take(audited, sink)
                    progress.moved(size, self.tally.logs)
            except KeyboardInterrupt:
                stopped = True
            except WorkerLost as error:
                lost = error
            self._close_file(sink)
            self.store_lost = store.lost if store is not None else ""
        if not files:
            self._unread(
                UnreadLog("", 0, "", not_read("", [Problem(Place(""), "no file of logs here", ENDS)]).problems), sink
            )
        ended = self._ended(stopped, lost)
        sink.end(ended)
        return ended

    def _results(self, work: Iterator[Piece], store: ResultStore | None) -> Iterator[tuple[Audited, int]]:
        if store is None:
            yield from (
                (audited, piece.size) for piece, audited in worked(work, self.settings, self.workers, self.bench)
            )
            return
        plans: list[StoredPiece] = []

        def missing() -> Iterator[Piece]:
            for piece in work:
                plan = StoredPiece(piece, self.keyed, store, self.settings.answers is not None)
                plans.append(plan)
                yield plan.left

        for _, fresh in worked(missing(), self.settings, self.workers, self.bench):
            plan = plans.pop(0)
            self.from_store += plan.known
            yield plan.whole(fresh, store), plan.piece.size

    def _take(self, audited: Audited, sink: Sink) -> None:
        if audited.file is not None:
            if self._reading is not None and self._reading.file == audited.file.file:
                logs = self._reading.logs + audited.file.logs
                self._reading = msgspec.structs.replace(self._reading, logs=logs)
            else:
                self._close_file(sink)
                self._reading = audited.file
                if audited.file.kind != "json-lines":
                    self._close_file(sink)
        if audited.unread is not None:
            self._unread(audited.unread, sink)
        for item in audited.items:
            self._item(item, sink)

    def _close_file(self, sink: Sink) -> None:
        if self._reading is not None:
            sink.file(self._reading)
        self._reading = None

    def _item(self, item: Item, sink: Sink) -> None:
        if item.unread is not None:
            self._unread(item.unread, sink)
        report = item.report
        if report is None:
            return
        if not report.day and report.as_of != self.settings.as_of:
            report = msgspec.structs.replace(report, as_of=self.settings.as_of)
        self.tally.add(report)
        self.copies.add(report, item.odd)
        self.asks.extend(item.asks)
        self.ends = [worst([*self.ends, exit_for(report, self.fail_on)])]
        self._seen |= {(report.reference, each.rule, each.concession) for each in report.findings if each.concession}
        if report.compared is not None:
            self._planned.add(report.compared.plan)
        sink.log(report)

    def _unread(self, found: UnreadLog, sink: Sink) -> None:
        self.tally.not_read += 1
        self.ends = [worst([*self.ends, Exit.BAD_INPUT])]
        sink.unread(found)

    def _ended(self, stopped: bool, lost: WorkerLost | None) -> Ended:
        given = self.bench.concessions
        used = {
            number
            for number, each in enumerate(given.usable)
            if (each.job.text, each.rule.text, each.words) in self._seen
        }
        aloud = (
            *map(str, self.bench.answers.problems),
            *given.aloud,
            *unused(given, frozenset(used)),
            *self._compared(),
            *self._without_logs(),
        )
        code = Exit.STOPPED if stopped else worst(self.ends)
        if lost is not None:
            code = Exit.BAD_INPUT if isinstance(lost, NoBench) else Exit.INTERNAL
        return Ended(
            self.tally.summary(), self.copies.found(), self.asks, aloud,
            self.digests, self.settings.as_of, stopped, str(lost or ""), code, self.from_store,
            self.store_lost,
        )  # fmt: skip

    def _without_logs(self) -> Iterator[str]:
        """Plans that were given for nothing."""
        for plan in self.settings.plans:
            if str(plan) not in self._planned:
                yield f"{plan}: no log here is of its job, so nothing was compared with it."

    def _compared(self) -> Iterator[str]:
        """What is said where not every job was looked at for copied readings."""
        held, over = self.copies.held, self.copies.passed_over
        if over:
            yield f"Copied readings were looked for in {held:,} jobs, the first ones; {over:,} were not compared."


@contextmanager
def _whole() -> Iterator[None]:
    """Let the keyboard stop the run only after this: what is counted is told too, and nothing is told by half."""
    before = signal.getsignal(signal.SIGINT)
    if before is None or threading.current_thread() is not threading.main_thread():
        yield
        return
    pressed: list[int] = []
    signal.signal(signal.SIGINT, lambda number, frame: pressed.append(number))
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)
    if pressed:
        raise KeyboardInterrupt

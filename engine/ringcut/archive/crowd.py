"""Pieces worked on one after the other, or by several processes; results come in the order of the pieces either way."""

from __future__ import annotations

import multiprocessing
import signal
import threading
import traceback
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from functools import partial
from multiprocessing.connection import Connection
from multiprocessing.context import SpawnProcess
from typing import TypeVar

import msgspec

from ringcut.archive.counting import Counted, Counter, Stretch
from ringcut.archive.results import Audited
from ringcut.archive.work import Bench, Piece, Settings
from ringcut.reading.problems import Unreadable

W = TypeVar("W")
AHEAD = 3
"""Pieces a process that wait or are being worked on: enough to keep all busy, few enough to keep memory flat."""

_benches: list[Bench] = []
_counters: list[Counter] = []
"""The bench of this process, or what it counts with, made when it begins."""


class WorkerLost(Exception):
    """A process could not begin, or was ended before its work was done; what was yielded until then is whole."""


class NoBench(WorkerLost):
    """A process could not read what the first one could: rulebook, columns, jobs, answers, plans or concessions."""


_refused: list[WorkerLost] = []
"""Why this process has no bench."""


def worked(pieces: Iterable[Piece], settings: Settings, workers: int, bench: Bench) -> Iterator[tuple[Piece, Audited]]:
    """Each piece with its results. ``bench`` is used where there is one worker. Raises WorkerLost."""
    if workers <= 1:
        for piece in pieces:
            yield piece, bench.done(piece)
        return
    for piece, found in _spread(pieces, settings, workers, _begin, _work):
        yield piece, decoded(found)


def counted(
    work: Iterable[Stretch | Piece], settings: Settings, workers: int, counter: Counter
) -> Iterator[tuple[Stretch | Piece, Counted]]:
    """Each piece of work with its counts. ``counter`` is used where there is one worker. Raises WorkerLost."""
    if workers <= 1:
        for piece in work:
            yield piece, counter.counted(piece)
        return
    for piece, found in _spread(work, settings, workers, _begin_counting, _count):
        yield piece, msgspec.msgpack.decode(found, type=Counted)


def _spread(
    work: Iterable[W], settings: Settings, workers: int, begin: Callable[[Settings], object], do: Callable[[W], bytes]
) -> Iterator[tuple[W, bytes]]:
    """Each piece of work with what one of several processes made of it, in the order of the work. Raises WorkerLost."""
    crew = _Crew(workers, partial(_serve, begin, settings, do))
    waiting: deque[tuple[W, Future[bytes]]] = deque()
    try:
        for piece in work:
            waiting.append((piece, crew.submit(piece)))
            if len(waiting) >= workers * AHEAD:
                first, result = waiting.popleft()
                yield first, result.result()
        while waiting:
            first, result = waiting.popleft()
            yield first, result.result()
    finally:
        crew.end()


class _Crew:
    """Processes, each with a thread here that hands it its work and waits for what becomes of it.

    Each has a pipe of its own, and alone holds the far end: where it is ended from outside, amid a result too, the pipe
    ends. ProcessPoolExecutor shares one pipe of results, and keeps its far end open in the first process: half a
    result is then waited for without end.
    """

    def __init__(self, workers: int, serve: Callable[[Connection], None]) -> None:
        # spawn: a child that shares nothing behaves the same on every system
        self._context = multiprocessing.get_context("spawn")
        self._serve = serve
        self._own = threading.local()
        self._hired: list[tuple[Connection, SpawnProcess]] = []
        self._threads = ThreadPoolExecutor(workers)

    def submit(self, piece: object) -> Future[bytes]:
        """What one of the processes will make of a piece of work; of a lost one, WorkerLost."""
        return self._threads.submit(self._hand, piece)

    def end(self) -> None:
        """Drop what has not begun, wait for what has, and send everyone home."""
        self._threads.shutdown(wait=True, cancel_futures=True)
        for pipe, process in self._hired:
            pipe.close()
            process.join()

    def _pipe(self) -> Connection:
        """To the process of this thread, which begins with its first piece of work."""
        if not hasattr(self._own, "pipe"):
            self._own.pipe = self._hire()
        pipe: Connection = self._own.pipe
        return pipe

    def _hire(self) -> Connection:
        near, far = self._context.Pipe()
        process = self._context.Process(target=self._serve, args=(far,), daemon=True)
        process.start()
        far.close()
        self._hired.append((near, process))
        return near

    def _hand(self, piece: object) -> bytes:
        found: bytes | Exception
        try:
            pipe = self._pipe()
            pipe.send(piece)
            found = pipe.recv()
        except (EOFError, OSError) as error:
            raise WorkerLost("it was ended from outside, or ran out of memory") from error
        if isinstance(found, Exception):
            raise found
        return found


def _serve(begin: Callable[[Settings], object], settings: Settings, do: Callable[[W], bytes], pipe: Connection) -> None:
    """The life of a process: until the pipe ends, a result for each piece of work, or the reason why there is none."""
    begin(settings)
    while True:
        try:
            piece = pipe.recv()
        except (EOFError, OSError):  # whoever handed out the work is gone
            return
        found: bytes | Exception
        try:
            found = do(piece)
        except WorkerLost as error:
            found = error
        except Exception:  # a defect: told where the results are read, with the place where it happened
            found = RuntimeError(traceback.format_exc())
        try:
            pipe.send(found)
        except OSError:
            return


def _begin(settings: Settings) -> None:
    _ready(lambda: _benches.append(Bench(settings)))


def _begin_counting(settings: Settings) -> None:
    _ready(lambda: _counters.append(Counter(settings)))


def _ready(make: Callable[[], None]) -> None:
    """Make what this process works with."""
    # the keyboard stops the run as a whole: whoever reads results says when it is over
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        make()
    except Unreadable as error:
        _refused[:] = [NoBench(f"it could not begin: {'; '.join(str(problem) for problem in error.problems)}")]
    except Exception as error:  # told by whoever reads the results
        _refused[:] = [WorkerLost(f"it could not begin: {type(error).__name__}: {error}")]


def _count(work: Stretch | Piece) -> bytes:
    if _refused:
        raise _refused[0]
    return msgspec.msgpack.encode(_counters[0].counted(work))


def _work(piece: Piece) -> bytes:
    if _refused:
        raise _refused[0]
    return encoded(_benches[0].done(piece))


def encoded(results: Audited) -> bytes:
    """Results as bytes, for a pipe or a store."""
    return msgspec.msgpack.encode(results)


def decoded(data: bytes) -> Audited:
    """Results from bytes; msgspec.MsgspecError where they are not of this version."""
    return msgspec.msgpack.decode(data, type=Audited)

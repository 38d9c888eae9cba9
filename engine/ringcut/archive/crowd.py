"""Pieces worked on one after the other, or by several processes; results come in the order of the pieces either way."""

from __future__ import annotations

import multiprocessing
import signal
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool

import msgspec

from ringcut.archive.results import Audited
from ringcut.archive.work import Bench, Piece, Settings
from ringcut.reading.problems import Unreadable

AHEAD = 3
"""Pieces a process that wait or are being worked on: enough to keep all busy, few enough to keep memory flat."""

_benches: list[Bench] = []
"""The bench of this process, made when it begins."""


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
    # spawn: a child that shares nothing behaves the same on every system
    context = multiprocessing.get_context("spawn")
    pool = ProcessPoolExecutor(workers, mp_context=context, initializer=_begin, initargs=(settings,))
    try:
        yield from _in_order(pieces, lambda piece: pool.submit(_work, piece), workers * AHEAD)
    except BrokenProcessPool as error:
        raise WorkerLost("it was ended from outside, or ran out of memory") from error
    finally:
        pool.shutdown(wait=True, cancel_futures=True)


def _in_order(
    pieces: Iterable[Piece], submit: Callable[[Piece], Future[bytes]], ahead: int
) -> Iterator[tuple[Piece, Audited]]:
    waiting: deque[tuple[Piece, Future[bytes]]] = deque()
    broken: BrokenProcessPool | None = None
    for piece in pieces:
        try:
            waiting.append((piece, submit(piece)))
        except BrokenProcessPool as error:
            broken = error  # what was done before is still taken
            break
        if len(waiting) >= ahead:
            first, result = waiting.popleft()
            yield first, decoded(result.result())
    while waiting:
        first, result = waiting.popleft()
        yield first, decoded(result.result())
    if broken is not None:
        raise broken


def _begin(settings: Settings) -> None:
    # the keyboard stops the run as a whole: whoever reads results says when it is over
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        _benches[:] = [Bench(settings)]
    except Unreadable as error:
        _refused[:] = [NoBench(f"it could not begin: {'; '.join(str(problem) for problem in error.problems)}")]
    except Exception as error:  # told by whoever reads the results: a pool would only print it and call itself broken
        _refused[:] = [WorkerLost(f"it could not begin: {type(error).__name__}: {error}")]


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

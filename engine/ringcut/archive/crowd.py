"""Pieces worked on one after the other, or by several processes; results come in the order of the pieces either way."""

from __future__ import annotations

import multiprocessing
import signal
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
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
    work: Iterable[W], settings: Settings, workers: int, begin: Callable[[Settings], None], do: Callable[[W], bytes]
) -> Iterator[tuple[W, bytes]]:
    """Each piece of work with what one of several processes made of it. Raises WorkerLost."""
    # spawn: a child that shares nothing behaves the same on every system
    context = multiprocessing.get_context("spawn")
    pool = ProcessPoolExecutor(workers, mp_context=context, initializer=begin, initargs=(settings,))
    try:
        yield from _in_order(work, lambda piece: pool.submit(do, piece), workers * AHEAD)
    except BrokenProcessPool as error:
        raise WorkerLost("it was ended from outside, or ran out of memory") from error
    finally:
        pool.shutdown(wait=True, cancel_futures=True)


def _in_order(work: Iterable[W], submit: Callable[[W], Future[bytes]], ahead: int) -> Iterator[tuple[W, bytes]]:
    """Each piece of work with its result, however the processes take turns. Raises BrokenProcessPool at the end."""
    waiting: deque[tuple[W, Future[bytes]]] = deque()
    broken: BrokenProcessPool | None = None
    for piece in work:
        try:
            waiting.append((piece, submit(piece)))
        except BrokenProcessPool as error:
            broken = error  # what was done before is still taken
            break
        if len(waiting) >= ahead:
            first, result = waiting.popleft()
            yield first, result.result()
    while waiting:
        first, result = waiting.popleft()
        yield first, result.result()
    if broken is not None:
        raise broken


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
    except Exception as error:  # told by whoever reads the results: a pool would only print it and call itself broken
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

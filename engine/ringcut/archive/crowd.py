"""Pieces worked on one after the other, or by several processes; results come in the order of the pieces either way."""

from __future__ import annotations

import multiprocessing
import signal
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Future, ProcessPoolExecutor

import msgspec

from ringcut.archive.results import Audited
from ringcut.archive.work import Bench, Piece, Settings

AHEAD = 3
"""Pieces a process that wait or are being worked on: enough to keep all busy, few enough to keep memory flat."""

_benches: list[Bench] = []
"""The bench of this process, made when it begins."""


def worked(pieces: Iterable[Piece], settings: Settings, workers: int, bench: Bench) -> Iterator[tuple[Piece, Audited]]:
    """Each piece with its results. ``bench`` is used where there is one worker."""
    if workers <= 1:
        for piece in pieces:
            yield piece, bench.done(piece)
        return
    # spawn: a child that shares nothing behaves the same on every system
    context = multiprocessing.get_context("spawn")
    pool = ProcessPoolExecutor(workers, mp_context=context, initializer=_begin, initargs=(settings,))
    try:
        yield from _in_order(pieces, lambda piece: pool.submit(_work, piece), workers * AHEAD)
    finally:
        pool.shutdown(wait=True, cancel_futures=True)


def _in_order(
    pieces: Iterable[Piece], submit: Callable[[Piece], Future[bytes]], ahead: int
) -> Iterator[tuple[Piece, Audited]]:
    waiting: deque[tuple[Piece, Future[bytes]]] = deque()
    for piece in pieces:
        waiting.append((piece, submit(piece)))
        if len(waiting) >= ahead:
            first, result = waiting.popleft()
            yield first, decoded(result.result())
    while waiting:
        first, result = waiting.popleft()
        yield first, decoded(result.result())


def _begin(settings: Settings) -> None:
    # the keyboard stops the run as a whole: whoever reads results says when it is over
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    _benches[:] = [Bench(settings)]


def _work(piece: Piece) -> bytes:
    return encoded(_benches[0].done(piece))


def encoded(results: Audited) -> bytes:
    """Results as bytes, for a pipe or a store."""
    return msgspec.msgpack.encode(results)


def decoded(data: bytes) -> Audited:
    """Results from bytes; msgspec.MsgspecError where they are not of this version."""
    return msgspec.msgpack.decode(data, type=Audited)

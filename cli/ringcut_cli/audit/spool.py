"""A list that may grow as long as the logs of an audit: the first items are held, the rest lie in a temporary file."""

from __future__ import annotations

import tempfile
import weakref
from collections.abc import Iterable, Iterator, Sequence
from itertools import islice
from typing import BinaryIO, TypeVar, cast, overload

import msgspec

T = TypeVar("T")
HELD = 1000
"""Items that are held in memory."""
_LENGTH = 4
"""Bytes before each item in the file, which say how long it is."""


class Spool(Sequence[T]):
    """Items of one msgspec struct, in the order in which they came. Reading goes over the file, so mind how often."""

    def __init__(self, kind: type[T], held: int = HELD) -> None:
        self._decoder = msgspec.msgpack.Decoder(kind)
        self._most, self._held = held, list[T]()
        self._file: BinaryIO | None = None
        self._count = 0

    def append(self, item: T) -> None:
        """Take an item."""
        self._count += 1
        if len(self._held) < self._most:
            self._held.append(item)
            return
        if self._file is None:
            # it stays open as long as the spool lives, and goes with it
            self._file = cast(BinaryIO, tempfile.TemporaryFile())  # noqa: SIM115
            weakref.finalize(self, self._file.close)
        data = msgspec.msgpack.encode(item)
        self._file.seek(0, 2)
        self._file.write(len(data).to_bytes(_LENGTH, "big") + data)

    def extend(self, items: Iterable[T]) -> None:
        """Take several."""
        for item in items:
            self.append(item)

    def __len__(self) -> int:
        return self._count

    def __iter__(self) -> Iterator[T]:
        yield from self._held
        at = 0
        while self._file is not None:
            # somebody else may have read or written in between
            self._file.seek(at)
            head = self._file.read(_LENGTH)
            if not head:
                return
            size = int.from_bytes(head, "big")
            yield self._decoder.decode(self._file.read(size))
            at += _LENGTH + size

    @overload
    def __getitem__(self, at: int) -> T: ...
    @overload
    def __getitem__(self, at: slice) -> Sequence[T]: ...
    def __getitem__(self, at: int | slice) -> T | Sequence[T]:
        if isinstance(at, slice):
            start, stop, step = at.indices(self._count)
            return list(islice(self, start, stop, step)) if step > 0 else list(self)[at]
        if not -self._count <= at < self._count:
            raise IndexError(at)
        return next(islice(self, at % self._count, None))

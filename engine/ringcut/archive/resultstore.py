"""Results kept between runs in one SQLite file, by the digest of what was judged and of everything it was judged by.

A piece of work is written in one transaction when it is done, so that a run that ends at any moment loses only the
piece it was at, and the next run counts nothing twice: a result has one key. A store that fails amid a run, as on a
full disk, costs nothing but itself: what it does not give is judged, and the run says so at its end.
"""

from __future__ import annotations

import hashlib
import sqlite3
from collections.abc import Iterable, Sequence
from pathlib import Path
from types import TracebackType

from ringcut.reading.problems import Place, Problem, Unreadable

_MARK = 0x52434154
"""Stands in the file's header, so that another program's file is never written to."""
_FORMAT = 2
_SUM = 8
"""Bytes before each result, by which one that was damaged, or stands under another key, is known."""
_WAIT = 60.0
"""Seconds to wait for another run that writes to the same store."""


class ResultStore:
    """Keys to encoded results. Opening raises Unreadable where the file is no such store, or of a later format."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.lost = ""
        """Why nothing more is read from it or written to it."""
        try:
            self._file = sqlite3.connect(path, timeout=_WAIT)
            self._prepare()
        except sqlite3.Error as error:
            found = f"cannot be used as a store: {error}"
            hint = "All that a store holds can be judged again"
            raise Unreadable([Problem(Place(str(path)), found, "Another file name", hint)]) from error

    def _prepare(self) -> None:
        mark, version = (
            self._file.execute(f"PRAGMA {name}").fetchone()[0] for name in ("application_id", "user_version")
        )
        tables = self._file.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]
        if mark != _MARK and tables:
            raise Unreadable([Problem(Place(str(self.path)), "this is another program's file", "a new file name")])
        if version > _FORMAT:
            found = f"a store of a later version of Ringcut: its format is {version}, here {_FORMAT}"
            raise Unreadable([Problem(Place(str(self.path)), found, "that version, or a new file name")])
        # write-ahead: a run killed while it writes leaves the file as it was after the last whole piece
        self._file.execute("PRAGMA journal_mode = WAL")
        with self._file:
            self._file.execute("CREATE TABLE IF NOT EXISTS result (key TEXT PRIMARY KEY, data BLOB NOT NULL)")
            if mark != _MARK or version != _FORMAT:
                self._file.execute(f"PRAGMA application_id = {_MARK}")
                self._file.execute(f"PRAGMA user_version = {_FORMAT}")

    def known(self, keys: Sequence[str]) -> dict[str, bytes]:
        """The results of those keys that have one, whole; what is damaged is as if it were not there."""
        found: dict[str, bytes] = {}
        for start in range(0, 0 if self.lost else len(keys), 500):
            part = keys[start : start + 500]
            marks = ",".join("?" * len(part))
            try:
                # as bytes, whatever a damaged row says it is
                asked = f"SELECT key, CAST(data AS BLOB) FROM result WHERE key IN ({marks})"
                rows = self._file.execute(asked, part).fetchall()
            except sqlite3.Error as error:
                self._give_up(error)
                break
            found.update({key: data[_SUM:] for key, data in rows if _summed(key, data[_SUM:]) == data})
        return found

    def keep(self, results: Iterable[tuple[str, bytes]]) -> None:
        """Write results, all of them or none."""
        if self.lost:
            return
        try:
            with self._file:
                summed = ((key, _summed(key, data)) for key, data in results)
                self._file.executemany("INSERT OR REPLACE INTO result VALUES (?, ?)", summed)
        except sqlite3.Error as error:
            self._give_up(error)

    def _give_up(self, error: sqlite3.Error) -> None:
        self.lost = str(error)

    def __len__(self) -> int:
        return int(self._file.execute("SELECT count(*) FROM result").fetchone()[0])

    def __enter__(self) -> ResultStore:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._file.close()


def _summed(key: str, data: bytes) -> bytes:
    return hashlib.blake2b(key.encode() + b"\0" + data, digest_size=_SUM).digest() + data

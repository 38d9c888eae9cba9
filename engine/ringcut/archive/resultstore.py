"""Results kept between runs in one SQLite file, by the digest of what was judged and of everything it was judged by.

A piece of work is written in one transaction when it is done, so that a run that ends at any moment loses only the
piece it was at, and the next run counts nothing twice: a result has one key.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Sequence
from pathlib import Path
from types import TracebackType

from ringcut.reading.problems import Place, Problem, Unreadable

_MARK = 0x52434154
"""Stands in the file's header, so that another program's file is never written to."""
_FORMAT = 1


class ResultStore:
    """Keys to encoded results. Opening raises Unreadable where the file is no such store."""

    def __init__(self, path: Path) -> None:
        self.path = path
        try:
            self._file = sqlite3.connect(path)
            self._prepare()
        except sqlite3.Error as error:
            raise Unreadable([Problem(Place(str(path)), f"cannot be used as a store: {error}")]) from error

    def _prepare(self) -> None:
        mark = self._file.execute("PRAGMA application_id").fetchone()[0]
        tables = self._file.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]
        if mark != _MARK and tables:
            raise Unreadable([Problem(Place(str(self.path)), "this is another program's file", "a new file name")])
        # write-ahead: a run killed while it writes leaves the file as it was after the last whole piece
        self._file.execute("PRAGMA journal_mode = WAL")
        with self._file:
            self._file.execute(f"PRAGMA application_id = {_MARK}")
            self._file.execute(f"PRAGMA user_version = {_FORMAT}")
            self._file.execute("CREATE TABLE IF NOT EXISTS result (key TEXT PRIMARY KEY, data BLOB NOT NULL)")

    def known(self, keys: Sequence[str]) -> dict[str, bytes]:
        """The results of those keys that have one."""
        found: dict[str, bytes] = {}
        for start in range(0, len(keys), 500):
            part = keys[start : start + 500]
            marks = ",".join("?" * len(part))
            found.update(self._file.execute(f"SELECT key, data FROM result WHERE key IN ({marks})", part))
        return found

    def keep(self, results: Iterable[tuple[str, bytes]]) -> None:
        """Write results, all of them or none."""
        with self._file:
            self._file.executemany("INSERT OR REPLACE INTO result VALUES (?, ?)", results)

    def __len__(self) -> int:
        return int(self._file.execute("SELECT count(*) FROM result").fetchone()[0])

    def __enter__(self) -> ResultStore:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._file.close()

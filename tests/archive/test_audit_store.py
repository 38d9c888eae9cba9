"""The store: what is known is not judged again, whatever happened to the run before."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
import textwrap
from pathlib import Path

import pytest

from ringcut.archive.resultstore import ResultStore
from ringcut.reading.problems import Unreadable


def test_results_come_back_by_their_key(tmp_path: Path) -> None:
    with ResultStore(tmp_path / "store") as store:
        store.keep([(f"{number}", bytes([number])) for number in range(200)])
        store.keep([("7", b"again")])
    with ResultStore(tmp_path / "store") as store:
        assert len(store) == 200
        assert store.known(["7", "9", "no such key"]) == {"7": b"again", "9": b"\x09"}
        assert len(store.known([str(number) for number in range(1200)])) == 200


def test_another_programs_file_is_left_alone(tmp_path: Path) -> None:
    other = tmp_path / "other.db"
    with sqlite3.connect(other) as file:
        file.execute("CREATE TABLE theirs (x)")
    file.close()
    before = other.read_bytes()
    with pytest.raises(Unreadable, match="another program"):
        ResultStore(other)
    assert other.read_bytes() == before


def test_what_is_no_database_is_told(tmp_path: Path) -> None:
    text = tmp_path / "text"
    text.write_text("not a database, but long enough to look at " * 10)
    with pytest.raises(Unreadable, match="cannot be used as a store"):
        ResultStore(text)


def test_a_killed_run_loses_only_the_piece_it_was_at(tmp_path: Path) -> None:
    """Each piece is one transaction: after the kill the store has whole pieces only, each once."""
    code = textwrap.dedent(
        """
        import os, signal, sys
        from pathlib import Path
        from ringcut.archive.resultstore import ResultStore
        store = ResultStore(Path(sys.argv[1]))
        for piece in range(5):
            store.keep([(f"{piece}-{number}", b"x") for number in range(100)])
        def torn():
            for number in range(50):
                yield f"torn-{number}", b"x"
            os.kill(os.getpid(), signal.SIGKILL)
        store.keep(torn())
        """
    )
    done = subprocess.run([sys.executable, "-c", code, str(tmp_path / "store")], capture_output=True, check=False)
    assert done.returncode == -9, done.stderr
    with ResultStore(tmp_path / "store") as store:
        assert len(store) == 500
        assert store.known(["torn-0"]) == {}

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


def test_a_store_of_a_later_version_is_left_alone(tmp_path: Path) -> None:
    """Symptom: a file of a later format was opened, and marked as one of this."""
    with ResultStore(tmp_path / "store"):
        pass
    with sqlite3.connect(tmp_path / "store") as file:
        file.execute("PRAGMA user_version = 99")
    file.close()
    with pytest.raises(Unreadable, match="later version of Ringcut: its format is 99"):
        ResultStore(tmp_path / "store")


@pytest.mark.parametrize("change", ["UPDATE result SET data = data || x'00'", "UPDATE result SET key = 'b'"])
def test_a_damaged_result_is_as_if_it_were_not_there(change: str, tmp_path: Path) -> None:
    """Without a sum a number with one other digit would be counted as it stands."""
    with ResultStore(tmp_path / "store") as store:
        store.keep([("a", b"result")])
        assert store.known(["a", "b"]) == {"a": b"result"}
    with sqlite3.connect(tmp_path / "store") as file:
        file.execute(change)
    file.close()
    with ResultStore(tmp_path / "store") as store:
        assert store.known(["a", "b"]) == {}
        store.keep([("a", b"again")])
        assert store.known(["a"]) == {"a": b"again"}


def test_a_full_disk_costs_the_store_alone(tmp_path: Path) -> None:
    """Symptom: «internal error: OperationalError: database or disk is full», and no report."""
    with ResultStore(tmp_path / "store") as store:
        store.keep([("a", b"result")])
        store._file.execute("PRAGMA max_page_count = 4")
        store.keep([("b", bytes(100_000))])
        assert store.lost == "database or disk is full"
        store.keep([("c", b"small")])
        assert store.known(["a", "b", "c"]) == {}
    with ResultStore(tmp_path / "store") as store:
        assert (store.lost, store.known(["a", "b", "c"])) == ("", {"a": b"result"})


def test_two_runs_write_to_one_store(tmp_path: Path) -> None:
    with ResultStore(tmp_path / "store") as one, ResultStore(tmp_path / "store") as other:
        for number in range(20):
            (one if number % 2 else other).keep([(f"{number}", b"x"), ("both", bytes([number]))])
        assert (len(one), one.lost, other.lost) == (21, "", "")
        assert one.known(["both"]) == other.known(["both"]) == {"both": bytes([19])}

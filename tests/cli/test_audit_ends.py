"""However a run ends, there is a report or a message: full disks, stores that fail, the keyboard amid a log."""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
import threading
from collections.abc import Callable
from multiprocessing import Pipe
from multiprocessing.connection import Connection
from pathlib import Path
from types import SimpleNamespace

import pytest
from click.testing import Result

from ringcut.archive import crowd
from ringcut.archive.results import LogReport
from ringcut.archive.resultstore import ResultStore
from ringcut.archive.work import Settings
from ringcut.rulebookfiles import builtin_rulebook
from ringcut_cli.audit.outputs import JsonSink
from ringcut_cli.exits import Exit
from ringcut_cli.shown.page import out_bytes

Run = Callable[..., Result]
FULL = Path("/dev/full")
PLAN = "procedure: plan\njob: {reference: J, work: sheath-repair}\nsteps: [open-sheath]\n"


@pytest.fixture
def lines(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Forty invented logs in pieces of four."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("ringcut.archive.work.LINES", 4)
    made = [
        json.dumps({"procedure": "log", "job": {"reference": f"J-{number}"}, "steps": ["open-sheath"]})
        for number in range(40)
    ]
    (tmp_path / "many.jsonl").write_text("\n".join(made) + "\n")
    return tmp_path


def test_a_store_that_fails_amid_a_run_costs_no_result(lines: Path, run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    asked = ("audit", "many.jsonl", "--format", "json", "--as-of", "2026-06-01")
    whole = run(*asked)
    real = ResultStore._prepare

    def small(self: ResultStore) -> None:
        real(self)
        self._file.execute("PRAGMA max_page_count = 20")

    monkeypatch.setattr(ResultStore, "_prepare", small)
    told = run(*asked, "--store", "kept")
    assert (told.stdout_bytes, told.exit_code) == (whole.stdout_bytes, whole.exit_code)
    assert "kept: cannot be used any more: database or disk is full. The report is whole;" in told.stderr
    monkeypatch.setattr(ResultStore, "_prepare", real)
    again = run(*asked, "--store", "kept")
    assert again.stdout_bytes == whole.stdout_bytes
    assert "kept" not in again.stderr


def test_a_file_that_is_no_store_leaves_no_half_report(lines: Path, run: Run) -> None:
    (lines / "text").write_text("not a database, but long enough to look at " * 10)
    told = run("audit", "many.jsonl", "--format", "json", "--store", "text")
    assert (told.exit_code, told.stdout) == (Exit.BAD_INPUT, "")
    assert "text: cannot be used as a store" in told.stderr


def test_questions_that_cannot_be_written_are_told_before_the_run(lines: Path, run: Run) -> None:
    """Symptom: after a run of hours the folder of the questions was not there."""
    told = run("audit", "many.jsonl", "--questions", "nowhere/q.csv")
    assert (told.exit_code, told.stdout) == (Exit.BAD_INPUT, "")
    assert "nowhere/q.csv: cannot be written: there is no folder nowhere" in told.stderr


@pytest.mark.skipif(not FULL.exists(), reason="no /dev/full on this system")
@pytest.mark.parametrize("unbuffered", ["", "1"])
@pytest.mark.parametrize(
    "asked", [["audit", "many.jsonl", "--format", "html"], ["audit", "many.jsonl"], ["check", "plan.yaml"]]
)
def test_a_report_that_finds_no_room_is_told(asked: list[str], unbuffered: str, lines: Path, cache: Path) -> None:
    """Symptom: «internal error: OSError»; and without Python's buffer half a page and a verdict as exit code."""
    (lines / "plan.yaml").write_text(PLAN)
    with FULL.open("wb") as full:
        done = subprocess.run(
            [sys.executable, "-m", "ringcut_cli", *asked], stdout=full, stderr=subprocess.PIPE, text=True, check=False,
            env={**os.environ, "PYTHONUNBUFFERED": unbuffered, "RINGCUT_CACHE": str(cache)},
        )  # fmt: skip
    assert done.returncode == Exit.BAD_INPUT
    said = "standard output or a temporary file: cannot be written: No space left on device. What was written before"
    assert done.stderr.startswith(said), done.stderr


@pytest.mark.skipif(not FULL.exists(), reason="no /dev/full on this system")
def test_questions_that_find_no_room_leave_the_report(lines: Path, run: Run) -> None:
    (lines / "q.csv").symlink_to(FULL)
    told = run("audit", "many.jsonl", "--format", "json", "--questions", "q.csv")
    assert told.exit_code == Exit.BAD_INPUT
    assert json.loads(told.stdout)["summary"]["logs"] == 40
    assert "q.csv: cannot be written: No space left on device. The report is whole;" in told.stderr


class Partly(io.RawIOBase):
    """Takes three bytes at a time, as a file on a disk that is nearly full."""

    def __init__(self) -> None:
        self.taken = b""

    def write(self, data: object) -> int:
        part = bytes(data)[:3]  # type: ignore[call-overload]
        self.taken += part
        return len(part)


def test_what_is_written_in_parts_is_written_whole(monkeypatch: pytest.MonkeyPatch) -> None:
    stream = Partly()

    monkeypatch.setattr(sys, "stdout", SimpleNamespace(buffer=stream, flush=lambda: None))
    out_bytes(b"a whole page")
    assert stream.taken == b"a whole page"


def test_the_keyboard_amid_a_log_leaves_counts_and_logs_alike(
    lines: Path, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A log that was counted and not yet written would be in the summary alone."""
    real, told = JsonSink.log, []

    def stopping(self: JsonSink, report: LogReport) -> None:
        told.append(report)
        if len(told) == 6:
            assert threading.current_thread() is threading.main_thread()
            os.kill(os.getpid(), 2)
        real(self, report)

    monkeypatch.setattr(JsonSink, "log", stopping)
    done = run("audit", "many.jsonl", "--format", "json", "--store", "kept")
    assert done.exit_code == Exit.STOPPED
    report = json.loads(done.stdout)
    assert (report["complete"], len(report["logs"]), report["summary"]["logs"]) == (False, 8, 8)


def test_a_process_whose_master_is_gone_ends_without_a_word(cache: Path) -> None:
    """Symptom: after a kill -9 each worker left a traceback about a broken pipe in the terminal."""
    near, far = Pipe()

    def work(piece: object) -> bytes:
        near.close()
        return b"done"

    near.send("a piece")
    settings = Settings(builtin_rulebook(), "2026-06-01", cache=cache)
    serve: Callable[[Callable[[Settings], object], Settings, Callable[[object], bytes], Connection], None] = (
        crowd._serve
    )
    serve(lambda made: None, settings, work, far)
    near, far = Pipe()
    near.close()
    serve(lambda made: None, settings, work, far)

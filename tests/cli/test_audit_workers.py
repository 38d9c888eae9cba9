"""``ringcut audit --workers``: a process that is lost ends the run with a sentence, a code, and what was done."""

from __future__ import annotations

import json
import multiprocessing
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import Result

from ringcut.archive.auditreport import AuditDigests
from ringcut.archive.work import Bench
from ringcut_cli.audit.running import Run as Running
from ringcut_cli.exits import Exit

Run = Callable[..., Result]


@pytest.fixture
def many(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with 40 invented logs in one file, twenty pieces of work."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("ringcut.archive.work.LINES", 2)
    line = json.dumps({"procedure": "log", "job": {"reference": "J"}, "steps": ["open-sheath"]})
    (tmp_path / "many.jsonl").write_text(f"{line}\n" * 40)
    (tmp_path / "columns.yaml").write_text("contractor: N\ncolumns: {Task: task}\n")
    return tmp_path


def test_a_file_that_goes_before_a_process_begins(many: Path, run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    real = Bench.digests

    def going(self: Bench) -> AuditDigests:
        made = real(self)
        (many / "columns.yaml").unlink()
        return made

    monkeypatch.setattr(Bench, "digests", going)
    result = run("audit", "many.jsonl", "--columns", "columns.yaml", "--workers", "2", "--format", "json")
    assert result.exit_code == Exit.BAD_INPUT
    assert "A worker process was lost: it could not begin: columns.yaml: cannot be opened" in result.stderr
    assert "Traceback" not in result.output
    told = json.loads(result.stdout)
    assert (told["complete"], told["verdict"], told["logs"]) == (False, "undetermined", [])


@pytest.mark.parametrize("form", ["json", "text", "sarif", "html"])
def test_a_process_that_is_ended_from_outside(form: str, many: Path, run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    real = Running._take

    def ending(self: Running, *found: object) -> None:
        real(self, *found)  # type: ignore[arg-type]
        for child in multiprocessing.active_children():
            child.terminate()

    monkeypatch.setattr(Running, "_take", ending)
    result = run("audit", "many.jsonl", "--workers", "2", "--store", "kept", "--format", form)
    assert result.exit_code == Exit.INTERNAL
    assert "A worker process was lost: it was ended from outside" in result.stderr
    assert "Traceback" not in result.output
    said = {"json": '"complete": false', "sarif": '"executionSuccessful": false', "html": "stopped before the end"}
    assert said.get(form, "A worker process was lost: this is what was done") in result.stdout
    monkeypatch.setattr(Running, "_take", real)
    again = run("audit", "many.jsonl", "--store", "kept", "--format", "json")
    told = json.loads(again.stdout)
    assert (told["complete"], len(told["logs"])) == (True, 40)

"""Several processes: a process that cannot begin, or is ended from outside, is told, and what was done stays whole."""

from __future__ import annotations

import json
import multiprocessing
from base64 import b64encode
from pathlib import Path

import msgspec
import pytest

from ringcut.archive import crowd
from ringcut.archive.crowd import NoBench, WorkerLost, worked
from ringcut.archive.work import Bench, Piece, Settings, pieces
from ringcut.rulebookfiles import builtin_rulebook


@pytest.fixture
def settings(compiled: Path) -> Settings:
    return Settings(builtin_rulebook(), "2026-04-01", cache=compiled)


@pytest.fixture
def logs(tmp_path: Path) -> list[Piece]:
    """Twenty pieces of one log."""
    found = []
    for number in range(20):
        path = tmp_path / f"{number}.jsonl"
        log = {"procedure": "log", "job": {"reference": f"J-{number}"}, "steps": ["open-sheath"]}
        path.write_text(json.dumps(log) + "\n")
        found.append((path, path.name))
    return list(pieces(found))


def test_a_process_that_is_ended_from_outside_is_told(settings: Settings, logs: list[Piece]) -> None:
    done: list[str] = []
    with pytest.raises(WorkerLost, match="ended from outside, or ran out of memory"):
        for piece, audited in worked(logs, settings, 2, Bench(settings)):
            done.append(piece.name)
            assert audited.items[0].report is not None
            for child in multiprocessing.active_children():
                child.terminate()
    assert done and done == [piece.name for piece in logs[: len(done)]]


def test_a_process_that_is_ended_amid_its_result_is_not_waited_for(settings: Settings) -> None:
    """Symptom: the run stood still for ever, since half a result lay in a pipe whose far end was open."""
    for _ in range(10):
        with pytest.raises(WorkerLost, match="ended from outside"):
            for _ in crowd._spread([1_000_000] * 20, settings, 2, id, bytes):
                for child in multiprocessing.active_children():
                    child.kill()


def test_a_defect_in_a_process_is_told_with_its_place(settings: Settings) -> None:
    with pytest.raises(RuntimeError, match=r"line \d+, in b64encode\n(.*\n)*TypeError: a bytes-like"):
        list(crowd._spread(["a", "b"], settings, 2, id, b64encode))  # type: ignore[arg-type]


def test_a_process_that_cannot_read_its_settings_is_told(settings: Settings, logs: list[Piece], tmp_path: Path) -> None:
    gone: Settings = msgspec.structs.replace(settings, columns=(tmp_path / "gone.yaml",))
    with pytest.raises(NoBench, match=r"it could not begin: .*gone\.yaml"):
        list(worked(logs, gone, 2, Bench(settings)))


def test_whatever_else_keeps_a_process_from_beginning_is_told_in_a_sentence(
    settings: Settings, logs: list[Piece], monkeypatch: pytest.MonkeyPatch
) -> None:
    def failing(_: Settings) -> Bench:
        raise MemoryError("no room")

    for name in ("_refused", "_benches"):
        monkeypatch.setattr(crowd, name, [])
    monkeypatch.setattr(crowd, "Bench", failing)
    monkeypatch.setattr("signal.signal", lambda *_: None)
    crowd._begin(settings)
    with pytest.raises(WorkerLost, match="it could not begin: MemoryError: no room"):
        crowd._work(logs[0])

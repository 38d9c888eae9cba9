"""With a store a report is that of a run without one, byte for byte, wherever the logs stood when they were judged."""

from __future__ import annotations

import json
import random
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import Result
from tests.benchmarks.manylogs import flawed, made

Run = Callable[..., Result]
OTHER = "week 19 \\ \u00fc.jsonl"
"""A name that JSON and a terminal write otherwise."""
PLAN = """procedure: plan
job: {reference: %s}
steps: [open-sheath, {do: wrap-rubber-tape, layers: 3}, repair-conductors]
"""


def lines() -> list[str]:
    """Logs with flaws of many kinds; two that are alike, two lines that cannot be read, one of another day."""
    rng = random.Random(19)
    found = []
    for number in range(30):
        raw = made(number, rng)
        raw["steps"] = [each for each in raw["steps"] if isinstance(each, dict)]
        for _ in range(number % 4):
            flawed(raw["steps"], rng)
        if number % 5 == 0:
            raw["records"] = "milestones"
            raw["steps"] = raw["steps"][::2]
        found.append(json.dumps(raw))
    return [*found, found[3], "{not json", json.dumps({"procedure": "log", "steps": ["no-such-step"]})]


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("ringcut.archive.work.LINES", 8)
    (tmp_path / "a.jsonl").write_text("\n".join(lines()) + "\n")
    other = lines()
    random.Random(5).shuffle(other)
    (tmp_path / OTHER).write_text("\n\n" + "\n".join(other[:-4]) + "\n", encoding="utf-8")
    reference = json.loads(lines()[0])["job"]["reference"]
    (tmp_path / "plan.yaml").write_text(PLAN % reference)
    return tmp_path


@pytest.mark.parametrize("form", ["json", "csv", "html", "text"])
def test_logs_that_stand_in_another_line_of_another_file(folder: Path, run: Run, form: str) -> None:
    """Symptom: of a known log that had moved, evidence and causes named the line where it stood before."""
    asked = ("--format", form, "--as-of", "2026-12-01", "--plan", "plan.yaml")
    for file, known in (("a.jsonl", "1 result was"), (OTHER, "29 results were")):  # one line stands there twice
        stored = run("audit", file, *asked, "--store", "kept").stdout
        assert (f"{known} in the store already." in stored) == (form == "text")
        assert stored.replace(f"\n{known} in the store already.\n", "") == run("audit", file, *asked).stdout


def test_an_answer_is_for_its_row_alone(folder: Path, run: Run) -> None:
    """The same line in another row has the same question, and nobody has answered that one."""
    line = lines()[0]
    (folder / "b.jsonl").write_text(f"{line}\n{line}\n")
    asked = ("--format", "json", "--as-of", "2026-12-01")
    run("audit", "b.jsonl", *asked, "--questions", "q.csv")
    head, *rows = (folder / "q.csv").read_text("utf-8-sig").splitlines()
    assert rows
    (folder / "q.csv").write_text("\n".join([head, rows[0]]) + "\n")
    for _ in range(2):
        kept = run("audit", "b.jsonl", *asked, "--answers", "q.csv", "--store", "kept")
        assert kept.stdout_bytes == run("audit", "b.jsonl", *asked, "--answers", "q.csv").stdout_bytes

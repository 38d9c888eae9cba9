"""``audit --counts --aside``: of very many logs those that need a closer look, as they stand, for an audit of these."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import Result
from tests.benchmarks.manylogs import logs

from ringcut_cli.exits import Exit

Run = Callable[..., Result]
COUNT = ("audit", "--as-of", "2026-06-01", "--counts")


@pytest.fixture
def many(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Sixty logs, some with a flaw, and a line that is none."""
    monkeypatch.chdir(tmp_path)
    lines = [json.dumps(log, separators=(",", ":")) for log in logs(60, seed=3)]
    lines.insert(7, "no log")
    path = tmp_path / "all.jsonl"
    path.write_text("".join(f"{line}\n" for line in lines), encoding="utf-8")
    return path


def test_an_audit_of_what_was_set_aside_finds_what_was_counted(many: Path, run: Run) -> None:
    told = run(*COUNT, "all.jsonl", "--aside", "look.jsonl", "--format", "json")
    whole = json.loads(told.stdout)
    aside = Path("look.jsonl").read_text(encoding="utf-8").splitlines()
    assert [line for line in many.read_text(encoding="utf-8").splitlines() if line in aside] == aside
    assert "no log" in aside
    assert 3 < whole["set-aside"] == len(aside) < 30
    looked = json.loads(run("audit", "--as-of", "2026-06-01", "look.jsonl", "--format", "json").stdout)
    verdicts = looked["summary"]["verdicts"]
    assert verdicts == {name: n for name, n in whole["verdicts"].items() if name in ("nonconforming", "undetermined")}
    assert told.exit_code == Exit.BAD_INPUT


def test_the_screen_says_what_to_do_next(many: Path, run: Run) -> None:
    Path("sheet.csv").write_text("reference,step,at\nC-1,shrink-sleeve,2026-03-04T09:00:00-06:00\n", encoding="utf-8")
    text = run(*COUNT, "all.jsonl", "sheet.csv", "--aside", "look.jsonl").stdout
    number = len(Path("look.jsonl").read_bytes().splitlines())
    assert f"SET ASIDE  {number} lines in look.jsonl\n  ringcut audit look.jsonl tells why" in text
    assert "1 log of other files not: audit these files" in text


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (("--aside", "all.jsonl"), "all.jsonl: is one of the logs: it would be overwritten."),
        (("--aside", "none/look.jsonl"), "there is no folder none"),
        (("--aside", "/dev/full"), "/dev/full: cannot be written"),
    ],
)
def test_a_file_that_cannot_be_written_is_told(options: tuple[str, ...], said: str, many: Path, run: Run) -> None:
    before = many.read_bytes()
    found = run(*COUNT, "all.jsonl", *options)
    assert said in found.stderr
    assert found.exit_code == Exit.BAD_INPUT
    assert many.read_bytes() == before


def test_an_audit_of_each_log_sets_nothing_aside(many: Path, run: Run) -> None:
    found = run("audit", "all.jsonl", "--aside", "look.jsonl")
    assert "--aside goes with --counts" in found.stderr
    assert not Path("look.jsonl").exists()

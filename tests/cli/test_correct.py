"""``ringcut correct`` shows a diff and writes only when asked."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from ringcut_cli.exits import Exit
from ringcut_cli.main import cli

OPTIONS = [
    "--work", "sheath-repair", "--sheath", "lead", "--construction", "single", "--core", "paper",
    "--pressurized", "no", "--location", "manhole", "--cable-diameter", "2.05 in", "--opening-length", "4 in",
]  # fmt: skip


@pytest.fixture
def runner() -> CliRunner:
    return CliRunner(env={"RINGCUT_CACHE": "off"})


@pytest.fixture
def plan(runner: CliRunner, tmp_path: Path) -> Path:
    """A plan in which the lead is wiped before it is scuffed."""
    path = tmp_path / "plan.yaml"
    lines = runner.invoke(cli, ["draft", *OPTIONS]).stdout.splitlines()
    lines.remove("  - wipe-lead")
    lines.insert(lines.index("  - clean-lead") + 1, "  - wipe-lead   # wet cloth")
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


def test_a_correction_is_shown_then_written_then_there_is_none(runner: CliRunner, plan: Path) -> None:
    before = plan.read_text(encoding="utf-8")
    shown = runner.invoke(cli, ["correct", str(plan)])
    assert shown.exit_code == Exit.NONCONFORMING
    assert "1 edit; fewer will not do." in shown.stdout
    assert "move wipe-lead" in shown.stdout
    assert "for lead-wiped" in shown.stdout
    assert "  - wipe-lead   # wet cloth" in shown.stdout
    assert "+  - " in shown.stdout
    assert plan.read_text(encoding="utf-8") == before
    written = runner.invoke(cli, ["correct", "--write", str(plan)])
    assert written.exit_code == Exit.CONFORMS
    after = plan.read_text(encoding="utf-8")
    assert sorted(after.splitlines()) == sorted(before.splitlines())
    again = runner.invoke(cli, ["correct", "--write", str(plan)])
    assert again.exit_code == Exit.CONFORMS
    assert "Nothing to correct" in again.stdout
    assert plan.read_text(encoding="utf-8") == after


def test_what_is_impossible_is_a_conflict(runner: CliRunner, plan: Path) -> None:
    text = plan.read_text(encoding="utf-8").replace("opening-length: 4 in", "opening-length: 60 in")
    plan.write_text(text, encoding="utf-8")
    result = runner.invoke(cli, ["correct", "--write", str(plan)])
    assert result.exit_code == Exit.NONCONFORMING
    assert "no correction" in result.stdout
    assert "opening length 60 in" in result.stdout
    assert plan.read_text(encoding="utf-8") == text


def test_a_plan_of_which_not_everything_can_be_said_is_not_called_fine(runner: CliRunner, plan: Path) -> None:
    text = plan.read_text(encoding="utf-8").replace("  core: paper\n", "")
    plan.write_text(text, encoding="utf-8")
    runner.invoke(cli, ["correct", "--write", str(plan)])
    result = runner.invoke(cli, ["correct", str(plan)])
    assert result.exit_code == Exit.UNDETERMINED
    assert "Nothing to correct" not in result.stdout
    assert "not everything can be said" in result.stdout
    assert "the job does not say: core" in result.stdout

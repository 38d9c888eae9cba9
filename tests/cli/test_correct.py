"""``ringcut correct`` shows a diff and writes only when asked."""

from __future__ import annotations

import os
import signal
from collections.abc import Iterator
from pathlib import Path

import pytest
from click.testing import CliRunner

from ringcut.correct.effort import BudgetEnded, Effort
from ringcut.correct.finders import Found, ListFinder
from ringcut.reading.problems import Unreadable
from ringcut_cli.commands.correct import replaced, stopping
from ringcut_cli.exits import Exit
from ringcut_cli.main import cli
from ringcut_cli.searching import Searching

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


def test_what_no_edit_mends_is_left_and_the_rest_is_corrected(runner: CliRunner, plan: Path) -> None:
    text = plan.read_text(encoding="utf-8").replace("opening-length: 4 in", "opening-length: 60 in")
    plan.write_text(text, encoding="utf-8")
    written = runner.invoke(cli, ["correct", "--write", str(plan)])
    assert written.exit_code == Exit.NONCONFORMING
    assert "1 edit.\n  Not all is right after" in written.stdout
    assert "move wipe-lead" in written.stdout
    assert "No edit mends this: no sleeve length and size fits: opening length 60 in" in written.stdout
    assert "LEFT TO DO BY HAND: 1 major" in written.stdout
    assert "do      Cut a longer sleeve" in written.stdout
    assert "Judged again: nonconforming." in written.stdout
    after = plan.read_text(encoding="utf-8")
    assert sorted(after.splitlines()) == sorted(text.splitlines())
    again = runner.invoke(cli, ["correct", "--write", str(plan)])
    assert again.exit_code == Exit.NONCONFORMING
    assert "no correction" in again.stdout
    assert "LEFT TO DO BY HAND: 1 major" in again.stdout
    assert plan.read_text(encoding="utf-8") == after


def test_an_end_of_the_search_is_told(runner: CliRunner, plan: Path) -> None:
    lines = [each for each in plan.read_text(encoding="utf-8").splitlines() if each != "  - identify-cable"]
    plan.write_text("\n".join(lines) + "\n", encoding="utf-8")
    enough = runner.invoke(cli, ["correct", str(plan)])
    assert "2 edits; fewer will not do." in enough.stdout
    little = runner.invoke(cli, ["correct", "--budget", "10", str(plan)])
    assert "no correction. The search ended after 10 looks." in little.stdout
    assert "LEFT TO DO BY HAND: " in little.stdout
    assert little.exit_code == enough.exit_code == Exit.NONCONFORMING


STOCK = "size,slips over in,shrinks to in,length in\nQ-1,3,1,30\n"
"""Invented."""


def test_the_stock_list_of_ones_own_decides(
    runner: CliRunner, plan: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("stock.csv").write_text(STOCK, encoding="utf-8")
    found = runner.invoke(cli, ["correct", "--stock", "stock.csv", plan.name])
    assert "to Q-1" in found.stdout
    assert "Sleeves are those of stock.csv." in " ".join(found.stdout.split())


def test_a_plan_of_which_not_everything_can_be_said_is_not_called_fine(runner: CliRunner, plan: Path) -> None:
    text = plan.read_text(encoding="utf-8").replace("  core: paper\n", "")
    plan.write_text(text, encoding="utf-8")
    runner.invoke(cli, ["correct", "--write", str(plan)])
    result = runner.invoke(cli, ["correct", str(plan)])
    assert result.exit_code == Exit.UNDETERMINED
    assert "Nothing to correct" not in result.stdout
    assert "not everything can be said" in result.stdout
    assert "the job does not say: core" in result.stdout


def test_what_is_written_stands_where_a_link_leads_and_keeps_its_mode(
    runner: CliRunner, plan: Path, tmp_path: Path
) -> None:
    plan.chmod(0o640)
    link = tmp_path / "today.yaml"
    link.symlink_to(plan)
    before = plan.read_text(encoding="utf-8")
    assert runner.invoke(cli, ["correct", "--write", str(link)]).exit_code == Exit.CONFORMS
    assert link.is_symlink()
    assert plan.read_text(encoding="utf-8") != before
    assert plan.stat().st_mode & 0o777 == 0o640
    assert sorted(each.name for each in tmp_path.iterdir()) == ["plan.yaml", "today.yaml"]


def test_a_file_that_changed_meanwhile_is_not_written_over(tmp_path: Path) -> None:
    file = tmp_path / "plan.yaml"
    file.write_bytes(b"somebody's own\n")
    with pytest.raises(Unreadable, match="changed while"):
        replaced(file, b"as it was read\n", b"corrected\n")
    assert file.read_bytes() == b"somebody's own\n"


@pytest.mark.skipif(os.geteuid() == 0, reason="to the superuser no file is write-protected")
def test_a_file_that_is_write_protected_stays_as_it_is(tmp_path: Path) -> None:
    file = tmp_path / "plan.yaml"
    file.write_bytes(b"as it was read\n")
    file.chmod(0o444)
    with pytest.raises(PermissionError) as told:
        replaced(file, b"as it was read\n", b"corrected\n")
    assert told.value.filename == str(file)
    assert file.read_bytes() == b"as it was read\n"


def test_a_line_tells_how_far_the_search_is(capsys: pytest.CaptureFixture[str]) -> None:
    with Searching(wanted=True) as searching:
        searching.shown -= 60
        searching.told(0.4, "9 edits found; looking for fewer")
    told = capsys.readouterr()
    assert "9 edits found; looking for fewer: 40% of the budget, 0 s" in told.err
    assert told.err.endswith("\r\x1b[K")
    assert told.out == ""


def test_ctrl_c_ends_the_search_and_a_second_one_the_program() -> None:
    effort = Effort(1_000)
    with stopping(effort):
        signal.raise_signal(signal.SIGINT)
        with pytest.raises(BudgetEnded, match="stopped"):
            effort.spend()
        with effort.besides(100):
            effort.spend(50)  # to write down what was found
        with pytest.raises(KeyboardInterrupt):
            signal.raise_signal(signal.SIGINT)


def test_what_was_found_is_shown_where_the_search_is_stopped(
    runner: CliRunner, plan: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The first look for fewer edits is answered with Ctrl-C."""
    ask = ListFinder.within

    def stopped(self: ListFinder, edits: int) -> Iterator[Found]:
        signal.raise_signal(signal.SIGINT)
        return ask(self, edits)

    monkeypatch.setattr(ListFinder, "within", stopped)
    shown = runner.invoke(cli, ["correct", str(plan)])
    assert shown.exit_code == Exit.NONCONFORMING
    assert "move wipe-lead" in shown.stdout
    assert "Judged again: conforms." in shown.stdout

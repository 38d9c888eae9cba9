"""``ringcut draft`` from options, packets and questions; what it writes, and where it refuses."""

from __future__ import annotations

import shlex
from pathlib import Path

import pytest
from click.testing import CliRunner

from ringcut_cli.audit.terminal import Terminal
from ringcut_cli.exits import Exit
from ringcut_cli.main import cli

OPTIONS = [
    "--work", "trouble-opening", "--sheath", "lead", "--construction", "single", "--core", "paper",
    "--pressurized", "yes", "--location", "manhole", "--cable-diameter", "2.05 in", "--opening-length", "14 in",
]  # fmt: skip


@pytest.fixture
def runner() -> CliRunner:
    return CliRunner(env={"RINGCUT_CACHE": "off"})


def test_a_plan_goes_to_stdout_and_conforms(runner: CliRunner, tmp_path: Path) -> None:
    result = runner.invoke(cli, ["draft", *OPTIONS, "--reference", "HV-1", "--fact", "manhole-depth=9 ft"])
    assert result.exit_code == Exit.CONFORMS, result.stderr
    assert "sleeve-length: 28 in" in result.stdout
    assert "manhole-depth: 9 ft" in result.stdout
    assert "# This holds while" in result.stdout
    assert "invented" in result.stderr
    plan = tmp_path / "plan.yaml"
    plan.write_text(result.stdout, encoding="utf-8")
    assert runner.invoke(cli, ["check", str(plan)]).exit_code == Exit.CONFORMS


def test_a_file_is_not_overwritten_without_force(runner: CliRunner, tmp_path: Path) -> None:
    plan = tmp_path / "plan.yaml"
    plan.write_text("mine", encoding="utf-8")
    refused = runner.invoke(cli, ["draft", *OPTIONS, "--output", str(plan)])
    assert refused.exit_code == Exit.BAD_INPUT
    assert plan.read_text(encoding="utf-8") == "mine"
    assert runner.invoke(cli, ["draft", *OPTIONS, "--output", str(plan), "--force"]).exit_code == Exit.CONFORMS
    assert plan.read_text(encoding="utf-8").startswith("# Drafted")


def test_questions_are_asked_again_until_they_are_answered(runner: CliRunner) -> None:
    answers = ["trouble opening", "leed", "lead", "single", "paper", "not known", "2.05", "2.05 in", "14 in", "manhole"]
    result = runner.invoke(cli, ["draft", "--ask"], input="\n".join(answers) + "\n")
    assert "Did you mean lead" in result.stderr
    assert "2.05 what?" in result.stderr
    assert "opening-length: 14 in" in result.stdout
    assert "Not known: pressurized" in result.stdout


def test_a_job_of_a_packet(runner: CliRunner, tmp_path: Path) -> None:
    packet = tmp_path / "jobs.csv"
    packet.write_text(
        "reference,work,sheath,construction,core,pressurized,location,cable diameter,opening length\n"
        "HV-7,sheath-repair,polyethylene,single,plastic,no,manhole,1.5 in,4 in\n",
        encoding="utf-8",
    )
    result = runner.invoke(cli, ["draft", "--packet", str(packet), "--reference", "HV-7"])
    assert result.exit_code == Exit.CONFORMS, result.stderr
    assert "reference: HV-7" in result.stdout


def test_a_stock_list_of_ones_own(runner: CliRunner, tmp_path: Path) -> None:
    stock = tmp_path / "stock.csv"
    stock.write_text("size,slips-over,shrinks-to,length\nMINE,4 in,1 in,36 in\n", encoding="utf-8")
    result = runner.invoke(cli, ["draft", *OPTIONS, "--stock", str(stock)])
    assert "size: MINE" in result.stdout
    assert "invented" not in result.stdout


def test_no_plan_is_a_conflict_with_advice(runner: CliRunner) -> None:
    result = runner.invoke(cli, ["draft", *OPTIONS[:-1], "60 in"])
    assert result.exit_code == Exit.NONCONFORMING
    assert result.stdout == ""
    assert "No plan: no " in result.stderr
    assert "2 overlapping sleeves" in result.stderr


def test_bad_facts_are_told_and_nothing_is_drafted(runner: CliRunner) -> None:
    result = runner.invoke(cli, ["draft", *OPTIONS[:-1], "14", "--fact", "sheeth=lead"])
    assert result.exit_code == Exit.BAD_INPUT
    assert "14 what?" in result.stderr
    assert "Did you mean sheath" in result.stderr
    assert result.stdout == ""


def test_a_budget_that_is_too_small_gives_up_and_does_not_say_impossible(runner: CliRunner) -> None:
    result = runner.invoke(cli, ["draft", *OPTIONS, "--budget", "1"])
    assert result.exit_code == Exit.UNDETERMINED
    assert "gave up" in result.stderr


COMMON = ["trouble opening", "lead", "single", "paper", "yes", "2.05 in", "14 in", "manhole"]
"""The answers to the commonest job, in the order of its questions."""


def test_the_commonest_job_is_eight_questions(runner: CliRunner) -> None:
    result = runner.invoke(cli, ["draft", "--ask"], input="\n".join(COMMON) + "\n")
    assert result.exit_code == Exit.CONFORMS, result.stderr
    assert [line.split()[0] for line in result.stderr.splitlines() if line[:1].isdigit()] == list("12345678")
    assert "? means: not known" in result.stderr


def test_back_takes_the_last_answer_back(runner: CliRunner) -> None:
    answers = ["back", "sheath repair", "back", COMMON[0], "lead", "single", "paper", "back", "plastic", *COMMON[4:]]
    result = runner.invoke(cli, ["draft", "--ask"], input="\n".join(answers) + "\n")
    assert result.exit_code == Exit.CONFORMS, result.stderr
    assert "This is the first question." in result.stderr
    assert "work: trouble opening" in result.stdout
    assert "core: plastic" in result.stdout


def test_answers_that_end_too_early_are_not_lost(runner: CliRunner, tmp_path: Path) -> None:
    """Everything that had been answered was gone, and nobody said why."""
    packet = tmp_path / "jobs.csv"
    packet.write_text("reference,sheath A,sheath B,core\nWO 1,lead,polyethylene,plastic\n", encoding="utf-8")
    result = runner.invoke(
        cli, ["draft", "--packet", str(packet), "--reference", "WO 1", "--ask"], input="auxiliary repair\nsingle\n?\n"
    )
    assert result.exit_code == Exit.BAD_INPUT
    assert "The answers ended before the questions did." in result.stderr
    line = next(line for line in result.stderr.splitlines() if line.startswith("  ringcut draft "))
    again = shlex.split(line)[1:]
    assert again[-2:] == ["--pressurized", "not known"]
    assert "lead" not in " ".join(again)  # the packet says that
    done = runner.invoke(cli, [*again, "--ask"], input="2 in\n3 in\npole\n")
    assert "Not known: pressurized" in done.stdout, done.stderr
    assert "work: auxiliary repair" in done.stdout


def test_ctrl_c_tells_how_to_go_on(runner: CliRunner, monkeypatch: pytest.MonkeyPatch) -> None:
    answers = iter(["sheath repair", "A lead, B polyethylene"])

    def line(self: Terminal) -> str:
        for answer in answers:
            return answer
        raise KeyboardInterrupt

    monkeypatch.setattr(Terminal, "_line", line)
    result = runner.invoke(cli, ["draft", "--ask"])
    assert result.exit_code == Exit.STOPPED
    assert "ringcut draft --work 'sheath repair' --sheath 'A lead, B polyethylene'" in result.stderr


def test_without_the_kind_of_work_nothing_more_is_asked(runner: CliRunner) -> None:
    """Five further questions were asked for a plan that there could not be."""
    result = runner.invoke(cli, ["draft", "--ask"], input="?\n?\n?\n?\n")
    assert result.exit_code == Exit.UNDETERMINED
    assert "Find out first: work" in result.stderr
    assert "location" not in result.stderr

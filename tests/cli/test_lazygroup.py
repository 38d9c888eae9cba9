"""Commands are found, imported late, and end with the exit code that the design promises."""

from __future__ import annotations

import sys
from pathlib import Path

import click
import pytest
from click.testing import CliRunner, Result

from ringcut_cli.exits import Exit
from ringcut_cli.lazygroup import Entry, LazyGroup

MODULE = """
import click
from ringcut.reading.problems import Place, Problem, Unreadable
from ringcut_cli.exits import Exit

@click.command()
@click.argument("ending")
def command(ending):
    if ending == "nonconforming":
        return Exit.NONCONFORMING
    if ending == "unreadable":
        raise Unreadable([Problem(Place("b.yaml", 7, 2), "two"), Problem(Place("a.yaml", 3, 1), "one", "+")])
    if ending == "no-file":
        open("no-such-plan.yaml")
    if ending == "click":
        raise click.ClickException("cannot be read")
    if ending == "usage":
        raise click.UsageError("wrong option")
    if ending == "stopped":
        raise KeyboardInterrupt
    if ending == "aborted":
        raise click.Abort
    if ending == "defect":
        {}["missing"]
    click.echo("done")
"""


@pytest.fixture
def group(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> LazyGroup:
    (tmp_path / "sample_command.py").write_text(MODULE)
    monkeypatch.syspath_prepend(tmp_path)
    monkeypatch.delitem(sys.modules, "sample_command", raising=False)
    table = {
        "end": Entry("sample_command:command", "End in some way."),
        "later": Entry("no_such_package.later:command", "Not built yet."),
    }
    return LazyGroup(
        "sample", table=table, params=[click.Option(["--debug"], is_flag=True)], callback=lambda debug: None
    )


def run(group: LazyGroup, *arguments: str) -> Result:
    return CliRunner().invoke(group, arguments)


def test_help_shows_the_commands_that_exist_and_imports_none(group: LazyGroup) -> None:
    shown = run(group, "--help").output
    assert "End in some way." in shown
    assert "later" not in shown
    assert "sample_command" not in sys.modules


@pytest.mark.parametrize(
    ("ending", "code"),
    [
        ("well", Exit.CONFORMS),
        ("nonconforming", Exit.NONCONFORMING),
        ("unreadable", Exit.BAD_INPUT),
        ("no-file", Exit.BAD_INPUT),
        ("click", Exit.BAD_INPUT),
        ("usage", Exit.BAD_INPUT),
        ("defect", Exit.INTERNAL),
        ("stopped", Exit.STOPPED),
        ("aborted", Exit.STOPPED),
    ],
)
def test_every_ending_has_its_exit_code(group: LazyGroup, ending: str, code: Exit) -> None:
    result = run(group, "end", ending)
    assert result.exit_code == code
    assert "Traceback" not in result.output
    assert (result.stdout == "") == (ending != "well")


def test_unreadable_input_is_told_at_once_in_file_order(group: LazyGroup) -> None:
    told = run(group, "end", "unreadable").stderr.splitlines()
    assert told == ["a.yaml:3:1: one. +.", "b.yaml:7:2: two.", "Nothing was judged."]


def test_a_missing_file_is_told_by_its_name(group: LazyGroup) -> None:
    assert "no-such-plan.yaml: No such file" in run(group, "end", "no-file").stderr


def test_a_defect_is_told_shortly_with_a_place(group: LazyGroup) -> None:
    told = run(group, "end", "defect").stderr
    assert "KeyError: 'missing' (sample_command, line" in told
    assert "not in your file" in told
    assert "report" in told
    assert len(told.splitlines()) == 4


def test_debug_shows_the_traceback_and_keeps_the_exit_code(group: LazyGroup) -> None:
    result = run(group, "--debug", "end", "defect")
    assert result.exit_code == Exit.INTERNAL
    assert "Traceback" in result.stderr


def test_a_near_miss_is_asked_about(group: LazyGroup) -> None:
    result = run(group, "ned")
    assert result.exit_code == Exit.BAD_INPUT
    assert "Did you mean end?" in result.stderr


def test_a_command_that_is_not_there_is_not_offered(group: LazyGroup) -> None:
    result = run(group, "later")
    assert result.exit_code == Exit.BAD_INPUT
    assert "The commands are: end." in result.stderr


def test_a_target_that_is_no_command_is_a_defect(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "not_a_command.py").write_text("command = 3\n")
    monkeypatch.syspath_prepend(tmp_path)
    group = LazyGroup("sample", table={"odd": Entry("not_a_command:command", "")}, callback=lambda: None)
    assert run(group, "odd").exit_code == Exit.INTERNAL

"""The command as people start it: by its name or as a module, with or without colour, into a closing pipe."""

from __future__ import annotations

import subprocess
import sys

import click
import pytest
from click.testing import CliRunner

from ringcut import __version__
from ringcut_cli.exits import Exit
from ringcut_cli.lazygroup import Entry
from ringcut_cli.main import COMMANDS, cli


def test_as_a_module_it_is_the_same_command() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "ringcut_cli", "--version"], capture_output=True, text=True, check=True
    )
    assert done.stdout == f"ringcut {__version__}\n"


def test_help_names_the_exit_codes() -> None:
    shown = CliRunner().invoke(cli, ["--help"]).output
    assert "Exit codes: 0 conforms, 1 nonconforming, 2" in " ".join(shown.split())


@pytest.mark.parametrize("name", [name for name, entry in COMMANDS.items() if entry.exists()] or [None])
def test_every_command_that_exists_loads(name: str | None) -> None:
    assert name is None or isinstance(COMMANDS[name].load(), click.Command)


def test_the_table_gives_every_command_a_place_and_a_sentence() -> None:
    for name, entry in COMMANDS.items():
        assert entry.target == f"ringcut_cli.commands.{name}:command"
        assert entry.summary.endswith(".")


@pytest.mark.parametrize(("value", "coloured"), [("1", False), ("", True), (None, True)])
def test_no_color_takes_the_colour_away(value: str | None, coloured: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    """As the NO_COLOR convention says: set and not empty."""
    monkeypatch.delenv("NO_COLOR", raising=False)
    if value is not None:
        monkeypatch.setenv("NO_COLOR", value)

    @click.command()
    def paint() -> None:
        click.secho("red", fg="red")

    monkeypatch.setattr(Entry, "exists", lambda entry: True)
    monkeypatch.setattr(Entry, "load", lambda entry: paint)
    shown = CliRunner().invoke(cli, ["check"], color=True).output
    assert ("\x1b[" in shown) == coloured


def test_a_pipe_that_closes_early_is_not_a_verdict() -> None:
    """Symptom: `ringcut audit logs/ | head` ended with 1, which means nonconforming."""
    code = """
import click
from ringcut_cli.lazygroup import Entry, LazyGroup
@click.command()
def talk():
    for _ in range(100_000):
        click.echo("a line that nobody reads")
Entry.exists = lambda entry: True
Entry.load = lambda entry: talk
LazyGroup("sample", table={"talk": Entry("", "")}, callback=lambda: None)(["talk"])
"""
    with subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.PIPE, stderr=subprocess.PIPE) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdout.readline()
        process.stdout.close()
        assert process.stderr.read() == b""
        assert process.wait() == Exit.READER_GONE

"""The guide: every page fits a terminal and speaks only of commands that exist."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from click.testing import Result

from ringcut_cli.commands.guide import topics
from ringcut_cli.exits import Exit
from ringcut_cli.main import COMMANDS

Run = Callable[..., Result]


@pytest.mark.parametrize("name", topics())
def test_a_page_fits_and_names_commands_that_exist(name: str) -> None:
    text = topics()[name]
    assert text.startswith("# ")
    assert max(map(len, text.splitlines())) <= 78
    named = re.findall(r"`ringcut (\w+)", text)
    assert [command for command in named if not COMMANDS[command].exists()] == []


def test_without_a_topic_it_lists_them(run: Run) -> None:
    shown = run("guide").stdout
    for name in ("reading-a-report", "writing-a-plan", "measures", "exit-codes", "cautions"):
        assert f"  {name} " in shown


def test_a_topic_is_found_as_people_write_it(run: Run) -> None:
    assert run("guide", "Exit Codes").stdout.startswith("# Exit codes\n")
    wrong = run("guide", "mesures")
    assert wrong.exit_code == Exit.BAD_INPUT
    assert "Did you mean measures?" in wrong.stderr


def test_every_exit_code_is_explained(run: Run) -> None:
    lines = run("guide", "exit-codes").stdout.splitlines()
    explained = {line.split()[0] for line in lines if re.match(r"    \d ", line)}
    assert explained == {str(int(code)) for code in Exit if code < 100}

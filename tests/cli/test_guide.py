"""The guide: every page fits a terminal and speaks only of commands that exist."""

from __future__ import annotations

import re
from collections.abc import Callable

import msgspec
import pytest
from click.testing import Result

from ringcut.archive.auditreport import AuditReport
from ringcut.archive.results import LogReport
from ringcut.judge.findings import FORMAT
from ringcut.report.csvreport import HEADINGS
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


def test_the_keys_of_reports_are_those_that_are_written() -> None:
    """Symptom: the guide said that the format was 1.1 while reports said 1.2, and nothing of the keys of an audit."""
    page = topics()["reports-for-programs"]
    whole, _, log = page.partition("## json")[2].partition("## csv")[0].partition("In a log:")
    keys = {field.encode_name for field in msgspec.structs.fields(AuditReport)}
    assert {line.split()[0] for line in re.findall(r"^    (\S.*)$", whole, re.MULTILINE)} == keys
    assert f"    format       {FORMAT}\n" in whole
    said = re.findall(r"^    ([a-z, -]+?)(?:   |  whose)", log, re.MULTILINE)
    fields = {field.encode_name for field in msgspec.structs.fields(LogReport)}
    named = {word for line in said for word in re.split(r",? +", line) if word}
    assert named <= fields and len(named) > 10
    columns = page.partition("## csv")[2].partition("## junit")[0]
    assert tuple(re.findall(r"[a-z-]+", "".join(re.findall(r"^    .*\n", columns, re.MULTILINE)))) == HEADINGS

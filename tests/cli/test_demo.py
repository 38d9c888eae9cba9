"""The demo: its plans say that they are invented, come out as they claim, and can be copied."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import Result

from ringcut_cli.commands.demo import GOOD, everything, plans
from ringcut_cli.exits import Exit

Run = Callable[..., Result]


@pytest.mark.parametrize("name", plans())
def test_every_plan_says_that_it_is_invented(name: str) -> None:
    head = plans()[name].decode().partition("\nprocedure:")[0]
    assert "Invented" in head
    assert "Quillbridge" in head
    assert all(line.startswith("#") for line in head.splitlines())


def test_the_flawed_plans_are_the_good_one_with_few_lines_changed() -> None:
    """Who compares two of them sees the mistake and nothing else."""
    good = plans()[GOOD].decode().partition("procedure:")[2].splitlines()
    for name, data in plans().items():
        if name != "as-typed.yaml":
            steps = data.decode().partition("procedure:")[2].splitlines()
            assert len(set(steps) ^ set(good)) <= 7, name


def test_the_good_plan_is_whole() -> None:
    steps = plans()[GOOD].decode().partition("\nsteps:")[2].splitlines()
    assert 45 <= sum(line.lstrip().startswith("- ") for line in steps) <= 60


def test_it_judges_every_plan_and_says_what_to_try(run: Run) -> None:
    result = run("demo")
    assert result.exit_code == Exit.CONFORMS
    for name in plans():
        assert f"  {name}\n" in result.stdout
    assert result.stdout.index("CONFORMS        lead-opening.yaml") < result.stdout.index("NONCONFORMING")
    assert "ringcut check quillbridge/bond-too-late.yaml" in result.stdout


def test_copies_are_written_and_nothing_is_overwritten(run: Run, tmp_path: Path) -> None:
    folder = tmp_path / "quillbridge"
    assert run("demo", "--write", folder).exit_code == Exit.CONFORMS
    written = {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}
    assert written == everything()
    (folder / "as-typed.yaml").write_text("mine")
    again = run("demo", "--write", folder)
    assert again.exit_code == Exit.BAD_INPUT
    assert (folder / "as-typed.yaml").read_text() == "mine"

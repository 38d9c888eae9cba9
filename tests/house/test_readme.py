"""What README.md and DEVELOPERS.md tell people to type exists."""

from __future__ import annotations

import re
import shutil
import tomllib
from pathlib import Path
from typing import Any

import pytest

from ringcut.judge.cases import run_cases
from ringcut.language.layering import load_layers
from ringcut_cli.main import COMMANDS

PAGES = ["README.md", "DEVELOPERS.md"]
BLOCK = re.compile(r"^```sh\n(.*?)^```$", re.MULTILINE | re.DOTALL)
SPOKEN = re.compile(r"`((?:ringcut|pytest|bash|pip|mypy|ruff|lint-imports)\b[^`]*)`")


def commands(page: str) -> list[str]:
    """Every command line in a page: the lines of its shell blocks, and commands between backticks."""
    blocks = [line.strip() for block in BLOCK.findall(page) for line in block.splitlines()]
    parts = [part.strip() for line in blocks for part in line.split("&&")]
    return [part for part in parts if part and not part.startswith("#")] + SPOKEN.findall(BLOCK.sub("", page))


@pytest.fixture(scope="module")
def project(root: Path) -> dict[str, Any]:
    return tomllib.loads((root / "pyproject.toml").read_text(encoding="utf-8"))


@pytest.mark.parametrize("name", PAGES)
def test_every_ringcut_command_exists(name: str, root: Path) -> None:
    typed = [line.split() for line in commands((root / name).read_text(encoding="utf-8"))]
    used = {words[1] for words in typed if words[0] == "ringcut" and len(words) > 1 and words[1][0] != "-"}
    used -= {"COMMAND"}
    assert {command for command in used if command not in COMMANDS or not COMMANDS[command].exists()} == set()


@pytest.mark.parametrize("name", PAGES)
def test_every_script_and_path_exists(name: str, root: Path) -> None:
    lines = commands((root / name).read_text(encoding="utf-8"))
    paths = {word for line in lines for word in line.split()[1:] if word.startswith((".ci/", "tests/", "rulebook/"))}
    assert {path for path in paths if not (root / path.partition("::")[0]).exists()} == set()


def test_the_readme_installs_extras_that_exist(root: Path, project: dict[str, Any]) -> None:
    extras = re.findall(r"\.\[([\w,]+)\]", (root / "README.md").read_text(encoding="utf-8"))
    assert extras
    for named in extras:
        assert set(named.split(",")) <= set(project["project"]["optional-dependencies"])


def test_the_readme_has_the_test_command_that_ci_runs(root: Path) -> None:
    assert "pytest" in commands((root / "README.md").read_text(encoding="utf-8"))
    assert re.search(r"^ *pytest$", (root / ".ci" / "run").read_text(encoding="utf-8"), re.MULTILINE)


def test_the_script_that_users_type_is_declared(project: dict[str, Any]) -> None:
    assert project["project"]["scripts"] == {"ringcut": "ringcut_cli.main:main"}


def test_the_rule_that_is_added_as_an_example_can_be_added(root: Path, tmp_path: Path) -> None:
    (rule,) = re.findall(r"^```yaml\n(.*?)^```$", (root / "DEVELOPERS.md").read_text(encoding="utf-8"), re.M | re.S)
    folder = tmp_path / "rulebook"
    shutil.copytree(root / "rulebook", folder)
    with (folder / "rules" / "site.yaml").open("a", encoding="utf-8") as file:
        file.write("\n" + rule)
    name = rule.split()[2]
    results = list(run_cases(load_layers(folder, folder).book, (name,)))
    assert len(results) == 2 and all(each.passed for each in results)
    assert name not in (root / "rulebook" / "rules" / "ids.txt").read_text(encoding="utf-8").split()


def test_every_file_that_the_contributor_guide_names_is_there(root: Path) -> None:
    """``pair`` is the form that the guide adds as an example, NAME stands for any command."""
    page = (root / "DEVELOPERS.md").read_text(encoding="utf-8")
    named = {each for each in re.findall(r"`([\w./]+\.(?:py|txt|md|toml))`", page) if "pair" not in each}
    tracked = [
        str(path.relative_to(root))
        for top in ("engine", "cli", "rulebook", "tests")
        for path in (root / top).rglob("*")
    ]
    lost = {
        each for each in named if not (root / each).exists() and not any(path.endswith("/" + each) for path in tracked)
    }
    assert len(named) > 20
    assert {each for each in lost if "NAME" not in each} == set()

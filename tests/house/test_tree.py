"""The top level stays small, and the four folders hold what they are for."""

from __future__ import annotations

import tomllib
from pathlib import Path

FILES = {"README.md", "DEVELOPERS.md", "pyproject.toml"}
FOLDERS = {"rulebook", "engine", "cli", "tests"}


def test_the_top_level_holds_only_what_the_house_allows(tracked: list[Path]) -> None:
    files = {path.name for path in tracked if len(path.parts) == 1 and not path.name.startswith(".")}
    folders = {path.parts[0] for path in tracked if len(path.parts) > 1 and not path.parts[0].startswith(".")}
    assert files <= FILES, "only these files belong at the top"
    assert folders <= FOLDERS, "only these folders belong at the top"
    assert {"README.md", "pyproject.toml"} <= files


def test_the_rulebook_holds_no_python(tracked: list[Path]) -> None:
    """A practice author lives there and never meets a program."""
    assert [path for path in tracked if path.parts[0] == "rulebook" and path.suffix == ".py"] == []


def test_the_wheel_has_both_packages_and_the_rulebook(root: Path) -> None:
    wheel = tomllib.loads((root / "pyproject.toml").read_text())["tool"]["hatch"]["build"]["targets"]["wheel"]
    assert wheel["sources"] == {
        "engine/ringcut": "ringcut",
        "cli/ringcut_cli": "ringcut_cli",
        "rulebook": "ringcut/rulebook",
    }
    assert set(wheel["only-include"]) == set(wheel["sources"])

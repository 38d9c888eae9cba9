"""The tree as the tests of the house see it: the files that git tracks and that are still there."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="session")
def root() -> Path:
    """The top folder of the checkout."""
    return ROOT


@pytest.fixture(scope="session")
def tracked(root: Path) -> list[Path]:
    """Every tracked file, relative to the top folder, in git's order."""
    listing = subprocess.run(["git", "ls-files", "-z"], cwd=root, capture_output=True, check=True, text=True)
    names = [name for name in listing.stdout.split("\0") if name]
    assert names, "git tracks nothing here"
    return [Path(name) for name in names if (root / name).is_file()]


@pytest.fixture(scope="session")
def modules(tracked: list[Path]) -> list[Path]:
    """The tracked Python files of both source roots."""
    found = [path for path in tracked if path.suffix == ".py" and path.parts[0] in ("engine", "cli")]
    assert found
    return found

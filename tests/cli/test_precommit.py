"""The hook before a commit, run by pre-commit itself in a repository of house rules, offline."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
import yaml
from click.testing import Result

ROOT = Path(__file__).parents[2]
HOUSE = """\
rulebook: North
edition: "1"
based-on: base-practice
in-force-from: 2026-03-01
change:
  - {rule: adhesive-bond-length, shortest: 6 in, reason: cold}
"""
PLAN = "procedure: plan\nsteps: [no-such-step]\n"


def hook() -> dict[str, object]:
    """The hook of this project as it is published."""
    (found,) = yaml.safe_load((ROOT / ".pre-commit-hooks.yaml").read_text(encoding="utf-8"))
    assert isinstance(found, dict)
    return found


class Repository:
    """A git repository that uses the hook. What pre-commit would install is the Ringcut that runs this test."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        script = "import sys; from ringcut_cli.main import main; sys.argv[0] = 'ringcut'; main()"
        (folder.parent / "bin").mkdir()
        program = folder.parent / "bin" / "ringcut"
        program.write_text(f'#!/bin/sh\nexec "{sys.executable}" -c "{script}" "$@"\n', encoding="utf-8")
        program.chmod(0o755)
        self.environment = {
            **os.environ, "PATH": f"{program.parent}{os.pathsep}{os.environ['PATH']}", "HOME": str(folder.parent),
            "PRE_COMMIT_HOME": str(folder.parent / "cache"), "COLUMNS": "200",
            "GIT_CONFIG_GLOBAL": os.devnull, "GIT_CONFIG_SYSTEM": os.devnull,
        }  # fmt: skip
        self.run("git", "init", "-q")
        config = {"repos": [{"repo": "local", "hooks": [{**hook(), "language": "system"}]}]}
        (folder / ".pre-commit-config.yaml").write_text(yaml.safe_dump(config), encoding="utf-8")

    def run(self, *words: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            words, cwd=self.folder, env=self.environment, capture_output=True, text=True, encoding="utf-8", check=False
        )

    def committed(self, **files: str) -> tuple[int, str]:
        """What pre-commit says of these files where they are about to be committed."""
        for name, text in files.items():
            path = self.folder / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8")
        self.run("git", "add", "-A")
        done = self.run(sys.executable, "-m", "pre_commit", "run", "--color", "never")
        return done.returncode, " ".join((done.stdout + done.stderr).split())


@pytest.fixture
def repository(tmp_path: Path) -> Repository:
    folder = tmp_path / "rules of the house"
    folder.mkdir()
    return Repository(folder)


def test_the_published_definition_is_one_that_pre_commit_takes(repository: Repository) -> None:
    done = repository.run(sys.executable, "-m", "pre_commit", "validate-manifest", str(ROOT / ".pre-commit-hooks.yaml"))
    assert (done.returncode, done.stdout) == (0, ""), done.stdout


def test_what_could_not_be_in_force_or_has_a_mistake_is_held_back_with_its_line(repository: Repository) -> None:
    unit, mistake = HOUSE.replace("6 in,", "6,"), HOUSE.replace("6 in,", "600 ft,")
    code, told = repository.committed(**{"north.yaml": unit, "east/north.yaml": mistake})
    assert (code, "Failed" in told) == (1, True), told
    assert "6:44 6 has no unit" in told
    assert "6:44 No value satisfies adhesive-bond-length" in told


def test_what_could_be_in_force_may_be_committed_with_files_that_are_no_rulebooks(repository: Repository) -> None:
    code, told = repository.committed(
        **{"north.yaml": HOUSE, "plan.yaml": PLAN, "notes.ids.txt": "x\n", "README.md": "# x\n"}
    )
    assert (code, "Passed" in told) == (0, True), told


def test_a_list_of_ids_alone_is_looked_at_with_its_rulebook(repository: Repository) -> None:
    (repository.folder / "north.yaml").write_text(HOUSE, encoding="utf-8")
    repository.run("git", "add", "north.yaml")
    repository.run(
        "git", "-c", "user.name=R. Example", "-c", "user.email=r@example.org", "commit", "-q", "-m", "x", "-n"
    )
    code, told = repository.committed(**{"north.ids.txt": "north-gone\n"})
    assert (code, "north-gone is gone" in told) == (1, True), told


def test_a_file_of_a_rulebook_folder_stands_for_the_folder(run: Callable[..., Result], tmp_path: Path) -> None:
    (tmp_path / "book" / "rules").mkdir(parents=True)
    (tmp_path / "book" / "rulebook.yaml").write_text("rulebook: x\n", encoding="utf-8")
    (tmp_path / "book" / "rules" / "air.yaml").write_text("rules: []\n", encoding="utf-8")
    files = [tmp_path / "book" / "rules" / "air.yaml", tmp_path / "book" / "rulebook.yaml"]
    found = run("rules", "proofread", "--changed", *files)
    assert found.exit_code == 2
    assert found.stdout.count("nothing in force") == 1

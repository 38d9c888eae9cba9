"""Where compiled rulebooks are kept, and that a warm check imports nothing heavy."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from ringcut_cli.rulebooks import cache_folder

RUN = """
import json, sys
from ringcut_cli.main import cli
try:
    cli(sys.argv[1:])
except SystemExit as end:
    json.dump({"code": end.code, "loaded": sorted({name.partition(".")[0] for name in sys.modules})}, sys.stderr)
"""
NEVER = {"constraint", "jinja2", "lark", "pint", "rich", "uncertainties"}
"""In a pipe, with the compiled rulebook at hand; a terminal adds rich."""


@pytest.mark.parametrize(
    ("given", "folder"),
    [
        ({"RINGCUT_CACHE": "own"}, Path("own")),
        ({"RINGCUT_CACHE": "off"}, None),
        ({"XDG_CACHE_HOME": "/var/cache/me"}, Path("/var/cache/me/ringcut")),
        ({"XDG_CACHE_HOME": "relative", "HOME": "/var/lib/me"}, Path("/var/lib/me/.cache/ringcut")),
        ({"HOME": "/var/lib/me"}, Path("/var/lib/me/.cache/ringcut")),
    ],
)
def test_the_cache_folder(given: dict[str, str], folder: Path | None, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("RINGCUT_CACHE", "XDG_CACHE_HOME"):
        monkeypatch.delenv(name, raising=False)
    for name, value in given.items():
        monkeypatch.setenv(name, value)
    assert cache_folder() == folder


def test_a_warm_check_imports_nothing_heavy(demo: Path, tmp_path: Path) -> None:
    ended = [_check(demo / "lead-opening.yaml", tmp_path) for _ in range(2)]
    assert [end["code"] for end in ended] == [0, 0]
    assert set(ended[1]["loaded"]) & NEVER == set()


def test_a_cache_that_cannot_be_written_is_no_error(demo: Path, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    assert _check(demo / "lead-opening.yaml", tmp_path / "file")["code"] == 0


def _check(plan: Path, cache: Path) -> dict[str, Any]:
    done = subprocess.run(
        [sys.executable, "-c", RUN, "check", plan],
        env={**os.environ, "RINGCUT_CACHE": str(cache)},
        stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True, check=True,
    )  # fmt: skip
    found: dict[str, Any] = json.loads(done.stderr)
    return found

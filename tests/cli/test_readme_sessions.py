"""The sessions in README.md, typed as they stand, give what stands under them.

In a block ``console`` a line that begins with ``$`` is typed; what follows is its output. A line of three dots stands
for any number of lines.
"""

from __future__ import annotations

import re
import shlex
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import Result

Run = Callable[..., Result]

README = Path(__file__).parents[2] / "README.md"
BLOCK = re.compile(r"^```console\n(.*?)^```$", re.MULTILINE | re.DOTALL)


def sessions() -> list[tuple[str, list[str]]]:
    """(command, lines of output) in the order of the page."""
    found: list[tuple[str, list[str]]] = []
    for block in BLOCK.findall(README.read_text(encoding="utf-8")):
        for line in block.splitlines():
            if line.startswith("$ "):
                found.append((line[2:], []))
            else:
                found[-1][1].append(line.rstrip())
    return found


def matches(wanted: list[str], given: list[str]) -> bool:
    """Whether lines are as wanted, with «...» for any number of them."""
    if not wanted:
        return not given
    if wanted[0] == "...":
        return any(matches(wanted[1:], given[at:]) for at in range(len(given) + 1))
    return bool(given) and wanted[0] == given[0] and matches(wanted[1:], given[1:])


def test_every_session_gives_what_stands_under_it(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    typed = sessions()
    assert len(typed) >= 4
    for command, wanted in typed:
        program, *arguments = shlex.split(command)
        assert program == "ringcut"
        result = run(*arguments)
        given = [line.rstrip() for line in (result.stdout + result.stderr).splitlines()]
        while given and not given[-1]:
            given.pop()
        while wanted and not wanted[-1]:
            wanted.pop()
        assert matches(wanted, given), f"{command}\n" + "\n".join(given)

"""What must not stand in any file: to-do marks, places on one machine, bare exceptions from checks."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

# Written in pieces, because this file is searched as well.
TO_DO = re.compile(r"\b(" + "|".join(["TO" + "DO", "FIX" + "ME", "XX" + "X"]) + r")\b")
MACHINE = re.compile(r"(?<![\w.}\])#/~])/(?:ho" + r"me/\w+|Us" + r"ers/\w+|ro" + r"ot\b|tm" + r"p\b)")
BARE_IGNORE = re.compile(r"#\s*type:\s*" + r"ignore(?!\[)|#\s*no" + r"qa(?!:)")


def lines_with(pattern: re.Pattern[str], root: Path, paths: list[Path]) -> list[str]:
    found = []
    for path in paths:
        try:
            text = (root / path).read_text(encoding="utf-8")
        except UnicodeDecodeError:
            continue  # samples of odd encodings and binary files
        numbered = enumerate(text.splitlines(), start=1)
        found += [f"{path}:{number}: {line.strip()}" for number, line in numbered if pattern.search(line)]
    return found


@pytest.mark.parametrize("pattern", [TO_DO, MACHINE, BARE_IGNORE], ids=["to-do", "machine", "bare-ignore"])
def test_no_file_has_it(pattern: re.Pattern[str], root: Path, tracked: list[Path]) -> None:
    assert lines_with(pattern, root, tracked) == []


def test_no_file_names_the_folder_of_this_checkout(root: Path, tracked: list[Path]) -> None:
    assert lines_with(re.compile(re.escape(f"{root}/")), root, tracked) == []


@pytest.mark.parametrize(
    ("pattern", "line"),
    [
        (TO_DO, "# TO" + "DO: later"),
        (MACHINE, "see /ro" + "ot/notes"),
        (MACHINE, '"/tm' + 'p/plan.yaml"'),
        (MACHINE, "cp x /ho" + "me/someone/x"),
        (BARE_IGNORE, "x = y()  # type: " + "ignore"),
        (BARE_IGNORE, "import os  # no" + "qa"),
    ],
)
def test_the_search_sees_what_it_is_for(pattern: re.Pattern[str], line: str) -> None:
    assert pattern.search(line)


@pytest.mark.parametrize(
    ("pattern", "line"),
    [
        (MACHINE, "schema pointer #/ro" + "ot/steps"),
        (MACHINE, "{folder}/tm" + "p"),
        (BARE_IGNORE, "x = y()  # type: " + "ignore[no-any-return]"),
    ],
)
def test_the_search_leaves_the_rest_alone(pattern: re.Pattern[str], line: str) -> None:
    assert not pattern.search(line)

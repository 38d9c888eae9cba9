"""A small rulebook of invented steps, from texts, for the tests of this folder."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from ringcut.language.compile import compile_rulebook
from ringcut.language.ir import Rulebook
from ringcut.language.sources import read_sources

TITLE = 'rulebook: tiny\nedition: "1"\nin-force-from: 2000-01-01\nsubjects: {all: {says: everything}}\n'


@pytest.fixture(scope="session")
def compiled(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str, str], Rulebook]:
    """Compile a vocabulary and a list of rules, both as YAML."""

    def compiled(vocabulary: str, rules: str = "[]") -> Rulebook:
        folder: Path = tmp_path_factory.mktemp("book")
        (folder / "vocabulary").mkdir()
        (folder / "rules").mkdir()
        (folder / "rulebook.yaml").write_text(TITLE, encoding="utf-8")
        (folder / "vocabulary" / "words.yaml").write_text(vocabulary, encoding="utf-8")
        (folder / "rules" / "all.yaml").write_text(f"subject: all\nrules:\n{rules}\n", encoding="utf-8")
        return compile_rulebook(read_sources(folder))

    return compiled

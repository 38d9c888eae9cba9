"""What all tests share: repeatable property tests, rulebooks, and the browser for the pages."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable
from functools import cache

import hypothesis
import pytest

from ringcut.draft.models import Model, read_models
from ringcut.language.compile import compile_rulebook
from ringcut.language.ir import Rulebook
from ringcut.language.sources import read_sources
from ringcut.rulebookfiles import builtin_rulebook

# The same examples on every machine, and no deadline: a slow machine is not a defect.
hypothesis.settings.register_profile("house", derandomize=True, deadline=None, database=None)
hypothesis.settings.load_profile("house")

TITLE = 'rulebook: tiny\nedition: "1"\nin-force-from: 2000-01-01\nsubjects: {all: {says: everything}}\n'


@pytest.fixture(scope="session")
def small_book(tmp_path_factory: pytest.TempPathFactory) -> Callable[..., Rulebook]:
    """Compile a vocabulary and a list of rules, both as YAML, to a small rulebook of invented steps."""

    @cache
    def small_book(vocabulary: str, rules: str = "[]") -> Rulebook:
        folder = tmp_path_factory.mktemp("book")
        (folder / "vocabulary").mkdir()
        (folder / "rules").mkdir()
        (folder / "rulebook.yaml").write_text(TITLE, encoding="utf-8")
        (folder / "vocabulary" / "words.yaml").write_text(vocabulary, encoding="utf-8")
        (folder / "rules" / "all.yaml").write_text(f"subject: all\nrules:\n{rules}\n", encoding="utf-8")
        return compile_rulebook(read_sources(folder))

    return small_book


@pytest.fixture(scope="session")
def compiled(small_book: Callable[..., Rulebook]) -> Callable[..., Rulebook]:
    """The small rulebook, by the name that most tests know it by."""
    return small_book


@pytest.fixture(scope="session")
def book() -> Rulebook:
    """The built-in rulebook, read once."""
    return compile_rulebook(read_sources(builtin_rulebook()))


@pytest.fixture(scope="session")
def models(book: Rulebook) -> list[Model]:
    """Its model procedures."""
    return read_models(builtin_rulebook(), book)


@pytest.fixture(scope="session")
def chromium() -> str:
    """The path of Debian's chromium, for tests marked ``browser``.

    Without it such a test is skipped; where RINGCUT_BROWSER is ``required``, as in CI, it fails.
    """
    path = shutil.which("chromium")
    if path is None:
        told = "chromium is not installed (apt-get install chromium)"
        if os.environ.get("RINGCUT_BROWSER") == "required":
            pytest.fail(told)
        pytest.skip(told)
    return path

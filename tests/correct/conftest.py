"""The built-in rulebook and its model procedures, read once."""

from __future__ import annotations

import pytest

from ringcut.draft.models import Model, read_models
from ringcut.language.compile import compile_rulebook
from ringcut.language.ir import Rulebook
from ringcut.language.sources import read_sources
from ringcut.rulebookfiles import builtin_rulebook


@pytest.fixture(scope="session")
def book() -> Rulebook:
    return compile_rulebook(read_sources(builtin_rulebook()))


@pytest.fixture(scope="session")
def models(book: Rulebook) -> list[Model]:
    return read_models(builtin_rulebook(), book)

"""The built-in rulebook and its model procedures, read once."""

from __future__ import annotations

import pytest

from ringcut.draft.models import Job, Model, read_models
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


@pytest.fixture
def lead() -> Job:
    """The commonest job: a lead sheath opened in a manhole."""
    return {
        "work": "trouble-opening",
        "sheath": "lead",
        "construction": "single",
        "core": "paper",
        "pressurized": "yes",
        "location": "manhole",
        "cable-diameter": "2.05 in",
        "opening-length": "14 in",
    }

"""The vocabulary of the rulebook, and the invented sheets beside the tests."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.archive.small import Small

from ringcut.archive.columnfile import read_columns
from ringcut.archive.columns import ColumnFile
from ringcut.archive.lexicon import RulebookLexicon
from ringcut.language.compile import compile_partly
from ringcut.language.sources import read_sources

ROOT = Path(__file__).resolve().parents[2]
DATA = Path(__file__).parent / "data"


@pytest.fixture(scope="session")
def lexicon() -> RulebookLexicon:
    """The words of the base practice, whatever its rules are worth."""
    return RulebookLexicon(compile_partly(read_sources(ROOT / "rulebook"), []))


@pytest.fixture(scope="session")
def data() -> Path:
    """The folder of invented sheets."""
    return DATA


@pytest.fixture(scope="session")
def columns_c(lexicon: RulebookLexicon) -> ColumnFile:
    """The column file of contractor C."""
    return read_columns(DATA / "contractor-c.yaml", "contractor-c.yaml", lexicon)


@pytest.fixture(scope="session")
def compiled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder of compiled rulebooks that the tests share."""
    return tmp_path_factory.mktemp("compiled")


@pytest.fixture
def small(tmp_path: Path, compiled: Path) -> Small:
    """A small sheet with its column file."""
    return Small(tmp_path, compiled)

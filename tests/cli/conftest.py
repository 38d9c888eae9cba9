"""Running the command line in this process, with a cache of compiled rulebooks that the tests share."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from ringcut_cli.main import cli

Run = Callable[..., Result]
DEMO = Path(__file__).parents[2] / "cli" / "ringcut_cli" / "demo"


@pytest.fixture(scope="session")
def cache(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("compiled")


@pytest.fixture
def run(cache: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    """Run ``ringcut`` with some arguments, 80 columns wide.

    Files below the working folder are named from there, so that where lines break does not hang on where the tree lies.
    """
    monkeypatch.setenv("RINGCUT_CACHE", str(cache))
    monkeypatch.setenv("COLUMNS", "80")

    def running(*arguments: str | Path, **options: object) -> Result:
        return CliRunner().invoke(cli, [_named(each) for each in arguments], **options)  # type: ignore[arg-type]

    return running


def _named(argument: str | Path) -> str:
    if isinstance(argument, Path) and argument.is_relative_to(Path.cwd()):
        return str(argument.relative_to(Path.cwd()))
    return str(argument)


@pytest.fixture
def demo() -> Path:
    """The folder of the demo's plans."""
    return DEMO


@pytest.fixture
def data() -> Path:
    """Files as people typed them."""
    return Path(__file__).parent / "data"

"""Options that several commands share, so that they are spelled and explained once."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import click


class Day(click.ParamType[str]):
    """A day as 2026-03-01."""

    name = "date"

    def convert(self, value: str, param: click.Parameter | None, ctx: click.Context | None) -> str:
        """The day, ISO 8601."""
        if re.fullmatch(r"\d{4}-\d\d-\d\d", value):
            try:
                return date.fromisoformat(value).isoformat()
            except ValueError:
                pass
        self.fail(f"{value} is not a day. Write it as 2026-03-01.", param, ctx)


def today() -> str:
    """The day by the clock of this machine, ISO 8601: commands read it, the engine never does."""
    return date.today().isoformat()


def rulebook_option(function: Callable[..., Any]) -> Callable[..., Any]:
    """``--rulebook``: a folder or a house rulebook file, as the argument ``folder``."""
    return click.option(
        "--rulebook", "folder", type=click.Path(exists=True, path_type=Path), metavar="PATH",
        help="A rulebook folder or a house rulebook file.  [default: the built-in rulebook]",
    )(function)  # fmt: skip


def as_of_option(function: Callable[..., Any]) -> Callable[..., Any]:
    """``--as-of``: the day whose rules count, as the argument ``as_of``."""
    return click.option(
        "--as-of", type=Day(), metavar="DATE", help="The day to judge for, as 2026-03-01.  [default: today]"
    )(function)

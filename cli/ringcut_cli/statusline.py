"""How far work is: one line on stderr that is written over, and only on a terminal."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from types import TracebackType
from typing import Self

EVERY = 0.2
"""Seconds between two lines that are shown."""


class StatusLine:
    """A line that is taken away in the end. ``quiet``: seconds before which nothing is shown."""

    def __init__(self, wanted: bool | None = None, quiet: float = EVERY) -> None:
        self.wanted = sys.stderr.isatty() if wanted is None else wanted
        self.began = time.monotonic()
        self.shown = self.began + quiet - EVERY

    def __enter__(self) -> Self:
        return self

    def show(self, told: Callable[[float], str]) -> None:
        """Show a line, where it is time for one; it is made of the seconds that have gone by."""
        now = time.monotonic()
        if self.wanted and now - self.shown >= EVERY:
            self.shown = now
            sys.stderr.write(f"\r{told(now - self.began)}\x1b[K")
            sys.stderr.flush()

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self.wanted:
            sys.stderr.write("\r\x1b[K")
            sys.stderr.flush()

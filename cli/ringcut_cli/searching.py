"""How far a search is: one line on stderr, and only on a terminal."""

from __future__ import annotations

import sys
import time
from types import TracebackType

EVERY = 0.2
"""Seconds between two looks at the clock that are shown."""
QUIET = 1.0
"""Seconds in which most searches end; before that nothing is shown."""


class Searching:
    """A line that is written over while a search goes on, and taken away in the end."""

    def __init__(self, wanted: bool | None = None) -> None:
        self.wanted = sys.stderr.isatty() if wanted is None else wanted
        self.began = time.monotonic()
        self.shown = self.began + QUIET - EVERY

    def __enter__(self) -> Searching:
        return self

    def told(self, share: float, doing: str) -> None:
        """So much of the budget is used, from 0 to 1, and this is what is looked for."""
        now = time.monotonic()
        if self.wanted and now - self.shown >= EVERY:
            self.shown = now
            sys.stderr.write(f"\r{line(share, doing, now - self.began)}\x1b[K")
            sys.stderr.flush()

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self.wanted:
            sys.stderr.write("\r\x1b[K")
            sys.stderr.flush()


def line(share: float, doing: str, seconds: float) -> str:
    """The line, as ``looking for a smaller one than 9 edits: 40 % of the budget, 4 s``."""
    return f"{doing}: {share:.0%} of the budget, {seconds:.0f} s"

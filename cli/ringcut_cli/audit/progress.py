"""How far an audit is, with its rate and the time left: one line on stderr, and only on a terminal."""

from __future__ import annotations

import sys
import time
from types import TracebackType

EVERY = 0.2
"""Seconds between two looks at the clock that are shown."""


class Progress:
    """A line that is written over; ``total`` is the bytes of all files."""

    def __init__(self, total: int, wanted: bool | None = None) -> None:
        self.total, self.done = total, 0
        self.wanted = sys.stderr.isatty() if wanted is None else wanted
        self.began = self.shown = time.monotonic()

    def __enter__(self) -> Progress:
        return self

    def moved(self, size: int, logs: int) -> None:
        """Some bytes more are done."""
        self.done += size
        now = time.monotonic()
        if self.wanted and now - self.shown >= EVERY:
            self.shown = now
            sys.stderr.write(f"\r{line(self.done, self.total, logs, now - self.began)}\x1b[K")
            sys.stderr.flush()

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self.wanted:
            sys.stderr.write("\r\x1b[K")
            sys.stderr.flush()


def line(done: int, total: int, logs: int, seconds: float) -> str:
    """The line, as ``40 %, 1,200 logs, 850 a second, 2 min left``."""
    rate = logs / seconds if seconds else 0
    share = min(done / total, 1.0) if total else 0.0
    said = f"{share:4.0%}, {logs:,} logs, {rate:,.0f} a second"
    if share <= 0:
        return said
    left = seconds * (1 - share) / share
    return f"{said}, {_time(left)} left"


def _time(seconds: float) -> str:
    if seconds < 90:
        return f"{seconds:.0f} s"
    return f"{seconds / 60:.0f} min" if seconds < 5400 else f"{seconds / 3600:.1f} h"

"""How far an audit is, with its rate and the time left."""

from __future__ import annotations

from ringcut_cli.statusline import StatusLine


class Progress(StatusLine):
    """The line of an audit; ``total`` is the bytes of all files."""

    def __init__(self, total: int, wanted: bool | None = None) -> None:
        super().__init__(wanted)
        self.total, self.done = total, 0

    def moved(self, size: int, logs: int) -> None:
        """Some bytes more are done."""
        self.done += size
        self.show(lambda seconds: line(self.done, self.total, logs, seconds))


def line(done: int, total: int, logs: int, seconds: float) -> str:
    """The line, as ``40%, 1,200 logs, 850 a second, 2 min left``."""
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

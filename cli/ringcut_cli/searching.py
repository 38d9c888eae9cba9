"""How far a search for a correction is, by the share of its budget."""

from __future__ import annotations

from ringcut_cli.statusline import StatusLine

QUIET = 1.0
"""Seconds in which most searches end; before that nothing is shown."""


class Searching(StatusLine):
    """The line of a search."""

    def __init__(self, wanted: bool | None = None) -> None:
        super().__init__(wanted, QUIET)

    def told(self, share: float, doing: str) -> None:
        """So much of the budget is used, from 0 to 1, and this is what is looked for."""
        self.show(lambda seconds: line(share, doing, seconds))


def line(share: float, doing: str, seconds: float) -> str:
    """The line, as ``9 edits found; looking for fewer: 40% of the budget, 4 s; Ctrl-C shows what is found``."""
    return f"{doing}: {share:.0%} of the budget, {seconds:.0f} s; Ctrl-C shows what is found"

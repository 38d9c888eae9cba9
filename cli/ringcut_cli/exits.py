"""What the exit code of every command means, so that a script can tell a bad procedure from a bad file."""

from __future__ import annotations

from collections.abc import Iterable
from enum import IntEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ringcut.judge.findings import Report


class Exit(IntEnum):
    """The exit code; "could not run" never looks like "found something"."""

    CONFORMS = 0
    NONCONFORMING = 1
    BAD_INPUT = 2
    """A file, a rulebook or the command line could not be read; nothing was judged."""
    UNDETERMINED = 3
    """Nothing is nonconforming, and something could not be decided."""
    INTERNAL = 4
    """A defect in Ringcut."""
    STOPPED = 130
    """Stopped from the keyboard; the shells' own number for it."""
    READER_GONE = 141
    """Whoever read the output closed it early, as ``head`` does; the shells' own number for it."""


GRAVEST_FIRST = (Exit.INTERNAL, Exit.BAD_INPUT, Exit.NONCONFORMING, Exit.UNDETERMINED, Exit.CONFORMS)


def worst(ends: Iterable[Exit]) -> Exit:
    """The exit code of several files: what could not be read comes first, because of it nothing is known."""
    return min(ends, key=GRAVEST_FIRST.index, default=Exit.CONFORMS)


def exit_for(report: Report, fail_on: str = "minor") -> Exit:
    """The exit code of a report; only a broken rule of class ``fail_on`` or graver makes it nonconforming.

    With lighter ones put aside, what remains undetermined or was not covered still does not conform. A procedure to
    which no rule applies is undetermined too.
    """
    counts = report.counts
    by_class = {"critical": counts.critical, "major": counts.major, "minor": counts.minor}
    gravest = next((name for name, broken in by_class.items() if broken), "")
    return exit_of(report.verdict, gravest, bool(counts.undetermined) or report.uncovered, fail_on)


def exit_of(verdict: str, gravest: str, doubtful: bool, fail_on: str = "minor") -> Exit:
    """The same by the verdict, the gravest class that is broken, and whether anything cannot be said."""
    classes = ["critical", "major", "minor"]
    if gravest and classes.index(gravest) <= classes.index(fail_on):
        return Exit.NONCONFORMING
    if verdict in ("conforms", "under concession"):
        return Exit.CONFORMS
    if verdict == "nonconforming" and not doubtful:
        return Exit.CONFORMS
    return Exit.UNDETERMINED

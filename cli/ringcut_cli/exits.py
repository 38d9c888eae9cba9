"""What the exit code of every command means, so that a script can tell a bad procedure from a bad file."""

from __future__ import annotations

from enum import IntEnum


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

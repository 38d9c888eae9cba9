"""Where the bytes of a procedure come from: a file, or standard input for a dash."""

from __future__ import annotations

import sys
from pathlib import Path


def bytes_of(file: str) -> bytes:
    """The bytes of a file; a dash means standard input. Raises OSError."""
    if file == "-":
        return sys.stdin.buffer.read()
    return Path(file).read_bytes()


def name_of(file: str) -> str:
    """What a file is called in a report: as it was typed, so that it can be found from where one stands."""
    return "standard input" if file == "-" else file

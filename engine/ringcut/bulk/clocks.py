"""Times of a log whose entries have each one time with a zone and whole seconds, never running backwards."""

from __future__ import annotations

from datetime import datetime

import msgspec

from ringcut.bulk.cutting import Cut

_LONG = (len("2026-03-01T14:05:00Z"), len("2026-03-01T14:05:00-05:00"))


class _Entry(msgspec.Struct, gc=False):
    at: datetime


class _Log(msgspec.Struct, gc=False):
    steps: list[_Entry]


_read = msgspec.json.Decoder(_Log).decode


def times(line: bytes, parts: Cut) -> list[int] | None:
    """The time of each entry in seconds; None where one is written in another way, or they run backwards."""
    if parts.long not in _LONG:
        return None
    try:
        found = [int(entry.at.timestamp()) for entry in _read(line).steps]
    except msgspec.MsgspecError:
        return None
    return found if len(found) == len(parts.entries) and sorted(found) == found else None

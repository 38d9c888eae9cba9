"""Times of a log whose entries have each one time with a zone and whole seconds, never running backwards."""

from __future__ import annotations

from datetime import datetime

import msgspec

from ringcut.bulk.cutting import Cut

_WITH_ZONE = len("2026-03-01T14:05:00-05:00")
_LONG = (len("2026-03-01T14:05:00Z"), _WITH_ZONE)


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
        read = [entry.at for entry in _read(line).steps]
    except msgspec.MsgspecError:
        return None
    if parts.long == _WITH_ZONE and any(each.microsecond for each in read):  # 14:05:00.1234Z is as long
        return None
    found = [int(each.timestamp()) for each in read]
    return found if len(found) == len(parts.entries) and sorted(found) == found else None

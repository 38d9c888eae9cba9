"""Which way a change goes: it tightens, loosens, does some of both, or it cannot be told."""

from __future__ import annotations

from collections.abc import Iterable
from enum import Enum


class Sense(Enum):
    """What a change does to a rule."""

    EQUAL = "the same"
    TIGHTENS = "tightens"
    LOOSENS = "loosens"
    BOTH = "loosens some and tightens some"
    CANNOT_TELL = "cannot tell, so treated as loosening"


def combined(senses: Iterable[Sense]) -> Sense:
    """Several changes as one."""
    kinds = set(senses) - {Sense.EQUAL}
    if not kinds:
        return Sense.EQUAL
    if Sense.CANNOT_TELL in kinds:
        return Sense.CANNOT_TELL
    return kinds.pop() if len(kinds) == 1 else Sense.BOTH

"""Strong Kleene truth with a fourth value for what only the doing will tell.

``YES`` true; ``OPEN`` known only when done (plans); ``UNKNOWN`` evidence missing; ``NO`` false. Conjunction is as weak
as its weakest part (NO, UNKNOWN, OPEN, YES); disjunction as strong as its strongest (YES, UNKNOWN, OPEN, NO).
Kleene, Introduction to Metamathematics (1952), section 64, extended by OPEN as the language defines it.
"""

from __future__ import annotations

from collections.abc import Iterable
from enum import IntEnum
from typing import NamedTuple


class Level(IntEnum):
    """A truth value; a greater one is worse for a rule."""

    YES = 0
    OPEN = 1
    UNKNOWN = 2
    NO = 3


YES, OPEN, UNKNOWN, NO = Level.YES, Level.OPEN, Level.UNKNOWN, Level.NO

_OPPOSITE = {YES: NO, OPEN: OPEN, UNKNOWN: UNKNOWN, NO: YES}
_OR_RANK = {YES: 0, UNKNOWN: 1, OPEN: 2, NO: 3}


class Cause(NamedTuple):
    """Why something is false or unknown; equal causes are told once.

    ``kind``: ``absent`` (a step that is not there), ``fact``, ``reading``, ``lost`` (a condition ended; ``not x``
    where x was to be false), ``swapped`` (one step before another), ``value`` (a limit not met), ``time``, ``table``,
    ``search``, ``status``, ``backwards`` (times that run against the list).
    """

    kind: str
    what: str
    side: str = ""
    at: int = -1
    """The occurrence it happens at, by index; -1: none."""
    by: int = -1
    """The other occurrence, by index."""
    why: str = ""
    """For what is undetermined: not recorded, unreadable, not asked for, not covered."""
    others: tuple[str, ...] = ()
    """Steps that could heal an ``absent`` cause."""

    @property
    def key(self) -> tuple[object, ...]:
        """What makes two causes one."""
        if self.kind in ("absent", "fact"):
            return (self.kind, self.what, self.side)
        if self.kind == "swapped":
            return (self.kind, self.at, self.by)
        return (self.kind, self.what, self.side, self.at, self.by)


class Truth(NamedTuple):
    """A truth value and, unless it is YES, its causes."""

    level: Level
    causes: tuple[Cause, ...] = ()


TRUE, FALSE = Truth(YES), Truth(NO)


def all_of(items: Iterable[Truth]) -> Truth:
    """Conjunction; the causes are those of the items that make it what it is."""
    return _strongest(items, lambda level: -level, TRUE)


def any_of(items: Iterable[Truth]) -> Truth:
    """Disjunction; when false, every item is a cause, those that no step could have made true last."""
    found = _strongest(items, lambda level: _OR_RANK[level], FALSE)
    if found.level != NO or len(found.causes) < 2:
        return found
    return Truth(NO, tuple(sorted(found.causes, key=lambda cause: cause.kind == "lost" and not cause.others)))


def all_levels(levels: Iterable[Level]) -> Level:
    """Conjunction of values alone."""
    return max(levels, default=YES)


def any_levels(levels: Iterable[Level]) -> Level:
    """Disjunction of values alone."""
    return min(levels, key=_OR_RANK.__getitem__, default=NO)


def opposite(level: Level) -> Level:
    """Negation of a value alone."""
    return _OPPOSITE[level]


def negated(item: Truth) -> Truth:
    """NO and YES change places."""
    if item.level in (YES, NO):
        return Truth(Level(NO - item.level), item.causes)
    return item


def worst(items: Iterable[Truth]) -> Truth:
    """The worst of several worlds; ties keep the first."""
    found = TRUE
    for item in items:
        if item.level > found.level:
            found = item
    return found


def _strongest(items: Iterable[Truth], rank, start: Truth) -> Truth:  # type: ignore[no-untyped-def]
    best, causes = start.level, list(start.causes)
    for item in items:
        if rank(item.level) < rank(best):
            best, causes = item.level, list(item.causes)
        elif item.level == best:
            causes += [cause for cause in item.causes if cause not in causes]
    return Truth(best, tuple(causes))

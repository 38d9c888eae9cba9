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
    """Steps that could heal it, done in time."""
    use: int = -1
    """The occurrence before which it would have to be healed, by index; -1: the end."""
    readings: tuple[tuple[int, str, str], ...] = ()
    """The readings that a value compares: occurrence, name, side."""

    @property
    def never(self) -> bool:
        """Whether what was wanted was never there and nothing ended it: where there is another way, that was chosen."""
        return self.kind == "absent" and self.by < 0

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
    alternatives: tuple[tuple[Cause, ...], ...] = ()
    """Where it was false or unknown for several reasons, any of which could have been otherwise: sets of causes that
    would have to be healed together. None: all causes together."""

    @property
    def ways(self) -> tuple[tuple[Cause, ...], ...]:
        """The sets of causes, each of which, healed as a whole, heals this."""
        return self.alternatives or ((self.causes,) if self.causes else ())


TRUE, FALSE = Truth(YES), Truth(NO)


def all_of(items: Iterable[Truth]) -> Truth:
    """Conjunction; the causes are those of the items that make it what it is."""
    items = tuple(items)
    found = _strongest(items, lambda level: -level, TRUE)
    if found.level <= OPEN or len(found.causes) < 2:
        return found
    ways = together(item for item in items if item.level == found.level)
    return found._replace(alternatives=ways) if len(ways) > 1 else found


MOST_WAYS = 16
"""Ways to heal that are told apart; beyond, only all causes together count as one."""


def together(items: Iterable[Truth]) -> tuple[tuple[Cause, ...], ...]:
    """The ways to heal several truths at once; of very many none is told."""
    ways: tuple[tuple[Cause, ...], ...] = ((),)
    for item in items:
        own = item.ways or ((),)
        if len(ways) * len(own) > MOST_WAYS:
            return ()
        ways = tuple(tuple(dict.fromkeys((*way, *more))) for way in ways for more in own)
    return ways


def meant(ways: tuple[tuple[Cause, ...], ...]) -> tuple[tuple[Cause, ...], ...]:
    """The ways that can be meant: where something that was there ended, what was never there is none.

    A meter is not missing where the air was tested.
    """
    if any(all(cause.kind == "lost" and cause.at >= 0 for cause in way) for way in ways):
        return tuple(way for way in ways if not any(cause.never for cause in way))
    return ways


def any_of(items: Iterable[Truth]) -> Truth:
    """Disjunction; when false, every item is a cause, those that no step could have made true last."""
    items = tuple(items)
    found = _strongest(items, lambda level: _OR_RANK[level], FALSE)
    if found.level <= OPEN or len(found.causes) < 2:
        return found
    ways = tuple(dict.fromkeys(way for item in items if item.level == found.level for way in item.ways))
    causes = found.causes
    if found.level == NO:
        causes = tuple(sorted(causes, key=lambda cause: cause.kind == "lost" and not cause.others))
    return Truth(found.level, causes, ways if ways != (causes,) else ())


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
        return Truth(Level(NO - item.level), item.causes, item.alternatives)
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

"""Where a step stands, told by its neighbours, so that edits can be taken back and put in another order.

Every step has a place of its own (``Place``), those that are added too. A seat names the neighbours in the same list or
branch, the nearest first; it is found again in a plan in which other steps stand elsewhere.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Literal

import msgspec

from ringcut.correct.edits import Add, Demand, Edit, Move, Path, demanded, exchanged, leaves, put_in, taken_out
from ringcut.draft.models import Items
from ringcut.reading.problems import Place
from ringcut.reading.raw import RawGroup, RawStep

Kind = Literal["move", "add", "demand"]
_STRONGEST: tuple[Kind, ...] = ("add", "move", "demand")


class Seat(msgspec.Struct, frozen=True):
    """The neighbours of a step in its list or branch, the nearest first."""

    before: tuple[Place, ...]
    behind: tuple[Place, ...]


class Edited(msgspec.Struct, frozen=True):
    """A version of a plan; ``kinds``: what was done to which steps, by the places of the steps."""

    items: Items
    kinds: Mapping[Place, Kind] = {}

    def having(self, items: Items, place: Place, kind: Kind) -> Edited:
        """The version after one edit more; a step that was added and then moved is one that was added."""
        both = {kind, self.kinds.get(place, kind)}
        return Edited(items, {**self.kinds, place: next(each for each in _STRONGEST if each in both)})


def located(items: Items, place: Place) -> Path | None:
    """The path of a step or a group."""
    return next((path for path, each in _all(items, ()) if each == place), None)


def seat(items: Items, path: Path) -> Seat:
    """The seat at a path, whether or not a step stands there that is meant: it is the one before its own."""
    beside = _list(items, path)
    at = path[-1]
    return Seat(tuple(each.place for each in reversed(beside[:at])), tuple(each.place for each in beside[at:]))


def seated(items: Items, where: Seat, step: RawStep) -> Items | None:
    """The plan with a step in a seat; None where none of the neighbours is there any more."""
    for neighbours, further in ((where.before, 1), (where.behind, 0)):
        for place in neighbours:
            path = located(items, place)
            if path is not None:
                return put_in(items, (*path[:-1], path[-1] + further), step)
    return None


def taken_back(version: Edited, place: Place, original: Items) -> Edited | None:
    """The version without one of its edits; None where the step cannot be put back."""
    kinds = {each: kind for each, kind in version.kinds.items() if each != place}
    path = located(version.items, place)
    assert path is not None
    if version.kinds[place] == "add":
        return Edited(taken_out(version.items, path), kinds)
    start = located(original, place)
    assert start is not None
    was = dict(leaves(original))[start]
    if version.kinds[place] == "demand":
        return Edited(exchanged(version.items, path, was), kinds)
    found = seat(original, (*start[:-1], start[-1]))
    stay = Seat(
        tuple(each for each in found.before if each not in kinds),
        tuple(each for each in found.behind if each not in kinds and each != place),
    )
    items = seated(taken_out(version.items, path), stay, was)
    return None if items is None else Edited(items, kinds)


def edits_of(original: Items, version: Edited) -> tuple[Items, tuple[Edit, ...]] | None:
    """The edits that lead from the original to a version, one after the other, and where they lead."""
    final = leaves(version.items)
    current, edits = original, list[Edit]()
    for _, step in final:
        if version.kinds.get(step.place) == "demand" or _is_demanded(step, original, version):
            path = located(current, step.place)
            assert path is not None
            needed = demanded(dict(leaves(current))[path])
            current = exchanged(current, path, needed)
            edits.append(Demand(needed, path))
    pending = {place for place, kind in version.kinds.items() if kind == "move"}
    for path, step in final:
        kind = version.kinds.get(step.place)
        if kind not in ("move", "add"):
            continue
        pending.discard(step.place)
        start = located(current, step.place) if kind == "move" else None
        without = taken_out(current, start) if start else current
        found = seat(version.items, path)
        waiting = {*pending, step.place}
        here = Seat(*(tuple(each for each in side if each not in waiting) for side in (found.before, found.behind)))
        put = seated(without, here, step)
        if put is None:
            return None
        end = located(put, step.place)
        assert end is not None
        current = put
        edits.append(Move(step, start, end) if start else Add(step, end))
    return current, tuple(edits)


def _is_demanded(step: RawStep, original: Items, version: Edited) -> bool:
    """Whether a step that was moved was also optional before, and is so no more."""
    if version.kinds.get(step.place) != "move" or step.optional is not None:
        return False
    path = located(original, step.place)
    return path is not None and dict(leaves(original))[path].optional is not None


def _list(items: Items, path: Path) -> Items:
    if len(path) == 1:
        return items
    group = items[path[0]]
    assert isinstance(group, RawGroup)
    return _list(group.branches[path[1]], path[2:])


def _all(items: Items, above: Path) -> Iterator[tuple[Path, Place]]:
    for at, item in enumerate(items):
        yield (*above, at), item.place
        if isinstance(item, RawGroup):
            for number, branch in enumerate(item.branches):
                yield from _all(branch, (*above, at, number))

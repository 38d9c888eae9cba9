"""Edits of a plan: a step moved, a step added, a reading changed; and the tree of steps they work on.

A place in the tree is a path: the index in the list, then for a step inside ``any-order`` branch and index, and so on.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

import msgspec

from ringcut.draft.models import Items
from ringcut.draft.plantext import step_text
from ringcut.reading.raw import RawGroup, RawStep

Path = tuple[int, ...]


class Move(msgspec.Struct, frozen=True, tag=True):
    """A step taken from ``start`` and put at ``end``, a path in the tree without it."""

    step: RawStep
    start: Path
    end: Path


class Add(msgspec.Struct, frozen=True, tag=True):
    """A step added at a path."""

    step: RawStep
    end: Path


class Change(msgspec.Struct, frozen=True, tag=True):
    """A reading of a step set to another value; ``side`` is empty where one text stands for all sides."""

    step: RawStep
    at: Path
    reading: str
    side: str
    before: str
    after: str


class Wait(msgspec.Struct, frozen=True, tag=True):
    """What a step waits for (``after``) set to other steps; None: for the step above it, as the list has it."""

    step: RawStep
    at: Path
    after: tuple[str, ...] | None


class Name(msgspec.Struct, frozen=True, tag=True):
    """An ``id`` given to a step, so that an ``after`` means this one of several alike."""

    step: RawStep
    at: Path
    id: str


class Demand(msgspec.Struct, frozen=True, tag=True):
    """A step that was optional and is so no more."""

    step: RawStep
    at: Path


Edit = Move | Add | Change | Wait | Name | Demand


def leaves(items: Items) -> list[tuple[Path, RawStep]]:
    """Every step with its path, in list order, as the reader numbers them."""
    return list(_leaves(items, ()))


def taken_out(items: Items, path: Path) -> Items:
    """The tree without the step at a path; a branch or a group that is empty then goes with it."""
    at, rest = path[0], path[1:]
    if not rest:
        return (*items[:at], *items[at + 1 :])
    group = items[at]
    assert isinstance(group, RawGroup)
    branch = taken_out(group.branches[rest[0]], rest[1:])
    branches = (*group.branches[: rest[0]], *((branch,) if branch else ()), *group.branches[rest[0] + 1 :])
    kept = (msgspec.structs.replace(group, branches=branches),) if branches else ()
    return (*items[:at], *kept, *items[at + 1 :])


def put_in(items: Items, path: Path, step: RawStep) -> Items:
    """The tree with a step at a path; what stood there comes after it."""
    at, rest = path[0], path[1:]
    if not rest:
        return (*items[:at], step, *items[at:])
    group = items[at]
    assert isinstance(group, RawGroup)
    branches = list(group.branches)
    branches[rest[0]] = put_in(branches[rest[0]], rest[1:], step)
    return (*items[:at], msgspec.structs.replace(group, branches=tuple(branches)), *items[at + 1 :])


def exchanged(items: Items, path: Path, step: RawStep) -> Items:
    """The tree with another step in the place of the one at a path."""
    at, rest = path[0], path[1:]
    if not rest:
        return (*items[:at], step, *items[at + 1 :])
    group = items[at]
    assert isinstance(group, RawGroup)
    branches = list(group.branches)
    branches[rest[0]] = exchanged(branches[rest[0]], rest[1:], step)
    return (*items[:at], msgspec.structs.replace(group, branches=tuple(branches)), *items[at + 1 :])


def applied(items: Items, edit: Edit) -> Items:
    """The tree with an edit made."""
    match edit:
        case Move(step, start, end):
            return put_in(taken_out(items, start), end, step)
        case Add(step, end):
            return put_in(items, end, step)
        case Change(step, at) | Wait(step, at) | Name(step, at) | Demand(step, at):
            return exchanged(items, at, step)


def demanded(step: RawStep) -> RawStep:
    """A step that is not optional."""
    return msgspec.structs.replace(step, optional=None)


def places(items: Items) -> list[Path]:
    """Every path at which a step can be put in."""
    return list(_places(items, ()))


def is_plain(items: Items) -> bool:
    """Whether list order and ``any-order`` are all there is: no ``after``."""
    return all(step.after is None for _, step in leaves(items))


def part(items: Items, wanted: Callable[[RawStep], bool]) -> Items:
    """The tree with only some of its steps, in the same order."""
    found: list[RawStep | RawGroup] = []
    for item in items:
        if isinstance(item, RawGroup):
            branches = tuple(kept for branch in item.branches if (kept := part(branch, wanted)))
            found += [msgspec.structs.replace(item, branches=branches)] if branches else []
        elif wanted(item):
            found.append(item)
    return tuple(found)


def bare(items: Items) -> object:
    """A tree of steps without the places of their texts, to compare what it says."""
    return [
        step_text(item) if isinstance(item, RawStep) else [bare(branch) for branch in item.branches] for item in items
    ]


def edges_of(items: Items) -> list[tuple[int, int]]:
    """(earlier, later) pairs of a plain tree, as the reader makes them: steps numbered in list order."""
    edges: list[tuple[int, int]] = []
    _connect(items, [], iter(range(1_000_000)), edges)
    return edges


def _connect(items: Items, above: list[int], count: Iterator[int], edges: list[tuple[int, int]]) -> list[int]:
    for item in items:
        if isinstance(item, RawGroup):
            exits = [last for branch in item.branches for last in _connect(branch, above, count, edges)]
            above = exits or above
        else:
            index = next(count)
            edges += [(earlier, index) for earlier in above]
            above = [index]
    return above


def _leaves(items: Items, above: Path) -> Iterator[tuple[Path, RawStep]]:
    for at, item in enumerate(items):
        if isinstance(item, RawGroup):
            for number, branch in enumerate(item.branches):
                yield from _leaves(branch, (*above, at, number))
        else:
            yield (*above, at), item


def _places(items: Items, above: Path) -> Iterator[Path]:
    for at, item in enumerate(items):
        yield (*above, at)
        if isinstance(item, RawGroup):
            for number, branch in enumerate(item.branches):
                yield from _places(branch, (*above, at, number))
    yield (*above, len(items))

"""Of all places where the moved and added steps of a correction may stand, the most natural ones.

A search stops at the first place that mends. A person wants the step where it usually stands: beside the neighbours it
has in the model procedure, and not far from where it was.
"""

from __future__ import annotations

from collections.abc import Collection, Set

import msgspec

from ringcut.correct.edits import Add, Demand, Edit, Move, Path, applied, exchanged, is_plain, leaves, put_in, taken_out
from ringcut.correct.search import Version
from ringcut.correct.verdicts import Verdicts
from ringcut.draft.models import Items
from ringcut.reading.problems import Place
from ringcut.reading.raw import RawGroup, RawStep

Pairs = Set[tuple[str, str]]


def natural(
    version: Version, original: Items, verdicts: Verdicts, usual: Pairs, broken: Collection[str] = ()
) -> Version:
    """The same edits at better places of the list; a plan with ``after`` stays as it was found.

    ``broken``: the rules that may stay broken.
    """
    original, first = _demanded(version, original)
    version = _distinct(Version(version.items, tuple(e for e in version.edits if not isinstance(e, Demand))), original)
    steps = [edit.step for edit in version.edits]
    found = [step for _, step in leaves(version.items)]
    if not steps or not is_plain(version.items) or any(found.count(step) > 1 for step in steps):
        return Version(version.items, (*first, *version.edits))
    items = version.items
    for step in steps:
        items = _best(items, step, original, verdicts, usual, broken)
    if any(step not in items for step in steps):
        return Version(version.items, (*first, *version.edits))
    return Version(items, (*first, *_edits(original, items, version.edits)))


def _demanded(version: Version, original: Items) -> tuple[Items, tuple[Edit, ...]]:
    """The original with the steps that are optional no more, whose place does not change."""
    edits: list[Edit] = []
    for each in version.edits:
        if isinstance(each, Demand):
            path = next(path for path, step in leaves(original) if step.place == each.step.place)
            original = exchanged(original, path, each.step)
            edits.append(Demand(each.step, path))
    return original, tuple(sorted(edits, key=lambda each: each.step.place.line))


def _distinct(version: Version, original: Items) -> Version:
    """Two added steps may be alike; numbers in their places tell them apart."""
    items, edits = original, []
    for number, edit in enumerate(version.edits):
        if isinstance(edit, Add):
            edit = Add(msgspec.structs.replace(edit.step, place=Place("", 0, number)), edit.end)
        items = applied(items, edit)
        edits.append(edit)
    return Version(items, tuple(edits))


def _best(
    items: Items, step: RawStep, original: Items, verdicts: Verdicts, usual: Pairs, broken: Collection[str]
) -> Items:
    rest = taken_out(items, _path(items, step))
    was = original.index(step) if step in original else 0
    # What no model has stands nowhere usually: it would only be put where it comes between no others, at the end.
    has_place = any(verdicts.name_of(step) in pair for pair in usual) or step not in original
    places = [
        (-_pairs(put_in(rest, (place,), step), verdicts, usual) if has_place else 0, abs(place - was), place)
        for place in range(len(rest) + 1)
    ]
    for _, _, place in sorted(places):
        changed = put_in(rest, (place,), step)
        if changed != original and all(rule in broken for rule in verdicts.one_by_one(changed)):
            return changed
    return items


def _pairs(items: Items, verdicts: Verdicts, usual: Pairs) -> int:
    names = [verdicts.name_of(step) for _, step in leaves(items)]
    return sum(pair in usual for pair in zip(names, names[1:], strict=False))


def _path(items: Items, step: RawStep) -> Path:
    return next(path for path, each in leaves(items) if each == step)


def _edits(original: Items, items: Items, edits: tuple[Edit, ...]) -> tuple[Edit, ...]:
    """The edits that lead from the original to a version, each step put behind what it follows there."""
    kinds = {edit.step: edit for edit in edits}
    current = original
    found: list[Edit] = []
    for at, step in enumerate(items):
        edit = kinds.get(step) if isinstance(step, RawStep) else None
        if edit is None or not isinstance(step, RawStep):
            continue
        start = _path(current, step) if isinstance(edit, Move) else ()
        current = taken_out(current, start) if start else current
        end = (_at(current, items[at - 1]) + 1 if at else 0,)
        current = put_in(current, end, step)
        found.append(Move(step, start, end) if isinstance(edit, Move) else Add(step, end))
    return tuple(found)


def _at(items: Items, wanted: RawStep | RawGroup) -> int:
    """Where an item of the list stands; a group is known by any of its steps."""
    inside = {step for _, step in leaves((wanted,))}
    return next(at for at, item in enumerate(items) if inside & {step for _, step in leaves((item,))})

"""A correction in words: each edit with the rules that are kept by it, and the file before and after as a diff."""

from __future__ import annotations

import difflib
from collections.abc import Iterable

import msgspec

from ringcut.correct.edits import Add, Change, Demand, Edit, Move, Name, Path, Wait, leaves
from ringcut.correct.graphsearch import Placing
from ringcut.draft.models import Items
from ringcut.reading.raw import RawStep


class Told(msgspec.Struct, frozen=True, rename="kebab"):
    """An edit in words, with the rules that are kept by it."""

    words: str
    rules: tuple[str, ...]
    kind: str
    """``moved``, ``added`` or ``changed``."""
    along: tuple[str, ...] = ()
    """What is written differently at other steps so that they keep their place in the order."""


KINDS = {Move: "moved", Add: "added", Change: "changed", Wait: "moved", Name: "changed", Demand: "changed"}


def words(edit: Edit, after: Items) -> str:
    """What an edit does, on the tree that it leads to."""
    match edit:
        case Move(step, end=end):
            return f"move {label(step)}{line(step)} {where(after, end)}"
        case Add(step, end):
            return f"add {label(step)}{_of_closure(step)} {where(after, end)}{_waits(step)}"
        case Wait(step, after=None):
            return f"let {label(step)}{line(step)} follow the step above it"
        case Wait(step):
            return f"let {label(step)}{line(step)} wait for {_waited_for(step)}"
        case Demand(step):
            return f"do {label(step)}{line(step)} in any case, where it was optional"
        case Name(step, id=name):
            return f"call {step.do.text}{line(step)} {name}, so that it can be waited for"
        case Change(step, reading=reading, side=side, before=was, after=now):
            place = f", side {side}" if side else ""
            told = f"from {was} to {now}" if was else f"to {now}"
            return f"set {reading.replace('-', ' ')} of {label(step)}{line(step)}{place} {told}"


def placed(placings: Iterable[Placing], edits: tuple[Edit, ...], items: Items) -> tuple[Told, ...]:
    """Edits of an order; what is written at other steps stands with the last."""
    told: list[Told] = []
    used: list[Edit] = []
    for placing in placings:
        mine: list[Edit] = [
            edit for edit in edits if edit.step.place == placing.step.place and not isinstance(edit, Name)
        ]
        used += mine
        said = [words(_standing(edit, items), items) for edit in mine] or [f"leave {label(placing.step)} where it is"]
        kind = {"add": "added", "demand": "changed"}.get(placing.kind, "moved")
        told.append(Told(", and ".join(said), placing.mends, kind))
    along = tuple(words(edit, items) for edit in edits if edit not in used)
    if told and along:
        told[-1] = msgspec.structs.replace(told[-1], along=along)
    return tuple(told)


def _standing(edit: Edit, items: Items) -> Edit:
    """A step put in, at the place that it has in the end."""
    end = next(path for path, step in leaves(items) if step.place == edit.step.place)
    return msgspec.structs.replace(edit, end=end) if isinstance(edit, Move | Add) else edit


def difference(before: str, after: str, file: str) -> list[str]:
    """A unified diff of two versions of a file, as lines."""
    return list(
        difflib.unified_diff(
            before.splitlines(), after.splitlines(), f"{file} (as it is)", f"{file} (corrected)", "", "", 2, ""
        )
    )


def label(step: RawStep) -> str:
    """How a step is called: its id, else its name."""
    return step.id.text if step.id else step.do.text


def line(step: RawStep) -> str:
    """Where a step stands in the file, if it does."""
    return f" (line {step.place.line})" if step.place.line else ""


def where(items: Items, path: Path) -> str:
    """Behind which step a path lies."""
    found = leaves(items)
    at = next((number for number, (each, _) in enumerate(found) if each == path), 0)
    if not at:
        return "to the beginning"
    return f"after {label(found[at - 1][1])}{line(found[at - 1][1])}"


def _waits(step: RawStep) -> str:
    return f", where it waits for {_waited_for(step)}" if step.after is not None else ""


def _waited_for(step: RawStep) -> str:
    return " and ".join(phrase.text for phrase in step.after or ()) or "nothing"


def _of_closure(step: RawStep) -> str:
    return f" for {step.closure.text}" if step.closure else ""

"""A repair longer than one sleeve: as many pieces as it takes, each laid over the one before when that is cool."""

from __future__ import annotations

import msgspec

from ringcut.draft.models import Items
from ringcut.draft.planned import replaced, set_reading
from ringcut.language import ir
from ringcut.reading.raw import RawProcedure, RawStep
from ringcut.reading.suggest import canonical
from ringcut.relations.procedure import Procedure
from ringcut.relations.spans import Span

SPECIAL = "long-repair"
"""The word of the fact ``special`` for it."""
MOST_PIECES = 12
"""Pieces after which a repair is no repair, where the vocabulary does not say how many are usual."""
NEXT, LAST = "overlap-sleeve", "cool-closure"
"""With these the doing of each further sleeve begins and ends."""


def most_pieces(book: ir.Rulebook) -> int:
    """As many pieces as are usual: a plan of more would be asked about, not conform."""
    word = book.steps["trim-sleeve"].readings.get("pieces") if "trim-sleeve" in book.steps else None
    return int(word.plausible[1]) if word is not None and word.plausible else MOST_PIECES


def is_long(raw: RawProcedure) -> bool:
    """Whether a plan is for a repair longer than one sleeve."""
    return any(_name(item) == NEXT for item in raw.steps)


def with_pieces(raw: RawProcedure, count: int) -> RawProcedure:
    """The plan of a model, which is for two sleeves, for another number; what all cover is said with the last."""
    first = next(at for at, item in enumerate(raw.steps) if _name(item) == NEXT)
    end = next(at for at, item in enumerate(raw.steps) if at > first and _name(item) == LAST) + 1
    again = raw.steps[first:end]
    before: Items = (_without(again[0], "covered-length"), *again[1:])
    steps = (*raw.steps[:first], *before * (count - 2), *again, *raw.steps[end:])
    return replaced(msgspec.structs.replace(raw, steps=steps), lambda step, at: _counted(step, count))


def pieces_of(procedure: Procedure) -> int:
    """How many pieces a plan cuts; one where it does not say."""
    for each in procedure.occurrences:
        found = each.readings.get(("pieces", "")) if each.step == "trim-sleeve" else None
        if isinstance(found, Span) and found.low is not None:
            return int(found.low)
    return 1


def _counted(step: RawStep, count: int) -> RawStep:
    return set_reading(step, "pieces", "", str(count)) if canonical(step.do.text) == "trim-sleeve" else step


def _name(item: object) -> str:
    return canonical(item.do.text) if isinstance(item, RawStep) else ""


def _without(item: object, reading: str) -> RawStep:
    assert isinstance(item, RawStep)
    kept = tuple(each for each in item.readings if canonical(each.name.text) != reading)
    return msgspec.structs.replace(item, readings=kept)

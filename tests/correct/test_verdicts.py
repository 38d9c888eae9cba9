"""Verdicts that are remembered are those of a fresh judgement, whatever order the steps come in."""

from __future__ import annotations

import random

import pytest

from ringcut.correct.edits import leaves, places, put_in, taken_out
from ringcut.correct.verdicts import Verdicts
from ringcut.draft.drafting import draft
from ringcut.draft.models import Items, Job, Model
from ringcut.language.ir import Rulebook
from ringcut.reading.procedurefile import read_procedure

LEAD: Job = {
    "work": "trouble-opening", "sheath": "lead", "construction": "single", "core": "paper", "pressurized": "yes",
    "location": "manhole", "cable-diameter": "2.05 in", "opening-length": "14 in",
}  # fmt: skip
DAM: Job = {**LEAD, "work": "inter-sheath-dam", "sheath": "polyethylene", "construction": "double",
    "cable-diameter": "2.4 in", "opening-length": "7 in"}  # fmt: skip


def _shuffled(items: Items, draw: random.Random) -> Items:
    """Some steps moved, one of them left out."""
    for number in range(draw.randrange(1, 5)):
        path, step = draw.choice(leaves(items))
        items = taken_out(items, path)
        if number:
            items = put_in(items, draw.choice(places(items)), step)
    return items


@pytest.mark.parametrize("job", [LEAD, DAM], ids=["lead", "dam"])
@pytest.mark.parametrize("grouped", [False, True], ids=["a list", "with any-order"])
def test_remembered_verdicts_are_fresh_ones(job: Job, grouped: bool, book: Rulebook, models: list[Model]) -> None:
    text = draft(job, book, models).text
    if grouped:
        text = text.replace("  - identify-cable\n  - check-foreign-voltage\n  - notify-pressure-desk\n",
            "  - any-order: [identify-cable, [check-foreign-voltage, notify-pressure-desk]]\n")  # fmt: skip
        assert "any-order" in text
    raw = read_procedure(text.encode(), "plan.yaml")
    remembering = Verdicts(raw, book)
    draw = random.Random(7)
    broken = 0
    for _ in range(40):
        items = _shuffled(raw.steps, draw)
        fresh = Verdicts(raw, book).broken(items)
        broken += bool(fresh)
        assert remembering.broken(items) == fresh
        assert sorted(remembering.one_by_one(items)) == sorted(fresh)
    assert broken > 30

"""What a plan takes from the truck: lengths of tape are never told short, and go around what lies under them."""

from __future__ import annotations

import re
from math import pi

from ringcut.draft.drafting import draft
from ringcut.draft.models import Job, Model
from ringcut.language.ir import Rulebook


def _feet(job: Job, book: Rulebook, models: list[Model], item: str) -> int:
    note = next(each.note for each in draft(job, book, models).materials if each.item == item)
    found = re.match(r"(\d+) ft", note)
    assert found is not None
    return int(found[1])


def test_a_started_foot_is_a_whole_one(lead: Job, book: Rulebook, models: list[Model]) -> None:
    """Two turns around at least 1.8 in are 11.3 in, and more over the layers; 1 ft was told for 16 in."""
    job: Job = {**lead, "sheath": "polyethylene", "core": "plastic", "cable-diameter": "1.8 in"}
    assert _feet(job, book, models, "aluminum tape, 4 in") >= 2


def test_tape_goes_around_the_bond_clamps(lead: Job, book: Rulebook, models: list[Model]) -> None:
    """Turns over the clamps of both sides go around cable and clamp, 2.175 in by the tables; so do the layers on them.

    Tables: clamp 3/8 in, tape 2 in wide. Half-lapped over 14 in and 1 in a side, twice: 34 turns at the least.
    """
    job: Job = {**lead, "sheath": "polyethylene", "core": "plastic", "cable-diameter": "1.8 in"}
    assert _feet(job, book, models, "rubber tape, 2 in") >= (4 + 34) * pi * 2.175 / 12

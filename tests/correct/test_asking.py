"""What a correction cannot say is asked for by name, never passed over."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest

from ringcut.correct.correcting import correct
from ringcut.draft.drafting import draft
from ringcut.draft.models import Job, Model
from ringcut.language.ir import Rulebook

LONG: Job = {
    "work": "sheath-repair", "sheath": "lead", "construction": "single", "core": "paper", "pressurized": "no",
    "location": "manhole", "cable-diameter": "2.05 in", "opening-length": "60 in", "special": ["long-repair"],
    "special-procedure": ["long-repair"],
}  # fmt: skip
WORDS = """
steps:
  cut: {says: cut, readings: {
    pieces: {kind: count, resolution: 1, known: planned, otherwise: "1", possible: [1, 9]},
    length: {kind: length, unit: in, known: planned, resolution: 1 in, possible: [0 in, 90 in]}}}
"""
REACH = "  - {rule: r0, says: s, class: major, limit: cut.length <= cut.pieces * 10 in, unclear: cut.pieces < 2}"


def test_the_number_of_pieces_of_a_long_repair_is_asked_for(book: Rulebook, models: list[Model]) -> None:
    """Without it one piece is assumed, which does not reach; that is no reason to say that nothing is wrong."""
    text = re.sub(r", pieces: \d+", "", draft(LONG, book, models).text.partition("\n#\n")[0]) + "\n"
    found = correct(text.encode(), "plan.yaml", book, models)
    assert (found.verdict, found.edits) == ("undetermined", ())
    (told,) = found.asks
    assert re.fullmatch(
        r"long-repair-pieces \(line \d+\): give pieces of trim-sleeve, which is taken as 1 meanwhile", told
    )


@pytest.mark.parametrize(
    ("readings", "asks"),
    [
        ("length: 30 in", ("r0 (line 1): give pieces of cut, which is taken as 1 meanwhile",)),
        ("length: 10 in", ()),
        ("length: 30 in, pieces: 3", ()),
    ],
    ids=["one piece does not reach", "one piece is enough", "it is said"],
)
def test_what_is_assumed_is_asked_for_only_where_it_matters(
    readings: str, asks: tuple[str, ...], small_book: Callable[..., Rulebook]
) -> None:
    plan = f"{{procedure: plan, steps: [{{do: cut, {readings}}}]}}"
    assert correct(plan.encode(), "plan.yaml", small_book(WORDS, REACH), []).asks == asks


def test_what_cannot_be_said_for_another_reason_is_told_with_its_numbers(small_book: Callable[..., Rulebook]) -> None:
    rules = "  - {rule: r0, says: s, class: major, limit: cut.length <= 20 in}"
    plan = b"{procedure: plan, steps: [{do: cut, length: at least 15 in}]}"
    found = correct(plan, "plan.yaml", small_book(WORDS, rules), [])
    assert found.verdict == "undetermined"
    (told,) = found.asks
    assert told.startswith("r0 (line 1): ")
    assert "15 in" in told
    assert "20 in" in told

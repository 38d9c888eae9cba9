"""Readings that are changed so that limits hold: how many, and whether fewer are proved not to do."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from ringcut.correct import readings
from ringcut.correct.correcting import correct
from ringcut.correct.correction import Correction
from ringcut.language.ir import Rulebook

SIZE = "{kind: length, unit: in, known: planned, possible: [0 in, 9 in], resolution: 1 in}"
WORDS = f"steps:\n  cut: {{says: cut, readings: {{one: {SIZE}, two: {SIZE}, three: {SIZE}}}}}\n"
PAIRS = ("one", "two"), ("two", "three"), ("one", "three")
RULES = [f"  - {{rule: {a}-{b}, says: long enough, class: minor, limit: cut.{a} + cut.{b} >= 10 in}}" for a, b in PAIRS]


@pytest.fixture
def corrected(compiled: Callable[[str, str], Rulebook]) -> Callable[[int], Correction]:
    """Three readings of 1 in, of which so many pairs have to come to 10 in, corrected."""
    plan = b"{procedure: plan, steps: [{do: cut, one: 1 in, two: 1 in, three: 1 in}]}"
    return lambda pairs: correct(plan, "plan.yaml", compiled(WORDS, "\n".join(RULES[:pairs])), [])


@pytest.mark.parametrize(("pairs", "changes"), [(1, 1), (2, 1), (3, 2)])
def test_fewer_changes_than_are_found_do_not_do(
    pairs: int, changes: int, corrected: Callable[[int], Correction]
) -> None:
    found = corrected(pairs)
    assert (found.verdict, found.changed_readings, found.smallest) == ("conforms", changes, True)


@pytest.mark.parametrize(("pairs", "proved"), [(1, True), (3, False)])
def test_where_not_every_set_of_readings_was_looked_at_nothing_is_called_the_fewest(
    pairs: int, proved: bool, corrected: Callable[[int], Correction], monkeypatch: pytest.MonkeyPatch
) -> None:
    """It was called so all the same. One change is the fewest wherever none will not do."""
    monkeypatch.setattr(readings, "MOST_WAYS", 1)
    found = corrected(pairs)
    assert (found.verdict, found.smallest) == ("conforms", proved)


BAR = """
steps:
  bond:
    says: bond
    readings:
      conductor: {choices: [bar, strap], known: planned}
      length: {kind: length, unit: in, known: planned, possible: [0 in, 20 in], resolution: 1/4 in}
      angle: {kind: length, unit: in, known: planned, possible: [0 in, 20 in], resolution: 1/4 in}
"""
OF_A_BAR = """
  - {rule: short, says: short, class: minor, limit: if bond.conductor is bar then bond.length <= 12 in}
  - {rule: near, says: near, class: minor, limit: if bond.conductor is bar then bond.angle <= 5 in}
"""
NO_BAR = "  - {rule: kind, says: kind, class: minor, limit: bond.conductor is strap}\n"


@pytest.mark.parametrize(
    ("rules", "after"),
    [(OF_A_BAR, ["12 in", "5 in"]), (OF_A_BAR + NO_BAR, ["strap"]), (NO_BAR, ["strap"])],
)
def test_what_is_asked_of_a_bar_is_not_mended_by_taking_no_bar(
    rules: str, after: list[str], compiled: Callable[[str, str], Rulebook]
) -> None:
    """One bar that was too long and lay wrong was called a strap: one edit, and no rule asked anything any more."""
    plan = b"{procedure: plan, steps: [{do: bond, conductor: bar, length: 13 in, angle: 6 in}]}"
    found = correct(plan, "plan.yaml", compiled(BAR, rules), [])
    assert (found.verdict, found.smallest) == ("conforms", True)
    assert [edit.words.rpartition(" to ")[2] for edit in found.edits] == after


@pytest.mark.parametrize(("conductor", "filled"), [("bar", ["12 in"]), ("strap", [])])
def test_a_reading_that_no_rule_asks_for_is_not_filled_in(
    conductor: str, filled: list[str], compiled: Callable[[str, str], Rulebook]
) -> None:
    """The length of its bar was written to a strap, with no rule behind the edit."""
    plan = f"{{procedure: plan, steps: [{{do: bond, conductor: {conductor}, angle: 20 in}}]}}"
    rules = (
        "  - {rule: just, says: just, class: minor, limit: if bond.conductor is bar then bond.length = 12 in}\n"
        "  - {rule: near, says: near, class: minor, limit: bond.angle <= 19 in}\n"
    )
    found = correct(plan.encode(), "plan.yaml", compiled(BAR, rules), [])
    assert [edit.words.rpartition(" to ")[2] for edit in found.edits] == [*filled, "19 in"]
    assert all(edit.rules for edit in found.edits)

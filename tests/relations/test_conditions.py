"""Effects that may or may not happen, in one line: what is so already stays as it is."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from ringcut.checking import read
from ringcut.language.ir import Rulebook
from ringcut.relations.conditions import END, Conditions, Moment
from ringcut.relations.formula import Atom, Literal
from ringcut.relations.truth import NO, OPEN, UNKNOWN, YES, Level
from ringcut.relations.view import View

WORDS = """
conditions: {p: {says: p}}
steps:
  make: {says: p, makes: [p], again: another}
  spoil: {says: no p by a reading, sets: {p: {where: size > 5 in, to: never}}, again: another,
    readings: {size: {kind: length, unit: in, possible: [0 in, 10 in]}}}
  find: {says: p by a reading, sets: {p: {where: size > 5 in, to: always}}, again: another,
    readings: {size: {kind: length, unit: in, possible: [0 in, 10 in]}}}
  use: {says: a use, again: another}
"""


@pytest.fixture(scope="module")
def at_end(compiled: Callable[[str, str], Rulebook]) -> Callable[[str], tuple[Level, Level]]:
    """The value of p, and of not p, at the end of a procedure."""
    book = compiled(WORDS, "  []")

    def at_end(told: str) -> tuple[Level, Level]:
        kind, steps = told.split(": ", 1)
        conditions = Conditions(View(read(f"{{procedure: {kind}, steps: [{steps}]}}".encode(), "x.yaml", book), book))
        p, no_p = (conditions.worst_before(Literal(Atom("p"), positive), END)[0].level for positive in (True, False))
        return p, no_p

    return at_end


@pytest.mark.parametrize(
    ("told", "p", "no_p"),
    [
        ("plan: use", NO, YES),
        ("plan: make", YES, NO),
        ("plan: spoil", NO, YES),  # a reading that may only undo it does not make it
        ("plan: make, spoil", OPEN, OPEN),
        ("plan: spoil, make", YES, NO),
        ("plan: find", OPEN, OPEN),
        ("plan: make, find", YES, NO),
        ("plan: find, spoil", OPEN, OPEN),
        ("log: spoil", NO, YES),
        ("log: make, spoil", UNKNOWN, UNKNOWN),
        ("log: make, {do: spoil, size: 6 in}", NO, YES),
        ("log: make, {do: spoil, size: 5 in}", YES, NO),
        ("log: make, {do: spoil, size: 6 in}, spoil", NO, YES),
    ],
)
def test_an_effect_limited_to_some_doings(
    at_end: Callable[[str], tuple[Level, Level]], told: str, p: Level, no_p: Level
) -> None:
    assert at_end(told) == (p, no_p)


def test_own_effects_count_only_after_it(compiled: Callable[[str, str], Rulebook]) -> None:
    book = compiled(WORDS, "  []")
    conditions = Conditions(View(read(b"{procedure: plan, steps: [{any-order: [make, use]}, use]}", "x", book), book))
    p = Literal(Atom("p"), True)
    levels = [conditions.worst_before(p, Moment(step, after))[0].level for step in (0, 1, 2) for after in (False, True)]
    assert levels == [NO, YES, NO, NO, YES, YES]

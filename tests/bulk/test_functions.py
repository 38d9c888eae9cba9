"""A function that tells whether a log has the outcomes of another one says what looking at every check says."""

from __future__ import annotations

from fractions import Fraction
from itertools import combinations

from hypothesis import given
from hypothesis import strategies as st

from ringcut.bulk.checks import Check, Gap, Healed, Reach, Said
from ringcut.bulk.functions import Alike, outcomes

LENGTHS = (Fraction(120), Fraction(300))
TIMES = st.lists(st.integers(0, 6), min_size=5, max_size=5).map(
    lambda gaps: [60 * sum(gaps[: n + 1]) for n in range(5)]
)


def clocked(number: int) -> list[Check]:
    """All gaps among five entries, how far lengths reach from each, or which starts lie before what has lapsed."""
    if number == 2:
        starts = ("first", "«1»", "«2»", "«4»")
        return [Healed(f"«{k}»", LENGTHS[1], starts, LENGTHS[0]) for k in range(5)]
    if number:
        return [Reach(f"«{k}»", length, before) for k in range(5) for length in LENGTHS for before in (False, True)]
    gaps = [(f"«{i}»", f"«{j}»") for i, j in combinations(range(5), 2)] + [("first", "last")]
    return [Gap(one, two, op, length) for one, two in gaps for op in (">", ">=") for length in LENGTHS]


@given(TIMES, TIMES, st.integers(0, 2))
def test_alike_is_the_same_outcomes(first: list[int], other: list[int], number: int) -> None:
    checks, ends, at = clocked(number), (0, 4, 5, range(5)), [0, 1, 2, 3, 4]
    all_of = outcomes(checks, {})
    one, two = (all_of({}, [], times, [], None, *ends, at) for times in (first, other))
    alike, whole = Alike(ends), Alike(ends)
    alike.add(checks, {}, at, one)
    whole.take(checks, {}, at)
    assert alike.function()({}, [], other, [], None, *ends) == (one == two)
    assert whole.outcomes()({}, [], other, [], None, *ends) == two


def test_what_a_check_calls_is_called_with_the_places_of_its_own_rule() -> None:
    """Two rules whose checks call by different names, at different places."""
    alike = Alike((0, 3, 4, range(4)))
    for name, at in (("one", [1, 2]), ("two", [3, 0])):
        alike.take([Said(f"{name}(e, x, at, view)")], {name: lambda e, x, at, view: (list(at), x)}, at)
    assert alike.outcomes()({}, ["texts"], [], [], None, 0, 3, 4, range(4)) == (
        ([1, 2], ["texts"]),
        ([3, 0], ["texts"]),
    )

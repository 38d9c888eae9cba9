"""A function that tells whether a log has the outcomes of another one says what looking at every check says."""

from __future__ import annotations

from fractions import Fraction
from itertools import combinations
from typing import Any

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
    one, two = (all_of([], times, [], None, *ends, at) for times in (first, other))
    whole, own = Alike(ends), Alike(ends, 5)
    for alike in (whole, own):
        alike.add(checks, {}, at, one)
    assert whole.function()([], other, [], None, *ends) == (one == two)
    assert own.function()([], other, [], None, *ends, at) == (one == two)


OTHERS = st.lists(st.integers(0, 1800), max_size=3)


@given(TIMES, TIMES, OTHERS, OTHERS)
def test_alike_of_one_rule_holds_in_every_run_that_shows_it_the_same(
    first: list[int], other: list[int], here: list[int], there: list[int]
) -> None:
    """Five entries among entries of other rules, others in the second log than in the first."""
    checks = [*clocked(0), *clocked(2)]
    all_of, found = outcomes(checks, {}), list[object]()
    alike: Alike | None = None
    for own, others in ((first, here), (other, there)):
        log = sorted([*((time, True) for time in own), *((time, False) for time in others)])
        at, ends = [place for place, (_, mine) in enumerate(log) if mine], (0, len(log) - 1, len(log), range(len(log)))
        asked: tuple[Any, ...] = ([], [time for time, _ in log], [], None, *ends, at)
        found.append(all_of(*asked))
        if alike is None:
            alike = Alike(ends, 5)
            alike.add(checks, {}, at, all_of(*asked))
        assert alike.function()(*asked) == (found[0] == found[-1])


def test_what_a_check_calls_is_called_with_the_places_of_its_own_rule() -> None:
    """Two rules whose checks call by different names, at different places."""
    alike, seen = Alike((0, 3, 4, range(4))), []

    def asked(e: list[str], at: list[int], view: None) -> int:
        seen.append((list(at), e))
        return 7

    for name, at in (("one", [1, 2]), ("two", [3, 0])):
        alike.add([Said(f"{name}(e, at, view)")], {name: asked}, at, [7])
    assert alike.function()(["entries"], [], [], None, 0, 3, 4, range(4))
    assert seen == [([1, 2], ["entries"]), ([3, 0], ["entries"])]

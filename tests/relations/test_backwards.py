"""Times against the list, held to the meaning written out: every longest part of a list that runs on is looked at."""

from __future__ import annotations

from fractions import Fraction
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringcut.reading.problems import NOWHERE
from ringcut.relations.backwards import backwards, without_times
from ringcut.relations.procedure import Occurrence, Procedure


def entries(times: list[int], by: str = "", length: int = 0) -> list[Occurrence]:
    return [
        Occurrence(index, "use", ("A",), NOWHERE, by=tuple(by[index : index + 1]),
                   begin=Fraction(time - length), finish=Fraction(time))
        for index, time in enumerate(times)
    ]  # fmt: skip


def doubted_by_looking(times: list[int]) -> set[int]:
    for size in range(len(times), -1, -1):
        parts = [part for part in combinations(range(len(times)), size)
                 if all(times[a] <= times[b] for a, b in zip(part, part[1:], strict=False))]  # fmt: skip
        if parts:
            return set(range(len(times))) - set[int].intersection(*[set(part) for part in parts])
    return set()


@given(st.lists(st.integers(0, 6), max_size=8))
def test_in_doubt_is_what_some_longest_part_leaves_out(times: list[int]) -> None:
    found = backwards(entries(times))
    runs_on = sorted(times) == times
    assert set(found.doubted) == (set() if runs_on else doubted_by_looking(times))
    assert bool(found.pairs) == (not runs_on)


@pytest.mark.parametrize(
    ("times", "doubted"),
    [
        ([800, 810, 1340, 1120, 1420], (2, 3)),  # either of the two may be the slip
        ([800, 810, 1340, 1120, 1130, 1140], (2,)),  # one time does not fit the others
        ([800, 800, 810], ()),
        ([3, 2, 1], (0, 1, 2)),
    ],
)
def test_in_doubt(times: list[int], doubted: tuple[int, ...]) -> None:
    assert backwards(entries(times)).doubted == doubted


def test_two_people_interleave() -> None:
    assert backwards(entries([910, 905, 915, 907], by="ABAB")).pairs == ()
    assert backwards(entries([910, 905, 900, 907], by="ABAB")).pairs == ((0, 2),)


def test_entries_that_overlap_are_in_no_order() -> None:
    """However they are listed; only one that was over before the one above began is against the list."""
    long = Occurrence(0, "blow", ("A",), NOWHERE, begin=Fraction(0), finish=Fraction(100))
    for begin, finish, against in ((10, 20, False), (-10, 20, False), (-10, -5, True)):
        other = Occurrence(1, "use", ("A",), NOWHERE, begin=Fraction(begin), finish=Fraction(finish))
        assert backwards([long, other]).pairs == (((0, 1),) if against else ())
    between = Occurrence(1, "use", ("A",), NOWHERE, begin=Fraction(-20), finish=Fraction(50))
    early = Occurrence(2, "use", ("A",), NOWHERE, begin=Fraction(-20), finish=Fraction(-5))
    assert backwards([long, between, early]).pairs == ((0, 2),)


def test_by_the_list_only_the_times_in_doubt_are_gone() -> None:
    log = Procedure(False, {}, {}, entries([800, 1340, 1120, 1420]))
    other = without_times(log, (1, 2))
    assert [each.finish for each in other.occurrences] == [800, None, None, 1420]
    assert [each.finish for each in log.occurrences] == [800, 1340, 1120, 1420]

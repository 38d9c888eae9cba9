"""Domains in two parts, beside the same said with lists of positions."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from ringcut.fit.splits import halvings, middle, nearest, split

POSITIONS = st.sets(st.integers(0, 40), min_size=1, max_size=12)


def _mask(positions: set[int]) -> int:
    return sum(1 << position for position in positions)


@given(POSITIONS, st.integers(0, 45))
def test_the_nearest_value_is_the_lower_of_two(positions: set[int], wanted: int) -> None:
    expected = min(positions, key=lambda position: (abs(position - wanted), position))
    assert nearest(_mask(positions), wanted) == 1 << expected


@given(POSITIONS)
def test_halving_at_the_middle_ends_when_it_says(positions: set[int]) -> None:
    """Whichever half is taken, and whatever gaps the domain has."""
    left = [positions]
    for _ in range(halvings(_mask(positions))):
        halves = []
        for each in left:
            half = middle(_mask(each))
            halves += [{p for p in each if p <= half}, {p for p in each if p > half}]
        left = [each for each in halves if each]
    assert all(len(each) == 1 for each in left)


@given(POSITIONS, st.integers(0, 40), st.booleans())
def test_the_two_parts_make_up_the_whole(positions: set[int], at: int, upper_first: bool) -> None:
    mask = _mask(positions)
    found = split(3, mask, (1 << (at + 1)) - 1, upper_first)
    assert found.first | found.second == mask
    assert not found.first & found.second
    low, high = (found.second, found.first) if upper_first else (found.first, found.second)
    assert low.bit_length() <= at + 1
    assert not high & ((1 << (at + 1)) - 1)
    assert found.fine == (max(halvings(low), halvings(high)) >= halvings(mask))

"""A domain in two parts, as the search decides between them; domains are bit masks."""

from __future__ import annotations

from typing import NamedTuple


class Split(NamedTuple):
    """A domain of one variable in two parts, in the order in which they are tried.

    ``fine`` if a part may be nearly as wide as the whole, so that such splits could go on for long.
    """

    variable: int
    first: int
    second: int
    fine: bool


NEITHER = Split(-1, 0, 0, False)
"""No part has a solution."""


def split(variable: int, mask: int, lower: int, upper_first: bool) -> Split:
    """The values in ``lower`` and the others, which lie above them."""
    low = mask & lower
    high = mask ^ low
    fine = max(halvings(low), halvings(high)) >= halvings(mask)
    return Split(variable, high, low, fine) if upper_first else Split(variable, low, high, fine)


def middle(mask: int) -> int:
    """The position halfway between the first and the last value."""
    return ((mask & -mask).bit_length() + mask.bit_length() - 2) // 2


def halvings(mask: int) -> int:
    """How often a domain can be halved, at most, until one value is left."""
    return (mask.bit_length() - (mask & -mask).bit_length()).bit_length()


def nearest(mask: int, position: int) -> int:
    """The value of a mask, as its bit, that is nearest to a position; the lower of two."""
    below = mask & ((1 << (position + 1)) - 1)
    above = mask ^ below
    low = 1 << (below.bit_length() - 1) if below else 0
    high = above & -above
    if not (low and high):
        return low or high
    return low if position - (low.bit_length() - 1) <= (high.bit_length() - 1) - position else high

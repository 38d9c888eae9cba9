"""The sleeve: bond length, size, length, channel, a look at it."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from .lengths import opening_length, outermost_reach
from .plain import BROKEN, NA, OK, SIDES, UNKNOWN, Story, Verdict, before_each, worst

SHORTEST = Fraction(5)
ALLOWANCE = Fraction(1, 2)
# The stock the good procedures are cut from, invented: size, the largest it slips over, the smallest it shrinks onto,
# and its length.
STOCK = {"2": (Fraction("2.6"), Fraction("0.85"), Fraction(32))}
QUARTER_TURN = Fraction(90)
LEFT_OPEN = Fraction(1)


def bond_length(story: Story) -> Verdict:
    """Five inches of adhesive on sheath beyond the last layer, on one side and on the other."""
    found: list[Verdict] = []
    for side in SIDES:
        sleeve = story.last("assemble-sleeve", side)
        if sleeve is not None:
            found.append(story.check(sleeve, "bond-length", side, lambda length: length >= SHORTEST))
    return worst(found)


def auxiliary_bond(story: Story) -> Verdict:
    """On an auxiliary the polyethylene end gets no discount: five inches."""
    if not story.auxiliary:
        return NA
    found: list[Verdict] = []
    for side in story.sides_of("polyethylene"):
        sleeve = story.last("assemble-sleeve", side)
        if sleeve is not None:
            found.append(story.check(sleeve, "bond-length", side, lambda length: length >= SHORTEST))
    return worst(found)


def sleeve_length(story: Story) -> Verdict:
    """The sleeve covers opening, layers, bond and a half inch of allowance, the last three at both ends.

    Also what the table says of the allowance. There is no stock list here to compare the other end with.
    """
    trim = story.last("trim-sleeve")
    if trim is None:
        return NA
    parts = [opening_length(story)] + [outermost_reach(story, side) for side in SIDES]
    known = [part for part in parts if part is not None]
    if len(known) < len(parts):
        return UNKNOWN
    need = sum(known) + 2 * (SHORTEST + ALLOWANCE)
    return story.check(trim, "sleeve-length", "A", lambda length: length >= need)


def sleeve_size(story: Story) -> Verdict:
    """Diameters are measured before a sleeve is chosen, the smallest not over the largest; the size fits both."""
    found: list[Verdict] = [before_each(story, ["measure-diameters"], ["select-sleeve"])]
    for step in story.done("measure-diameters"):
        small, large = step.number("smallest"), step.number("largest")
        if small is None or large is None:
            found.append(story.missing("smallest"))
        else:
            found.append(OK if small <= large else BROKEN)
    return worst([*found, fits(story)])


def fits(story: Story) -> Verdict:
    """What the stock list says of the chosen size: over the largest, onto the smallest, no longer than stock."""
    sleeve, size = story.last("assemble-sleeve"), story.last("select-sleeve")
    across, trim = story.last("measure-diameters"), story.last("trim-sleeve")
    if sleeve is None:
        return NA
    stock = STOCK.get(str(size.text("size"))) if size else None
    if stock is None or across is None:
        return UNKNOWN
    over, onto, long = stock
    found = [
        story.check(across, "largest", "A", lambda width: width <= over),
        story.check(across, "smallest", "A", lambda width: width >= onto),
    ]
    return worst([*found, NA if trim is None else story.check(trim, "sleeve-length", "A", lambda cut: cut <= long)])


def apart(one: Fraction, other: Fraction) -> Fraction:
    """Degrees between two positions on a circle, the short way round."""
    turn = abs(one - other) % 360
    return min(turn, 360 - turn)


def channel_off_bar(story: Story) -> Verdict:
    """The channel ends up at least a quarter turn from the bond bar."""
    bond, channel = story.last("place-permanent-bond"), story.last("turn-channel")
    if bond is None or bond.text("conductor") not in ("bar", None):
        return NA
    if channel is None:
        return UNKNOWN if story.done("shrink-sleeve") else NA
    bar, rail = bond.number("bar-angle", kind="angle"), channel.number("channel-angle", kind="angle")
    if bar is None or rail is None:
        return UNKNOWN
    return OK if apart(bar, rail) >= QUARTER_TURN else BROKEN


def channel_length(story: Story) -> Verdict:
    """The rail is cut to the sleeve, out of which it does not stick and of which it leaves an inch at most without.

    Where nobody writes its length it is that of the sleeve.
    """
    trim, rail = story.last("trim-sleeve"), story.last("trim-channel")
    if rail is None:
        return NA
    cut, closed = trim.number("sleeve-length") if trim else None, rail.number("channel-length")
    if cut is None:
        return UNKNOWN
    return OK if closed is None or cut - LEFT_OPEN <= closed <= cut else BROKEN


def looked_at(story: Story) -> Verdict:
    """Each shrunk sleeve is looked at, and what is seen is good."""
    good: Verdict | None = OK
    for step in story.steps:
        if step.do == "shrink-sleeve":
            good = None
        if step.do == "inspect-sleeve":
            good = story.said(step, "result", ["good", "ok", "pass", "conforms", "sound"])
    if not story.done("shrink-sleeve"):
        return NA
    return good or story.absent("inspect-sleeve")


ROWS: dict[str, Callable[[Story], Verdict]] = {
    "bond-length": bond_length,
    "auxiliary-bond-length": auxiliary_bond,
    "sleeve-length": sleeve_length,
    "sleeve-size": sleeve_size,
    "channel-off-bar": channel_off_bar,
    "channel-length": channel_length,
    "sleeve-looked-at": looked_at,
}

"""Before anything is touched: the right cable, foreign voltage, water; and moving the cable."""

from __future__ import annotations

import re
from collections.abc import Callable
from fractions import Fraction

from .plain import BROKEN, NA, OK, UNKNOWN, Step, Story, Verdict, where, worst
from .words import BARE, CUTS, OPENS

STOP_AC = Fraction(50)
STOP_DC = Fraction(60)
RADIUS = Fraction(10)


def two_ways(story: Story, step: Step) -> Verdict:
    """Tone, and a tag or a count: two looks that do not share a mistake."""
    ways = step.text("ways")
    if ways is None:
        return story.missing("ways")
    words = set(re.findall(r"[a-z]+|\d+", " ".join(ways).lower() if isinstance(ways, list) else str(ways)))
    return OK if "tone" in words and words & {"tag", "count"} or words == {"2"} else BROKEN


def right_cable(story: Story) -> Verdict:
    """Know which cable it is before a blade or a valve; by two ways where another cable is in reach.

    Every work has this row; one that cuts nothing begins with cleaning.
    """
    known: Verdict | None = None
    found: list[Verdict] = []
    neighbours = {story.yes("other-cables"), story.yes("joint-with-power")}
    crowded = True if True in neighbours else None if None in neighbours else False
    for step in story.steps:
        if step.do == "identify-cable":
            ways = where(crowded, two_ways(story, step))
            known = OK if ways == NA or known == OK else ways
        if step.do in CUTS | {"clean-lead", "clean-polyethylene"}:
            found.append(story.absent("identify-cable") if known is None else known)
    return worst(found)


def voltage(story: Story, step: Step) -> Verdict:
    """At most 50 V ac or 60 V dc; a bare V between the two stops may be good or bad."""
    dc = step.number("voltage", kind="volt-dc")
    if dc is not None:
        return OK if dc <= STOP_DC else BROKEN
    found = story.check(step, "voltage", "A", lambda volts: volts <= STOP_AC, "volt")
    bare = not str(step.text("voltage")).lower().endswith("ac")
    low = story.check(step, "voltage", "A", lambda volts: volts <= STOP_DC, "volt") == OK
    return UNKNOWN if found == BROKEN and bare and low else found


def foreign_voltage(story: Story) -> Verdict:
    """No bare hands before the voltage is known to be low, and again after everybody was away."""
    known: Verdict | None = None
    found: list[Verdict] = []
    for step in story.steps:
        if step.do == "check-foreign-voltage":
            known = voltage(story, step)
        if step.do in ("leave-manhole", "temporary-closure"):
            known = None
        if step.do in BARE:
            found.append(story.absent("check-foreign-voltage") if known is None else known)
    return worst(found)


def water_below(story: Story) -> Verdict:
    """In a manhole or pit the water stands below the cable before air is let out or the sheath opened.

    A hole of which nobody says that it is wet or dry may have been dry.
    """
    if not story.at("manhole", "pit"):
        return NA
    pumped = False
    found: list[Verdict] = []
    for step in story.steps:
        pumped = pumped or step.do == "pump-water"
        if step.do in OPENS or step.do == "bleed-pressure":
            found.append(OK if pumped else story.absent("pump-water"))
    return where(story.yes("water-in-hole"), worst(found))


def bending(story: Story) -> Verdict:
    """A cable is bent no tighter than ten times its diameter."""
    diameter = Step("job", ("A", "B"), None, None, None, story.job).number("cable-diameter")
    found: list[Verdict] = []
    for step in story.done("move-cable"):
        if diameter is None:
            found.append(UNKNOWN)
        else:
            found.append(story.least(step, "bend-radius", "A", RADIUS * diameter))
    return worst(found)


ROWS: dict[str, Callable[[Story], Verdict]] = {
    "right-cable": right_cable,
    "foreign-voltage": foreign_voltage,
    "water-below-cable": water_below,
    "bending-radius": bending,
}

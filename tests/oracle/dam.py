"""The block between two sheaths: sizes of its parts."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from .lengths import opening_length
from .plain import BROKEN, NA, OK, SIDES, UNKNOWN, Story, Verdict, worst

SECTION = Fraction(7)
PAD = Fraction(6)
FREE = Fraction(5)
SLOWEST, FASTEST = Fraction(6), Fraction(4)


def section(story: Story) -> Verdict:
    """Seven inches of outer sheath come off: with less the tape at both ends leaves too little free."""
    step = story.last("remove-outer-sheath")
    if not story.dam or step is None:
        return NA
    return story.check(step, "section-length", "A", lambda length: length >= SECTION)


def inner_scuffed(story: Story) -> Verdict:
    """Five inches of inner sheath at least are scuffed, and no more than was laid bare."""
    scuff, bare = story.last("scuff-inner-sheath"), story.last("remove-outer-sheath")
    if not story.dam or scuff is None:
        return NA
    scuffed, section_length = scuff.number("scuffed-length"), bare.number("section-length") if bare else None
    if scuffed is not None and scuffed < FREE:
        return BROKEN
    if scuffed is None or section_length is None:
        return UNKNOWN
    return OK if scuffed <= section_length else BROKEN


def inner_flame(story: Story) -> Verdict:
    """Flame for about five seconds a foot over everything that was scuffed on the inner sheath."""
    flame, scuff = story.last("flame-treat-inner-sheath"), story.last("scuff-inner-sheath")
    if not story.dam or flame is None or scuff is None:
        return NA
    treated, scuffed = flame.number("treated-length"), scuff.number("scuffed-length")
    whole: Verdict = UNKNOWN
    if treated is not None and scuffed is not None:
        whole = OK if treated >= scuffed else BROKEN
    time, rate = flame.number("duration", kind="time"), flame.number("duration", kind="rate")
    if rate is None and time is not None and treated:
        rate = time * 60 / (treated / 12)
    if rate is None:
        return worst([whole, story.missing("duration")])
    return worst([whole, OK if FASTEST <= rate <= SLOWEST else BROKEN])


def bar(story: Story) -> Verdict:
    """The bond is a bar or a perforated strap, slack enough to lie down on the inner sheath."""
    bond = story.last("place-permanent-bond")
    if not story.dam or bond is None:
        return NA
    kind = story.said(bond, "conductor", ["bar", "strap", "perforated-strap"])
    return worst([kind, story.said(bond, "slack", ["yes", "true"])])


def pads(story: Story) -> Verdict:
    """Two pads of six inches, lapped over one another, reach from end to end of the opening."""
    step = story.last("place-pads")
    if not story.dam or step is None:
        return NA
    two = story.check(step, "pads", "A", lambda pads: pads == 2, "count")
    long = story.check(step, "pad-length", "A", lambda length: length == PAD)
    lapped = story.check(step, "pad-overlap", "A", lambda overlap: overlap > 0)
    length, overlap, opening = step.number("pad-length"), step.number("pad-overlap"), opening_length(story)
    if length is None or overlap is None or opening is None:
        return worst([two, long, lapped, UNKNOWN])
    return worst([two, long, lapped, OK if 2 * length - overlap >= opening else BROKEN])


def vinyl(story: Story) -> Verdict:
    """Two laps of vinyl tape hold the pads."""
    step = story.last("wrap-vinyl-tape")
    if not story.dam or step is None:
        return NA
    return story.check(step, "laps", "A", lambda laps: laps >= 2, "count")


def clamps(story: Story) -> Verdict:
    """Each clamp has two laps of 2 in tape that reach at most an inch into the opening."""
    if not story.dam:
        return NA
    found: list[Verdict] = []
    for side in SIDES:
        step = story.last("tape-clamps", side)
        if step is not None:
            found.append(story.check(step, "layers", side, lambda laps: laps >= 2, "count"))
            found.append(story.check(step, "width", side, lambda width: width == 2))
            found.append(story.check(step, "reach", side, lambda reach: reach <= 1))
    return worst(found)


def tied(story: Story) -> Verdict:
    """Two laps of 3/4 in tape in the middle hold the bar down."""
    step = story.last("tie-bar")
    if not story.dam or step is None:
        return NA
    laps = story.check(step, "laps", "A", lambda laps: laps >= 2, "count")
    return worst([laps, story.check(step, "width", "A", lambda width: width == Fraction(3, 4))])


ROWS: dict[str, Callable[[Story], Verdict]] = {
    "dam-section": section,
    "dam-inner-scuffed": inner_scuffed,
    "dam-inner-flame": inner_flame,
    "dam-bar": bar,
    "dam-pads": pads,
    "dam-vinyl": vinyl,
    "dam-clamp-tape": clamps,
    "dam-bar-tied": tied,
}

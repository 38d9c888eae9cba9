"""Tape and its dimensions over an opening in lead or in polyethylene, and over an old auxiliary."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from .lengths import opening_length
from .plain import BROKEN, NA, OK, SIDES, UNKNOWN, Story, Verdict, worst

HALF = ["half", "50 %", "half-lapped", "1/2"]
TWO = Fraction(2)
INCH = Fraction(1)
LEAST_OVERLAP = Fraction(3, 4)
LEAST_SCUFFED = Fraction(6)


def two_half_laps(story: Story, name: str) -> Verdict:
    """The latest doing of this tape has two layers or more, each half over the one before."""
    tape = story.last(name)
    if tape is None:
        return NA
    layers = story.check(tape, "layers", "A", lambda layers: layers >= TWO, "count")
    return worst([layers, story.said(tape, "lap", HALF)])


def exact_width(story: Story, name: str, width: Fraction) -> Verdict:
    """The latest doing of this tape used the right width."""
    tape = story.last(name)
    return NA if tape is None else story.check(tape, "width", "A", lambda found: found == width)


def lead_tape_layers(story: Story) -> Verdict:
    """Two half-lapped layers of rubber tape over the muslin."""
    return two_half_laps(story, "wrap-rubber-tape") if story.lead_opening else NA


def lead_tape_overlap(story: Story) -> Verdict:
    """The tape goes about an inch onto the lead, three quarters at least, on each side."""
    tape = story.last("wrap-rubber-tape")
    if not story.lead_opening or tape is None:
        return NA
    return worst(story.check(tape, "overlap", side, lambda overlap: overlap >= LEAST_OVERLAP) for side in SIDES)


def bar_covered(story: Story) -> Verdict:
    """The bond bar is no longer than what the tape covers: the opening and both overlaps."""
    bond, tape = story.last("place-permanent-bond"), story.last("wrap-rubber-tape")
    if not story.lead_opening or bond is None or bond.text("conductor") not in ("bar", None):
        return NA
    parts = [opening_length(story)] + [None if tape is None else tape.number("overlap", side) for side in SIDES]
    known = [part for part in parts if part is not None]
    bar = bond.number("bar-length")
    if bar is None or len(known) < len(parts):
        return UNKNOWN
    return OK if bar <= sum(known) else BROKEN


def bar_reaches(story: Story) -> Verdict:
    """The bond bar reaches from clamp to clamp, each of which may lie an inch inside the opening."""
    bond = story.last("place-permanent-bond")
    if not (story.opening or story.dam) or bond is None or bond.text("conductor") not in ("bar", None):
        return NA
    opening, bar = opening_length(story), bond.number("bar-length")
    if opening is None or bar is None:
        return UNKNOWN
    return OK if bar >= opening - 2 * INCH else BROKEN


def lead_scuffed(story: Story) -> Verdict:
    """Six inches of lead are scuffed, and as much as tape and adhesive will cover."""
    if not story.done("scuff-lead"):
        return NA
    if not story.lead_opening:
        return scuffed_as_far_as_adhesive(story)
    found: list[Verdict] = []
    for side in SIDES:
        scuff, tape = story.last("scuff-lead", side), story.last("wrap-rubber-tape", side)
        sleeve = story.last("assemble-sleeve", side)
        overlap = tape.number("overlap", side) if tape else None
        bond = sleeve.number("bond-length", side) if sleeve else None
        if scuff is None:
            found.append(story.absent("scuff-lead"))
            continue
        found.append(story.check(scuff, "scuffed-length", side, lambda length: length >= LEAST_SCUFFED))
        if overlap is None or bond is None:
            found.append(UNKNOWN)
            continue
        found.append(story.least(scuff, "scuffed-length", side, overlap + bond))
    return worst(found)


def scuffed_as_far_as_adhesive(story: Story) -> Verdict:
    """On other work no tape lies on the lead: adhesive needs as much scuffed lead as it covers."""
    found: list[Verdict] = []
    for side in story.sides_of("lead"):
        scuff, sleeve = story.last("scuff-lead", side), story.last("assemble-sleeve", side)
        bond = sleeve.number("bond-length", side) if sleeve else None
        if scuff is not None and sleeve is not None:
            found.append(UNKNOWN if bond is None else story.least(scuff, "scuffed-length", side, bond))
    return worst(found)


def wire_work_tape(story: Story) -> Verdict:
    """Two half-lapped layers of polyethylene tape over the repaired wires."""
    return two_half_laps(story, "wrap-polyethylene-tape") if story.polyethylene_opening else NA


def clamp_tape(story: Story) -> Verdict:
    """Each clamp has two layers of 2 in tape."""
    if not story.polyethylene_opening:
        return NA
    found: list[Verdict] = [exact_width(story, "tape-clamps", TWO)]
    for side in SIDES:
        tape = story.last("tape-clamps", side)
        if tape is not None:
            found.append(story.check(tape, "layers", side, lambda layers: layers >= TWO, "count"))
    return worst(found)


def whole_opening_tape(story: Story) -> Verdict:
    """Two half-lapped layers of 2 in rubber tape, begun and ended in the middle."""
    tape = story.last("wrap-rubber-tape")
    if not story.polyethylene_opening or tape is None:
        return NA
    laps = two_half_laps(story, "wrap-rubber-tape")
    return worst([laps, exact_width(story, "wrap-rubber-tape", TWO), story.said(tape, "start", ["middle"])])


def aluminum_tape(story: Story) -> Verdict:
    """Aluminum tape over the step is 4 in wide and its reach onto the sheath is known."""
    if not (story.polyethylene_opening or story.dam or story.auxiliary):
        return NA
    found: list[Verdict] = [exact_width(story, "wrap-aluminum-tape", 4 * INCH)]
    for side in SIDES:
        tape = story.last("wrap-aluminum-tape", side)
        if tape is not None:
            found.append(story.check(tape, "reach", side, lambda reach: reach >= 0))
    return worst(found)


def auxiliary_scuffed(story: Story) -> Verdict:
    """Six inches are scuffed on the lead sleeve and six on the polyethylene."""
    if not story.auxiliary:
        return NA
    found: list[Verdict] = []
    for side in SIDES:
        name = "scuff-lead" if story.fact("sheath", side) == "lead" else "scuff-polyethylene"
        scuff = story.last(name, side)
        if scuff is not None:
            found.append(story.check(scuff, "scuffed-length", side, lambda length: length >= LEAST_SCUFFED))
    return worst(found)


def ramp_tape(story: Story) -> Verdict:
    """The ramp at the step is built with 3/4 in rubber tape."""
    return exact_width(story, "ramp-transition", Fraction(3, 4)) if story.auxiliary else NA


ROWS: dict[str, Callable[[Story], Verdict]] = {
    "lead-tape-layers": lead_tape_layers,
    "lead-tape-overlap": lead_tape_overlap,
    "bar-covered": bar_covered,
    "bar-reaches": bar_reaches,
    "lead-scuffed-length": lead_scuffed,
    "wire-work-tape": wire_work_tape,
    "clamp-tape": clamp_tape,
    "whole-opening-tape": whole_opening_tape,
    "aluminum-tape": aluminum_tape,
    "auxiliary-scuffed-length": auxiliary_scuffed,
    "ramp-tape": ramp_tape,
}

"""Lengths that several rows add up; a length measured in the work beats the one the job was planned with."""

from __future__ import annotations

from fractions import Fraction

from .plain import SIDES, Step, Story


def opening_length(story: Story) -> Fraction | None:
    """How long the opening is: as cut, else as the job says."""
    for name, reading in (("open-sheath", "opening-length"), ("remove-outer-sheath", "section-length")):
        step = story.last(name)
        if step is not None and step.number(reading) is not None:
            return step.number(reading)
    return Step("job", SIDES, None, None, None, story.job).number("opening-length")


def outermost_reach(story: Story, side: str) -> Fraction | None:
    """How far the outermost layer goes onto the sheath; nothing where no layer lies under the sleeve.

    On an auxiliary the step has tape, and where nobody writes it on a side its reach there is not known.
    """
    under = [
        (story.last("wrap-aluminum-tape", side), "reach"),
        (story.last("wrap-rubber-tape", side) if story.fact("sheath", side) == "lead" else None, "overlap"),
    ]
    reaches = [step.number(reading, side) for step, reading in under if step is not None]
    known = [reach for reach in reaches if reach is not None]
    if story.auxiliary and not reaches:
        return None
    return None if len(known) < len(reaches) else max(known, default=Fraction(0))

"""When a closure is cool: by hand, by minutes or by temperature; any one of them is enough."""

from __future__ import annotations

from .plain import BROKEN, OK, UNKNOWN, Step, Story, Verdict, either

MINUTES = 30


def cooled(story: Story, step: Step) -> Verdict:
    """Whether this look at the closure says cool. A plan expects that it will."""
    if not story.log:
        return OK
    by_hand = story.said(step, "by-hand", ["yes", "true"])
    minutes = story.check(step, "minutes", "A", lambda passed: passed >= MINUTES, "time")
    count = step.number("minutes", kind="count")
    if count is not None:
        minutes = OK if count >= MINUTES else BROKEN
    warm = step.number("surface-temperature", kind="temperature")
    around = step.number("ambient-temperature", kind="temperature")
    # Nobody has set the number of degrees, so only a closure as cold as its surroundings is surely cool.
    temperature: Verdict = UNKNOWN if warm is None or around is None or warm > around else OK
    return either([by_hand, minutes, temperature])

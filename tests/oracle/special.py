"""Special conditions: what is known of them, and what only a house procedure can answer."""

from __future__ import annotations

from collections.abc import Callable

from .plain import BROKEN, NA, OK, UNKNOWN, Story, Verdict, before_each, worst

KNOWN = {"diameter-change", "long-repair", "cable-band"}


def listed(story: Story, name: str) -> list[str]:
    """A list fact as words."""
    value = story.fact(name)
    return value if isinstance(value, list) else [] if value in (None, "none") else [str(value)]


def named_procedure(story: Story) -> Verdict:
    """A condition that the practice does not answer needs a house procedure named in the plan."""
    found: list[Verdict] = []
    for condition in listed(story, "special"):
        answered = condition in KNOWN or bool(listed(story, "special-procedure"))
        if condition == "bonding-hardware":
            answered = answered or story.opening or story.dam or story.auxiliary
        found.append(OK if answered else UNKNOWN)
    return worst(found)


def ramp_for_diameter(story: Story) -> Verdict:
    """A change of diameter becomes a smooth ramp before the sleeve comes on."""
    if "diameter-change" not in listed(story, "special"):
        return NA
    return before_each(story, ["ramp-transition"], ["assemble-sleeve"])


def second_when_cool(story: Story) -> Verdict:
    """Of two sleeves on a long repair the second is shrunk when the first is cool."""
    if "long-repair" not in listed(story, "special"):
        return NA
    hot = False
    found: list[Verdict] = []
    for step in story.steps:
        if step.do == "shrink-sleeve":
            found.append(story.absent("cool-closure") if hot else OK)
            hot = True
        hot = hot and step.do != "cool-closure"
    if len(found) == 1:
        found.append(BROKEN if not story.milestones else UNKNOWN)
    return worst(found)


ROWS: dict[str, Callable[[Story], Verdict]] = {
    "special-procedure-named": named_procedure,
    "ramp-for-diameter-change": ramp_for_diameter,
    "second-sleeve-when-cool": second_when_cool,
}

"""Pressurized cable: told, read, isolated, bled to a measured zero that lasts until the closure is cool."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from .plain import NA, OK, UNKNOWN, Step, Story, Verdict, before_each, where, worst
from .words import OPENS

FINEST = Fraction(1, 10)


def reads_zero(story: Story, step: Step) -> Verdict:
    """Zero on a gauge that shows a tenth of a psi: less than a tenth."""
    return story.check(step, "gauge-pressure", "A", lambda psi: abs(psi) < FINEST, "pressure")


def desk_told_first(story: Story) -> Verdict:
    """The desk hears of it before the section is isolated or bled."""
    found = before_each(story, ["notify-pressure-desk"], ["isolate-section", "bleed-pressure"])
    return where(story.yes("pressurized"), found)


def baseline_read(story: Story) -> Verdict:
    """The pressures as they were are read before isolating and bleeding change them."""
    return where(story.yes("pressurized"), before_each(story, ["read-pressure"], ["isolate-section", "bleed-pressure"]))


def isolated(story: Story) -> Verdict:
    """The section is cut off, bypassed or its feed held before it is bled."""
    return where(story.yes("pressurized"), before_each(story, ["isolate-section"], ["bleed-pressure"]))


def bled(story: Story) -> Verdict:
    """Air is let out before zero is looked for; only looking is no bleeding."""
    first = before_each(story, ["bleed-pressure"], [*OPENS, "shrink-sleeve"])
    return where(story.yes("pressurized"), first)


def lets_out_core(step: Step) -> bool:
    """Whether a bleeding lets out the core's air, as it does unless it says that it is the space's alone."""
    return step.do == "bleed-pressure" and step.text("volume") != "outer"


def zero_before_opening(story: Story) -> Verdict:
    """Each opening has a zero of the core measured since it was bled; the latest reading of each volume counts.

    Air is let out of the core; the space between the sheaths may have been empty before.
    """
    zero: dict[str, Verdict] = {}
    found: list[Verdict] = []
    for step in story.steps:
        if step.do == "confirm-zero":
            zero[str(step.text("volume"))] = reads_zero(story, step)
        if step.do == "restore-pressure":
            zero = {}
        if lets_out_core(step):
            zero = {volume: read for volume, read in zero.items() if volume not in ("None", "core")}
        if step.do in OPENS:
            core = "None" in zero or "core" in zero
            found.append(worst(zero.values()) if core else story.absent("confirm-zero"))
    return where(story.yes("pressurized"), worst(found))


def zero_before_shrinking(story: Story) -> Verdict:
    """Zero is measured once more, since the last opening, before the sleeve is shrunk; no volume reads otherwise."""
    zero: dict[str, Verdict] = {}
    again = False
    found: list[Verdict] = []
    for step in story.steps:
        again = (
            step.do == "confirm-zero"
            and step.text("volume") in (None, "core")
            or (again and step.do not in {*OPENS, "repair-conductors", "restore-pressure"} and not lets_out_core(step))
        )
        if step.do == "confirm-zero":
            zero[str(step.text("volume"))] = reads_zero(story, step)
        if step.do == "shrink-sleeve":
            found.append(worst(zero.values()) if again else story.absent("confirm-zero"))
    return where(story.yes("pressurized"), worst(found))


def zero_until_cool(story: Story) -> Verdict:
    """Between the measured zero and a cooled closure nobody puts pressure back."""
    waiting = False
    found: list[Verdict] = []
    for number, step in enumerate(story.steps):
        if step.do == "confirm-zero":
            waiting = waiting or any(later.do == "shrink-sleeve" for later in story.steps[number:])
        if step.do == "cool-closure":
            waiting = False
        if step.do == "restore-pressure":
            found.append(story.absent("cool-closure") if waiting else OK)
    return where(story.yes("pressurized"), worst(found))


def vent_open(story: Story) -> Verdict:
    """The vent is open when the cable is opened or shrunk on, and closed only after the closure is cool.

    To bleed is to open the vent.
    """
    vent = hot = False
    found: list[Verdict] = []
    for step in story.steps:
        vent = step.do in ("open-vent", "bleed-pressure") or (vent and step.do != "close-vent")
        hot = step.do in OPENS or step.do == "shrink-sleeve" or (hot and step.do != "cool-closure")
        if step.do == "close-vent":
            found.append(story.absent("cool-closure") if hot else OK)
        if step.do in OPENS or step.do == "shrink-sleeve":
            found.append(OK if vent else story.absent("open-vent"))
    return where(story.yes("pressurized"), worst(found))


def both_volumes(story: Story) -> Verdict:
    """A dam has two volumes of air; both are measured at zero before the ring cut, the core since it was bled."""
    if not story.dam or story.yes("two-volumes") is False:
        return NA
    named: dict[str, Verdict] = {}
    unnamed = False
    found: list[Verdict] = []
    for step in story.steps:
        if step.do == "confirm-zero" and step.text("volume") is not None:
            named[str(step.text("volume"))] = reads_zero(story, step)
        if lets_out_core(step):
            named.pop("core", None)
        unnamed = unnamed or (step.do == "confirm-zero" and step.text("volume") is None)
        if step.do in ("ring-cut", "remove-outer-sheath"):
            short = UNKNOWN if unnamed else story.absent("confirm-zero")
            found.append(worst(named.values()) if len(named) >= 2 else short)
    return where(story.yes("pressurized"), worst(found))


def zero_written(story: Story) -> Verdict:
    """Who looked at a gauge writes what it showed; a tick is no zero."""
    found = [
        story.check(step, "gauge-pressure", "A", lambda _: True, "pressure") for step in story.done("confirm-zero")
    ]
    return where(story.yes("pressurized"), worst(found))


ROWS: dict[str, Callable[[Story], Verdict]] = {
    "desk-told-first": desk_told_first,
    "baseline-read": baseline_read,
    "section-isolated": isolated,
    "bled": bled,
    "zero-before-opening": zero_before_opening,
    "zero-before-shrinking": zero_before_shrinking,
    "zero-written": zero_written,
    "zero-until-cool": zero_until_cool,
    "vent-open": vent_open,
    "both-volumes": both_volumes,
}

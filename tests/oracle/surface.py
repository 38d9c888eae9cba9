"""Lead and polyethylene under the adhesive: what each surface went through when the sleeve comes on it."""

from __future__ import annotations

from collections.abc import Callable

from .lengths import outermost_reach
from .plain import BROKEN, NA, OK, UNKNOWN, Step, Story, Verdict, before_each, soon, where, worst
from .words import FLAMES, WETS

DRY = 5.0
WAIT = 15.0
SPOILS = {"touch-surface", "wet-surface"}


def polyethylene_ready(story: Story) -> Verdict:
    """When the sleeve is put together the polyethylene is clean, then scuffed, then flamed, and unspoiled."""
    found: list[Verdict] = []
    for side in story.sides_of("polyethylene"):
        state = ""
        for step in [step for step in story.steps if side in step.sides]:
            if step.do in SPOILS:
                state = ""
            if step.do == "clean-polyethylene":
                state = "clean"
            if step.do == "scuff-polyethylene":
                state = "scuffed" if state else ""
            if step.do == "flame-treat":
                state = "flamed" if state in ("scuffed", "flamed") else ""
            if step.do == "assemble-sleeve":
                names = ("clean-polyethylene", "scuff-polyethylene", "flame-treat")
                found.append(OK if state == "flamed" else story.absent(*names))
    return worst(found)


def clean_before_scuff(story: Story) -> Verdict:
    """Scuffing what is not clean drives grease in; so does scuffing what was touched or rained on since."""
    found: list[Verdict] = []
    for side in ("A", "B"):
        for clean, scuff in (
            ("clean-polyethylene", "scuff-polyethylene"),
            ("clean-inner-sheath", "scuff-inner-sheath"),
        ):
            state = False
            for step in [step for step in story.steps if side in step.sides]:
                state = step.do == clean or (state and step.do not in SPOILS)
                if step.do == scuff:
                    found.append(OK if state else story.absent(clean))
    return worst(found)


def dry_by(story: Story, wet: list[Step], step: Step) -> Verdict:
    """Whether all these cleanings are five minutes old."""
    if not story.log:
        return OK
    found: list[Verdict] = []
    for cleaning in wet:
        if cleaning.at is None or step.begin is None:
            found.append(UNKNOWN)
        else:
            found.append(OK if step.begin - cleaning.at >= DRY else BROKEN)
    return worst(found)


def solvent_dry(story: Story) -> Verdict:
    """Before scuffing and before any flame the solvent is gone: looked at, or five minutes old."""
    wet: list[Step] = []
    used = False
    found: list[Verdict] = []
    for step in story.steps:
        if step.do in WETS:
            wet.append(step)
            used = True
        if step.do == "solvent-dry":
            wet = [cleaning for cleaning in wet if not set(cleaning.sides) <= set(step.sides)]
        scuffs = step.do in ("scuff-polyethylene", "scuff-inner-sheath")
        near = [cleaning for cleaning in wet if not scuffs or set(cleaning.sides) & set(step.sides)]
        if used and (scuffs or step.do in FLAMES or step.do == "light-torch"):
            found.append(dry_by(story, near, step) if near else OK)
    return worst(found)


def not_waiting(story: Story) -> Verdict:
    """A flamed surface is covered within fifteen minutes."""
    found: list[Verdict] = []
    for side in story.sides_of("polyethylene"):
        flame: Step | None = None
        for step in [step for step in story.steps if side in step.sides]:
            flame = step if step.do == "flame-treat" else flame
            if step.do == "assemble-sleeve" and flame is not None:
                found.append(soon(story, flame, step, WAIT))
    return worst(found)


def whole_area(story: Story) -> Verdict:
    """Polyethylene is scuffed and flamed wherever adhesive will lie."""
    found: list[Verdict] = []
    for side in story.sides_of("polyethylene"):
        sleeve = story.last("assemble-sleeve", side)
        bond = sleeve.number("bond-length", side) if sleeve else None
        reach = outermost_reach(story, side)
        scuff, flame = story.last("scuff-polyethylene", side), story.last("flame-treat", side)
        if sleeve is None or scuff is None or flame is None:
            continue
        if bond is None or reach is None:
            found.append(UNKNOWN)
            continue
        found.append(story.least(scuff, "scuffed-length", side, bond + reach))
        found.append(story.least(flame, "treated-length", side, bond))
    return worst(found)


def lead_ready(story: Story) -> Verdict:
    """When the sleeve is put together the lead is scuffed, then wiped, then hot."""
    found: list[Verdict] = []
    for side in story.sides_of("lead"):
        state = ""
        for step in [step for step in story.steps if side in step.sides]:
            if step.do == "scuff-lead":
                state = "scuffed"
            if step.do == "wipe-lead":
                state = "wiped" if state else ""
            if step.do == "preheat-lead":
                state = "hot" if state in ("wiped", "hot") else ""
            if step.do == "assemble-sleeve":
                found.append(OK if state == "hot" else story.absent("scuff-lead", "wipe-lead", "preheat-lead"))
    return worst(found)


def lead_clean(story: Story) -> Verdict:
    """Lead is clean before it is scuffed."""
    if story.auxiliary:
        return before_each(story, ["clean-residue", "clean-lead"], ["scuff-lead"])
    return before_each(story, ["clean-lead"], ["scuff-lead"])


def flame_off_tape(story: Story) -> Verdict:
    """Heat goes to the lead and not to the tape."""
    return worst(story.said(step, "flame-off-tape", ["yes", "true"]) for step in story.done("preheat-lead"))


def hands_washed(story: Story) -> Verdict:
    """Who had lead on the hands washes them, and what came off the cable goes into a bag."""
    if not story.done("scuff-lead"):
        return NA
    washed = bagged = False
    for step in story.steps:
        washed = step.do == "wash-hands" or (washed and step.do != "scuff-lead")
        bagged = step.do == "bag-scrap" or (bagged and step.do != "scuff-lead")
    both = [OK if washed else story.absent("wash-hands"), OK if bagged else story.absent("bag-scrap")]
    return worst(both)


def dam_inner_ready(story: Story) -> Verdict:
    """The inner sheath is cleaned, scuffed and flamed, and did not wait, when the bar comes on it."""
    if not story.dam:
        return NA
    state = ""
    flame: Step | None = None
    found: list[Verdict] = []
    for step in story.steps:
        if step.do in ("wet-surface", "clean-inner-sheath"):
            state = "clean" if step.do == "clean-inner-sheath" else ""
        if step.do == "scuff-inner-sheath":
            state = "scuffed" if state else ""
        if step.do == "flame-treat-inner-sheath":
            state = "flamed" if state in ("scuffed", "flamed") else ""
            flame = step
        if step.do == "place-permanent-bond":
            ready = state == "flamed" and flame is not None
            waited = soon(story, flame, step, WAIT) if flame is not None else OK
            found.append(waited if ready else story.absent("flame-treat-inner-sheath"))
    return worst(found)


def lead_present(story: Story) -> bool:
    """Whether lead is under this sleeve."""
    return bool(story.sides_of("lead"))


def lead_cleaned_at_all(story: Story) -> Verdict:
    """Lead that gets a sleeve is cleaned before it is put together."""
    if story.auxiliary:
        return NA
    return where(lead_present(story), before_each(story, ["clean-lead"], ["assemble-sleeve"]))


ROWS: dict[str, Callable[[Story], Verdict]] = {
    "polyethylene-ready": polyethylene_ready,
    "clean-before-scuff": clean_before_scuff,
    "solvent-dry": solvent_dry,
    "flamed-not-waiting": not_waiting,
    "polyethylene-whole-area": whole_area,
    "lead-ready": lead_ready,
    "lead-clean-before-scuff": lead_clean,
    "lead-cleaned": lead_cleaned_at_all,
    "flame-off-tape": flame_off_tape,
    "lead-hands-and-scrap": hands_washed,
    "dam-inner-ready": dam_inner_ready,
}

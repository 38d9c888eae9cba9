"""The sequences: each step has before it what its sentence puts before it, and no step is left out.

Steps between two semicolons stand in no order among themselves. A step that is nowhere breaks only the row
about completeness, so that one cause is told in one row.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from .plain import BROKEN, NA, OK, SIDES, Story, Verdict, worst

SLEEVE = """; measure-diameters; select-sleeve; trim-sleeve trim-channel; mark-sheath; assemble-sleeve;
    turn-channel; shrink-sleeve; form-channel; inspect-sleeve; cool-closure"""
SEQUENCES = {
    "lead-opening": """remove-jacket; clean-lead; place-temporary-bond; open-sheath; repair-conductors;
        clear-with-test-desk; place-desiccant; wrap-muslin; place-permanent-bond; remove-temporary-bond;
        wrap-rubber-tape; scuff-lead""" + SLEEVE,
    "polyethylene-opening": """open-sheath; fit-bond-clamps; repair-conductors; clear-with-test-desk;
        wrap-polyethylene-tape; place-permanent-bond; remove-temporary-bond; cut-studs; bend-ears; file-studs;
        tape-clamps; wrap-rubber-tape; clean-polyethylene; scuff-polyethylene; wrap-aluminum-tape""" + SLEEVE,
    "dam": """ring-cut; remove-outer-sheath; remove-shield; smooth-shield-edges; fit-bond-clamps
        place-temporary-bond; clean-inner-sheath; scuff-inner-sheath; flame-treat-inner-sheath;
        place-permanent-bond; place-pads; wrap-vinyl-tape; tighten-clamps; remove-temporary-bond; cut-studs;
        file-studs; bend-ears; tape-clamps; tie-bar; clean-polyethylene; scuff-polyethylene;
        wrap-aluminum-tape""" + SLEEVE,
    "auxiliary": """place-temporary-bond; strip-old-tape remove-hose-clamps; clean-residue; scuff-lead
        clean-polyethylene scuff-polyethylene; ramp-transition; wrap-aluminum-tape""" + SLEEVE,
    "removal": "slit-old-sleeve; peel-old-sleeve; remove-adhesive; assemble-sleeve",
    "standard-sleeve": SLEEVE.lstrip("; "),
}  # fmt: skip
# In a sequence although not every sentence asks for it.
NOT_DEMANDED = {
    "lead-opening": {"select-sleeve", "remove-jacket", "place-desiccant", "wrap-muslin", "turn-channel"},
    "polyethylene-opening": {"turn-channel"},
    "dam": {"turn-channel"},
    "auxiliary": {"turn-channel", "place-temporary-bond"},
    "removal": {"remove-adhesive", "assemble-sleeve"},
    "standard-sleeve": {"select-sleeve", "turn-channel"},
}
# Neighbours in the sentence that do not wait for one another: marks are the sleeve's ends, and a closure may be
# looked at hot or cold. A temporary bond that is on before the cut is only safer.
NOT_WAITING = {
    "mark-sheath": {"trim-channel"},
    "cool-closure": {"inspect-sleeve"},
    "place-temporary-bond": {"ring-cut", "remove-outer-sheath", "remove-shield", "smooth-shield-edges"},
}
# Preparation that the sequences leave to the rows about surfaces, but that has to be there.
ALSO_DEMANDED = {
    "lead-opening": ["wipe-lead", "preheat-lead"],
    "polyethylene-opening": ["place-temporary-bond", "flame-treat"],
    "dam": ["flame-treat"],
    "auxiliary": ["clean-polyethylene", "preheat-lead", "flame-treat"],
}


def groups(name: str) -> list[list[str]]:
    """A sequence as a list of groups."""
    return [group.split() for group in SEQUENCES[name].split(";") if group.strip()]


def applies(story: Story, name: str) -> bool:
    """Which sequence belongs to which work; the standard one also to a removal that gets a new sleeve."""
    return {
        "lead-opening": story.lead_opening,
        "polyethylene-opening": story.polyethylene_opening,
        "dam": story.dam,
        "auxiliary": story.auxiliary,
        "removal": story.removal,
        "standard-sleeve": story.fact("work") == "sheath-repair"
        or (story.removal and bool(story.done("assemble-sleeve", "shrink-sleeve"))),
    }[name]


def late(story: Story, name: str, step_name: str) -> Verdict:
    """What stands before this step in the sentence, and is done at all, was done before it on its sides."""
    if not applies(story, name) or not story.done(step_name):
        return NA
    earlier: list[str] = []
    for group in groups(name):
        if step_name in group:
            break
        earlier += [before for before in group if before not in NOT_WAITING.get(step_name, ())]
    for side in SIDES:
        seen: set[str] = set()
        ever = {step.do for step in story.done(*earlier) if side in step.sides}
        for step in story.steps:
            if step.do == step_name and side in step.sides and not ever <= seen:
                return BROKEN
            if side in step.sides:
                seen.add(step.do)
    return OK


def complete(story: Story, name: str) -> Verdict:
    """Every step of the sentence is there, on both sides where the sheaths ask for it."""
    if not applies(story, name):
        return NA
    demanded = [step for group in groups(name) for step in group if step not in NOT_DEMANDED[name]]
    demanded += ALSO_DEMANDED.get(name, [])
    if name == "lead-opening" and story.fact("jacket") not in ("none", None):
        demanded.append("remove-jacket")
    if name == "removal" and story.fact("old-adhesive") not in ("same", "stays", "yes"):
        demanded.append("remove-adhesive")
    found: list[Verdict] = []
    for step_name in demanded:
        sides = set(SIDES)
        if step_name in ("scuff-lead", "preheat-lead", "wipe-lead", "clean-lead"):
            sides = set(story.sides_of("lead"))
        on_polyethylene = ("clean-polyethylene", "scuff-polyethylene", "flame-treat")
        if step_name in on_polyethylene or (name, step_name) == ("auxiliary", "wrap-aluminum-tape"):
            sides = set(story.sides_of("polyethylene"))
        covered = {side for step in story.done(step_name) for side in step.sides}
        found.append(OK if sides <= covered else story.absent(step_name))
    return worst(found)


def removal_blade(story: Story) -> Verdict:
    """The blade runs along the base of the rail, never towards the middle of the cable."""
    return worst(story.said(step, "blade", ["rail-base"]) for step in story.done("slit-old-sleeve"))


def auxiliary_still(story: Story) -> Verdict:
    """A cable with an old auxiliary lies as it is from the first tape off until the new sleeve is cool."""
    if not story.auxiliary:
        return NA
    still: Verdict = OK
    loose = False
    for step in story.steps:
        loose = step.do == "strip-old-tape" or (loose and step.do != "cool-closure")
        if step.do == "move-cable" and loose:
            still = BROKEN
    return still


ROWS: dict[str, Callable[[Story], Verdict]] = {
    "removal-blade": removal_blade,
    "auxiliary-not-moved": auxiliary_still,
}
for _name in SEQUENCES:
    ROWS[f"{_name}: complete"] = partial(complete, name=_name)
    for _group in groups(_name)[1:]:
        for _step in _group:
            ROWS[f"{_name}: {_step}"] = partial(late, name=_name, step_name=_step)

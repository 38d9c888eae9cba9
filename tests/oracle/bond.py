"""The shield path: bridged before it is cut where that can be, at once where the cut makes room for it."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from .plain import BROKEN, NA, OK, SIDES, UNKNOWN, Step, Story, Verdict, before_each, between, where, worst
from .words import CORE, LAYERS, SURFACE

HEAVY_GAUGE = Fraction(6)
HEAVY_AREA = Fraction("13.3")
AT_ONCE = 10.0
BREAKS = {"open-sheath", "remove-shield", "remove-hose-clamps"}
INSIDE = {*CORE, *LAYERS, *SURFACE, "place-permanent-bond"}


def needs_bond(story: Story) -> bool:
    """Work that cuts a shield or takes off what bonds it."""
    return story.opening or story.dam or bool(story.done(*BREAKS))


def paths(story: Story) -> list[tuple[Step, bool, bool, bool]]:
    """Each step with what is on just after it: the shield itself, the temporary bond, the permanent bond.

    A bond counts when it is on at both sides.
    """
    whole = True
    temporary: set[str] = set()
    permanent: set[str] = set()
    found = []
    for step in story.steps:
        whole = whole and step.do not in BREAKS
        if step.do == "place-temporary-bond":
            temporary |= set(step.sides)
        if step.do == "remove-temporary-bond":
            temporary -= set(step.sides)
        if step.do == "place-permanent-bond":
            permanent |= set(step.sides)
        found.append((step, whole, temporary == set(SIDES), permanent == set(SIDES)))
    return found


def heavy_enough(story: Story) -> Verdict:
    """No. 6 AWG or the same metal in another shape."""
    found: list[Verdict] = []
    for step in story.done("place-temporary-bond", "place-permanent-bond"):
        gauge = step.number("conductor-size", kind="gauge")
        area = step.number("conductor-size", kind="area")
        if gauge is None and area is None:
            found.append(UNKNOWN)
        else:
            stout = gauge <= HEAVY_GAUGE if gauge is not None else (area or 0) >= HEAVY_AREA
            found.append(OK if stout else BROKEN)
    return worst(found)


def bonded_before_cut(story: Story) -> Verdict:
    """On lead, and where hose clamps hold the bond, the bridge is on before anything is opened."""
    if not (story.lead_opening or story.auxiliary):
        return NA
    return bridged_at(story, BREAKS | {"strip-old-tape"})


def bridged_at(story: Story, names: set[str]) -> Verdict:
    """A temporary or permanent bond is on when each of these steps is done."""
    found: list[Verdict] = []
    for step, _whole, temporary, permanent in paths(story):
        if step.do in names:
            found.append(OK if temporary or permanent else story.absent("place-temporary-bond"))
    return worst(found)


def clamps_bridged(story: Story) -> Verdict:
    """Hose clamps that may hold the bond are bridged before they come off."""
    return bridged_at(story, {"remove-hose-clamps"})


def removal_bridged(story: Story) -> Verdict:
    """An old sleeve is slit with the bond bridged, as for an opening: before it on lead, else at once."""
    if not story.removal:
        return NA
    before = bridged_at(story, {"slit-old-sleeve"})
    if before != BROKEN or story.sides_of("lead"):
        return before
    slit = story.done("slit-old-sleeve")[0]
    later = story.steps[story.steps.index(slit) :]
    bonds = [step for step in later if step.do in ("place-temporary-bond", "place-permanent-bond")]
    return at_once(story, slit, bonds[0]) if bonds else before


def bonded_at_once(story: Story) -> Verdict:
    """Where the cut makes room: clamps and temporary bond within ten minutes, and no hand inside before."""
    if not (story.polyethylene_opening or story.dam):
        return NA
    opened: Step | None = None
    bonded = False
    found: list[Verdict] = []
    for step, whole, temporary, permanent in paths(story):
        if step.do in INSIDE and opened is not None and not bonded:
            found.append(story.absent("place-temporary-bond"))
        if not whole and opened is None:
            opened = step
        if opened is not None and not bonded and (temporary or permanent):
            bonded = True
            found.append(at_once(story, opened, step))
    if opened is not None and not bonded:
        found.append(story.absent("place-temporary-bond"))
    return worst(found)


def at_once(story: Story, opened: Step, bonded: Step) -> Verdict:
    """Ten minutes from the cut to the bond; in a plan what lies between has to fit in."""
    passed = between(story, opened, bonded)
    if passed is None:
        return UNKNOWN
    own = 0.0 if not story.log or bonded is opened else (bonded.at or 0.0) - (bonded.begin or 0.0)
    return OK if passed + own <= AT_ONCE else BROKEN


def joint_bonded_first(story: Story) -> Verdict:
    """Beside power the cable is bonded from the nearest points before the cut."""
    if not (story.opening or story.dam):
        return NA
    return where(story.yes("joint-with-power"), bridged_at(story, {*BREAKS, "ring-cut"}))


def permanent_first(story: Story) -> Verdict:
    """The permanent bond is on before the temporary comes off an open shield."""
    found: list[Verdict] = []
    for step, whole, _temporary, permanent in paths(story):
        if step.do == "remove-temporary-bond":
            found.append(OK if whole or permanent else story.absent("place-permanent-bond"))
    return worst(found)


def bonded_for_splicing(story: Story) -> Verdict:
    """No conductor is worked on while the shields are not bonded together."""
    return bridged_at(story, {"repair-conductors"}) if story.opening else NA


def continuous_at_end(story: Story) -> Verdict:
    """When everything is done the shield path is closed, and it was never lost once a bond was on."""
    if not needs_bond(story):
        return NA
    found: list[Verdict] = []
    for step, whole, temporary, permanent in paths(story):
        if step.do == "remove-temporary-bond":
            found.append(OK if whole or temporary or permanent else story.absent("place-permanent-bond"))
    for _step, whole, temporary, permanent in paths(story)[-1:]:
        found.append(OK if whole or temporary or permanent else story.absent("place-permanent-bond"))
    return worst(found)


def shield_resistance(story: Story) -> Verdict:
    """Near the table value where there is one. Lead has none, and no table is given here for the rest."""
    if not story.done("measure-shield") or not story.sides_of("polyethylene"):
        return NA
    return UNKNOWN if story.log else OK


def clamps_before_bond(story: Story) -> Verdict:
    """On polyethylene and over a dam the clamps are on before a bond is fastened to them."""
    if not (story.polyethylene_opening or story.dam):
        return NA
    return before_each(story, ["fit-bond-clamps"], ["place-permanent-bond"])


ROWS: dict[str, Callable[[Story], Verdict]] = {
    "bonding-conductor": heavy_enough,
    "bonded-before-cut": bonded_before_cut,
    "clamps-bridged": clamps_bridged,
    "removal-bridged": removal_bridged,
    "bonded-at-once": bonded_at_once,
    "joint-bonded-first": joint_bonded_first,
    "permanent-first": permanent_first,
    "bonded-for-splicing": bonded_for_splicing,
    "shield-continuous": continuous_at_end,
    "shield-resistance": shield_resistance,
    "clamps-before-bond": clamps_before_bond,
}

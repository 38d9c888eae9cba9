"""The order of a manhole, and what poles, trenches and vaults ask for beside it."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from .air import air_is_good
from .plain import BROKEN, NA, OK, UNKNOWN, Step, Story, Verdict, before_each, soon, where, worst
from .words import AT_CABLE, BARE, FLAMES, HANDS_ON, OPENS

WAY_OUT = Fraction(48)
HANGS = 10.0
SHORED = Fraction(60)
AIR_TESTED = Fraction(48)
BELOW = BARE | OPENS | FLAMES
PLACE_WORK = {"cut-lashing", "clamp-lashing", "support-cable"}


def manhole_sequence(story: Story) -> Verdict:
    """Open before going down. A test before that harms nobody, and the clause says when air has to be blown in."""
    if not story.at("manhole"):
        return NA
    opened = before_each(story, ["open-manhole"], ["enter-manhole"])
    return opened


def test_after(story: Story, disturbing: set[str]) -> Verdict:
    """Air that was stirred up is tested again before anybody enters, lights or works."""
    stale: Verdict | None = None
    meter = False
    for step in story.steps:
        meter = step.do == "monitor-atmosphere" or (meter and step.do != "stop-monitor")
        if step.do in disturbing:
            stale = OK if meter else BROKEN
        if step.do == "test-atmosphere":
            stale = None if stale is None else OK
        if stale == BROKEN and step.do in HANDS_ON | AT_CABLE | {"enter-manhole", "light-torch"}:
            return UNKNOWN if story.milestones else BROKEN
    return stale if stale is not None and story.at("manhole") else NA


def test_after_pumping(story: Story) -> Verdict:
    """Pumped water leaves gas behind: test again."""
    return test_after(story, {"pump-water"}) if story.at("manhole") else NA


def test_after_duct(story: Story) -> Verdict:
    """An opened duct may carry gas in: test again."""
    return test_after(story, {"open-duct"}) if story.at("manhole") else NA


def closing_up(story: Story) -> Verdict:
    """All out, then the cover on, then the guards away, and nothing in the hole after that."""
    if not story.at("manhole"):
        return NA
    inside = False
    found: list[Verdict] = []
    for step in story.steps:
        inside = step.do == "enter-manhole" or (inside and step.do != "leave-manhole")
        if step.do == "close-manhole":
            found.append(story.absent("leave-manhole") if inside else OK)
    for name in ("leave-manhole", "close-manhole", "remove-guards"):
        if not story.done(name):
            found.append(story.absent(name))
    covers = before_each(story, ["close-manhole"], ["remove-guards"]) if story.done("close-manhole") else OK
    return worst([*found, covers])


def work_inside(story: Story) -> Verdict:
    """Nobody works on the cable from outside the hole: work after leaving does not add up."""
    if not story.at("manhole"):
        return NA
    inside = False
    found: list[Verdict] = []
    for step in story.steps:
        inside = step.do == "enter-manhole" or (inside and step.do != "leave-manhole")
        if step.do in HANDS_ON | AT_CABLE:
            found.append(OK if inside else story.absent("enter-manhole"))
    return worst(found)


def vault(story: Story) -> Verdict:
    """A vault is as the house says, and the house has said nothing."""
    return NA


def pole_inspected(story: Story) -> Verdict:
    """Pole and strand are looked at before they carry anybody; testing or bonding puts no weight on."""
    if not story.at("aerial"):
        return NA
    return before_each(story, ["inspect-pole"], [*BARE, *PLACE_WORK])


def strand_safe(story: Story) -> Verdict:
    """The strand is tested for voltage or bonded before it is touched."""
    if not story.at("aerial"):
        return NA
    return before_each(story, ["bond-strand", "check-foreign-voltage"], PLACE_WORK)


def lashing_clamped(story: Story) -> Verdict:
    """Both ends of the lashing are held before it is cut."""
    if not story.at("aerial"):
        return NA
    return before_each(story, ["clamp-lashing"], ["cut-lashing"])


def cable_supported(story: Story) -> Verdict:
    """The cable hangs in something else within ten minutes of its lashing being cut, a house value."""
    if not story.at("aerial"):
        return NA
    found: list[Verdict] = []
    for cut in story.done("cut-lashing"):
        held = story.done("support-cable")
        before = [step for step in held if story.steps.index(step) < story.steps.index(cut)]
        found.append(OK if before else soon(story, cut, held[0], HANGS) if held else story.absent("support-cable"))
    return worst(found)


def relashed(story: Story) -> Verdict:
    """A lashing that was cut is put back, when the closure is cool."""
    if not story.at("aerial") or not story.done("cut-lashing"):
        return NA
    if not story.done("relash"):
        return story.absent("relash")
    return before_each(story, ["cool-closure"], ["relash"]) if story.done("shrink-sleeve") else OK


def pit_depth(story: Story) -> Fraction | None:
    """Depth of pit or trench in inches."""
    return Step("job", ("A", "B"), None, None, None, story.job).number("manhole-depth")


def deeper(story: Story, limit: Fraction) -> bool | None:
    """From that depth on; None where nobody wrote the depth."""
    depth = pit_depth(story)
    return None if depth is None else depth >= limit


def utilities_located(story: Story) -> Verdict:
    """Other people's lines are found before the first shovel."""
    return before_each(story, ["locate-utilities"], ["dig"]) if story.at("buried", "pit") else NA


def shored(story: Story) -> Verdict:
    """From 5 ft on the sides are held before anybody works below."""
    if not story.at("buried", "pit"):
        return NA
    return where(deeper(story, SHORED), before_each(story, ["shore"], BELOW))


def way_out(story: Story) -> Verdict:
    """From 4 ft on there is a ladder before anybody works below."""
    if not story.at("buried", "pit"):
        return NA
    return where(deeper(story, WAY_OUT), before_each(story, ["place-ladder"], BELOW))


def pit_air(story: Story) -> Verdict:
    """Over 4 ft, where gas may be, the air is tested first, and the last test is good."""
    if not story.at("pit", "buried"):
        return NA
    depth = pit_depth(story)
    deep = None if depth is None else depth > AIR_TESTED
    gas = story.yes("gas-seepage")
    applies = False if False in (deep, gas) else None if None in (deep, gas) else True
    air: Verdict = story.absent("test-atmosphere")
    found: list[Verdict] = []
    for step in story.steps:
        if step.do == "test-atmosphere":
            air = air_is_good(story, step)
        if step.do in BELOW | {"light-torch"}:
            found.append(air)
    return where(applies, worst(found))


def water_out(story: Story) -> Verdict:
    """Water is out of the trench before anybody works on the cable."""
    if not story.at("buried"):
        return NA
    return where(story.yes("water-in-hole"), before_each(story, ["pump-water"], BELOW))


def exposed(story: Story) -> Verdict:
    """A buried cable is dug out before it is cut or warmed."""
    return before_each(story, ["dig"], OPENS | FLAMES) if story.at("buried") else NA


def protected(story: Story) -> Verdict:
    """The sleeve has its protection before earth comes on it."""
    if not story.at("buried", "pit"):
        return NA
    return before_each(story, ["protect-sleeve"], ["backfill"])


def backfilled_last(story: Story) -> Verdict:
    """Earth comes back only on a closure that is cool and proved; by whom, and on which day, is not said."""
    if not story.at("buried", "pit"):
        return NA
    if not story.done("backfill"):
        return NA
    cool = before_each(story, ["cool-closure"], ["backfill"])
    return worst([cool, where(story.yes("pressurized"), before_each(story, ["soap-test"], ["backfill"]))])


ROWS: dict[str, Callable[[Story], Verdict]] = {
    "manhole-sequence": manhole_sequence,
    "test-after-pumping": test_after_pumping,
    "test-after-duct": test_after_duct,
    "closing-up": closing_up,
    "work-inside": work_inside,
    "vault-as-the-house-says": vault,
    "pole-inspected": pole_inspected,
    "strand-safe": strand_safe,
    "lashing-clamped": lashing_clamped,
    "cable-supported": cable_supported,
    "relashed": relashed,
    "utilities-located": utilities_located,
    "shored": shored,
    "way-out": way_out,
    "pit-air": pit_air,
    "water-out": water_out,
    "exposed": exposed,
    "sleeve-protected": protected,
    "backfilled-last": backfilled_last,
}

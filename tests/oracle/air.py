"""Manholes: air, flame, cover, ladder, tank. Limits by clause where there is one, else the house default."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from .plain import BROKEN, NA, OK, UNKNOWN, Step, Story, Verdict, before_each, soon, where, worst
from .words import FLAMES, HANDS_ON, SOLVENTS, WETS

IMMEDIATELY = 10.0
HOURLY = 60.0
PROMPTLY = 5.0
DEEP = Fraction(48)
RETEST_BEFORE = HANDS_ON | {"enter-manhole", "light-torch"}


def gas_before_entry(story: Story) -> Verdict:
    """Every entry has a gas test since the cover came off and since anybody last came out, or a meter that stays on."""
    tested: Verdict | None = None
    meter = False
    found: list[Verdict] = []
    for step in story.steps:
        meter = step.do == "monitor-atmosphere" or (meter and step.do != "stop-monitor")
        if step.do == "test-atmosphere":
            tested = story.check(step, "combustible-gas", "A", lambda gas: gas >= 0, "gas")
        if step.do in ("leave-manhole", "open-manhole"):
            tested = None
        if step.do == "enter-manhole":
            found.append(OK if meter else tested or story.absent("test-atmosphere"))
    return worst(found) if story.at("manhole") else NA


def oxygen_before_entry(story: Story) -> Verdict:
    """Oxygen is read before every entry unless fresh air is blown in all the time."""
    tested: Verdict | None = None
    blowing = meter = False
    found: list[Verdict] = []
    for step in story.steps:
        blowing = step.do == "ventilate" or (blowing and step.do != "stop-ventilation")
        meter = step.do == "monitor-atmosphere" or (meter and step.do != "stop-monitor")
        if step.do == "test-atmosphere":
            tested = story.check(step, "oxygen", "A", lambda share: share >= 0, "percent")
        if step.do in ("leave-manhole", "open-manhole"):
            tested = None
        if step.do == "enter-manhole":
            found.append(OK if blowing or meter else tested or story.absent("test-atmosphere"))
    return worst(found) if story.at("manhole") else NA


def gas_is_good(story: Story, step: Step) -> Verdict:
    """Gas at most 10 % of the lower limit, the limit itself included."""
    return story.check(step, "combustible-gas", "A", lambda share: share <= 10, "gas")


def oxygen_is_good(story: Story, step: Step) -> Verdict:
    """Oxygen 19.5 to 23.5 %, the limits themselves included."""
    low, high = Fraction("19.5"), Fraction("23.5")
    return story.check(step, "oxygen", "A", lambda share: low <= share <= high, "percent")


def air_is_good(story: Story, step: Step) -> Verdict:
    """Gas and oxygen of one test."""
    return worst([gas_is_good(story, step), oxygen_is_good(story, step)])


def hazardous_air(story: Story) -> Verdict:
    """After a bad reading nobody enters, lights or works until a later test is good.

    Oxygen need not be read at every test; what was read last counts.
    """
    gas: Verdict = OK
    oxygen: Verdict = OK
    found: list[Verdict] = []
    for step in story.steps:
        if step.do == "test-atmosphere":
            gas = gas_is_good(story, step)
            oxygen = oxygen if step.text("oxygen") is None else oxygen_is_good(story, step)
        if step.do in RETEST_BEFORE:
            found.append(worst([gas, oxygen]))
    return worst(found) if story.at("manhole") else NA


def toxic_gas(story: Story) -> Verdict:
    """The house sets these limits; without one only a zero says something."""
    found: list[Verdict] = []
    for step in story.done("test-atmosphere"):
        for name in ("carbon-monoxide", "hydrogen-sulfide"):
            value = step.number(name, kind="ppm")
            if step.text(name) is not None:
                found.append(OK if value == 0 else UNKNOWN)
    return worst(found) if story.at("manhole", "vault", "pit") else NA


def gas_before_flame(story: Story) -> Verdict:
    """A gas test at most ten minutes before each lighting; a meter that stays on will do."""
    test: Step | None = None
    meter = False
    found: list[Verdict] = []
    for step in story.steps:
        meter = step.do == "monitor-atmosphere" or (meter and step.do != "stop-monitor")
        if step.do == "test-atmosphere":
            test = step
        if step.do == "light-torch":
            found.append(OK if meter else soon_enough(story, test, step))
    return worst(found) if story.at("manhole") else NA


def soon_enough(story: Story, test: Step | None, torch: Step) -> Verdict:
    """Whether the test is recent when the torch is lit."""
    if test is None:
        return story.absent("test-atmosphere")
    return soon(story, test, torch, IMMEDIATELY)


def gas_hourly(story: Story) -> Verdict:
    """While a flame burns the last gas test is never older than an hour; none is asked while it is out."""
    last: Step | None = None
    lit = meter = False
    found: list[Verdict] = []
    for step in story.steps:
        meter = step.do == "monitor-atmosphere" or (meter and step.do != "stop-monitor")
        if lit and not meter and step.do in ("test-atmosphere", "shut-torch"):
            found.append(story.absent("test-atmosphere") if last is None else soon(story, last, step, HOURLY))
        if step.do == "test-atmosphere":
            last = step
        if step.do == "light-torch":
            lit = True
            found.append(OK)
        lit = lit and step.do != "shut-torch"
    return worst(found) if story.at("manhole") else NA


def air_supply(story: Story) -> Verdict:
    """Fresh air is blown in as long as solvent or flame is used, and all the time where the place is bad."""
    blowing = lit = False
    bad_place = True in (story.yes("in-traffic"), story.yes("gas-seepage"))
    found: list[Verdict] = []
    for step in story.steps:
        blowing = step.do == "ventilate" or (blowing and step.do != "stop-ventilation")
        lit = step.do == "light-torch" or (lit and step.do != "shut-torch")
        if step.do == "test-atmosphere" and air_is_good(story, step) == BROKEN:
            bad_place = True
        if lit or step.do in WETS or (bad_place and step.do in HANDS_ON):
            found.append(OK if blowing else story.absent("ventilate"))
    return worst(found) if story.at("manhole") else NA


def guarded(story: Story) -> Verdict:
    """Guards stand before the cover is off, or promptly after; how promptly is a house value."""
    if not story.at("manhole"):
        return NA
    guards = False
    found: list[Verdict] = []
    for number, step in enumerate(story.steps):
        guards = step.do == "guard-work-area" or (guards and step.do != "remove-guards")
        if step.do == "open-manhole" and not guards:
            later = [after for after in story.steps[number:] if after.do == "guard-work-area"]
            found.append(soon(story, step, later[0], PROMPTLY) if later else story.absent("guard-work-area"))
    return worst([OK, *found]) if story.done("open-manhole") else NA


def first_aid(story: Story) -> Verdict:
    """Somebody trained in first aid stands by where power, traffic or water cannot be kept away."""
    reasons = {story.yes(name) for name in ("joint-with-power", "in-traffic", "unusual-water")}
    needed = True if True in reasons else None if None in reasons else False
    post: Verdict | None = None
    found: list[Verdict] = []
    for step in story.steps:
        if step.do == "post-attendant":
            post = story.said(step, "first-aid-trained", ["yes", "true"])
        if step.do == "enter-manhole":
            found.append(post or story.absent("post-attendant"))
    return where(needed, worst(found)) if story.at("manhole") else NA


def ladder(story: Story) -> Verdict:
    """Deeper than 4 ft nobody climbs down without a ladder."""
    if not story.at("manhole"):
        return NA
    depth = Step("job", ("A", "B"), None, None, None, story.job).number("manhole-depth")
    deep = None if depth is None else depth > DEEP
    return where(deep, before_each(story, ["place-ladder"], ["enter-manhole"]))


def tank_outside(story: Story) -> Verdict:
    """The house never lets a fuel tank down into the manhole."""
    return (BROKEN if story.done("tank-in") else OK) if story.at("manhole") else NA


def left_safe(story: Story) -> Verdict:
    """Nothing burns and no tank is below when the place is left."""
    lit = tank = False
    found: list[Verdict] = []
    for step in story.steps:
        lit = step.do == "light-torch" or (lit and step.do != "shut-torch")
        tank = step.do == "tank-in" or (tank and step.do != "tank-out")
        if step.do == "leave-manhole":
            found.append(story.absent("shut-torch") if lit else BROKEN if tank else OK)
    return worst(found) if story.at("manhole") else NA


def torch_out(story: Story) -> Verdict:
    """A torch that was lit is put out before the job ends, and is not lit while it burns already."""
    lit = False
    for step in story.steps:
        lit = step.do == "light-torch" or (lit and step.do != "shut-torch")
    if not story.done("light-torch"):
        return NA
    return story.absent("shut-torch") if lit else OK


def torch_lit(story: Story) -> Verdict:
    """What needs a flame has a torch burning, and no solvent is used beside it."""
    lit = False
    found: list[Verdict] = []
    for step in story.steps:
        lit = step.do == "light-torch" or (lit and step.do != "shut-torch")
        if step.do in FLAMES:
            found.append(OK if lit else story.absent("light-torch"))
        if step.do in SOLVENTS:
            found.append(BROKEN if lit else OK)
    return worst(found)


ROWS: dict[str, Callable[[Story], Verdict]] = {
    "gas-before-entry": gas_before_entry,
    "oxygen-before-entry": oxygen_before_entry,
    "hazardous-air": hazardous_air,
    "toxic-gas": toxic_gas,
    "gas-before-flame": gas_before_flame,
    "gas-hourly": gas_hourly,
    "air-supply": air_supply,
    "guarded": guarded,
    "first-aid": first_aid,
    "ladder": ladder,
    "tank-outside": tank_outside,
    "left-safe": left_safe,
    "torch-out": torch_out,
    "torch-lit": torch_lit,
}

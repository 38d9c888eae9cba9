"""Afterwards: cool, pressure back slowly, soaped, proved, told; and a night in between."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from .cooling import cooled
from .plain import BROKEN, NA, OK, UNKNOWN, Step, Story, Verdict, before_each, where, worst
from .pressure import reads_zero
from .words import BONDS, CORE, HANDS_ON, LOADS

MOST = Fraction(10)
SEA_LEVEL = Fraction("14.696")
ZERO_F = Fraction("459.67")
SURELY_TIGHT, SURELY_LEAKING = Fraction(1, 10), Fraction(1, 2)
DAYS = 3 * 1440.0
LASTS = 15  # minutes, the rulebook's house value: the practice has no number


def cool_before_load(story: Story) -> Verdict:
    """A shrunk closure is cool before it is moved, wetted, soaped, put under pressure or buried."""
    state: Verdict | None = None
    found: list[Verdict] = []
    for step in story.steps:
        if step.do == "shrink-sleeve":
            state = story.absent("cool-closure")
        if step.do == "cool-closure" and state is not None:
            state = cooled(story, step)
        if step.do in LOADS and state is not None:
            found.append(state)
    return worst(found)


def pressure_limit(story: Story) -> Verdict:
    """Pressure comes back through a regulator at 10 psi or less."""
    found = [
        story.check(step, "gauge-pressure", "A", lambda psi: psi <= MOST, "pressure")
        for step in story.done("restore-pressure")
    ]
    return where(story.yes("pressurized"), worst(found))


def raised_slowly(story: Story) -> Verdict:
    """The raising was slow."""
    found = [story.said(step, "raised-slowly", ["yes", "true"]) for step in story.done("restore-pressure")]
    return where(story.yes("pressurized"), worst(found))


def after_restoring(story: Story, name: str) -> list[Step]:
    """Doings of a step after the last time pressure came back."""
    numbers = [number for number, step in enumerate(story.steps) if step.do == "restore-pressure"]
    return [step for step in story.steps[numbers[-1] :] if step.do == name] if numbers else []


def closed(story: Story) -> bool:
    """Whether a sleeve closes the work, so that pressure has something to be put back on."""
    return bool(story.done("shrink-sleeve")) or not story.removal


def restored(story: Story) -> Verdict:
    """Pressure is put back."""
    if not closed(story):
        return NA
    found = OK if story.done("restore-pressure") else story.absent("restore-pressure")
    return where(story.yes("pressurized"), found)


def soaped(story: Story) -> Verdict:
    """The closure is soaped under pressure and the last look shows no bubble."""
    if not story.done("restore-pressure"):
        return NA
    tests = after_restoring(story, "soap-test")
    if not tests:
        return where(story.yes("pressurized"), story.absent("soap-test"))
    leaks = tests[-1].text("leaks")
    found = story.missing("leaks") if leaks is None else OK if str(leaks) in ("0", "no", "none") else BROKEN
    return where(story.yes("pressurized"), found)


def rinsed(story: Story) -> Verdict:
    """Soap is rinsed off."""
    wet = False
    for step in story.steps:
        wet = step.do == "soap-test" or (wet and step.do != "rinse-soap")
    if not story.done("soap-test"):
        return NA
    return where(story.yes("pressurized"), story.absent("rinse-soap") if wet else OK)


def fall(step: Step) -> Fraction | None:
    """How far pressure fell, less what colder air explains; None where a reading is missing."""
    start, end = (step.number(name, kind="pressure") for name in ("start-pressure", "end-pressure"))
    warm, cold = (step.number(name, kind="temperature") for name in ("start-temperature", "end-temperature"))
    if start is None or end is None or warm is None or cold is None:
        return None
    return (start + SEA_LEVEL) * (cold + ZERO_F) / (warm + ZERO_F) - SEA_LEVEL - end


def hold(story: Story) -> Verdict:
    """An isolated section holds, temperature taken off. No limit is set, so only a clear leak is wrong."""
    fed = story.yes("fed")
    if not story.done("restore-pressure") or fed:
        return NA
    tests = after_restoring(story, "hold-test")
    found: Verdict = OK
    if not tests:
        found = story.absent("hold-test")
    elif story.log:
        lost = fall(tests[-1])
        found = UNKNOWN if lost is None or lost > SURELY_TIGHT else OK
        found = BROKEN if lost is not None and lost > SURELY_LEAKING else found
    return where(story.yes("pressurized"), where(None if fed is None else True, found))


def hold_valid(story: Story) -> Verdict:
    """A hold test says something only on an isolated section whose closure is cool, and not in a minute."""
    found: list[Verdict] = []
    cool: Verdict = OK
    for step in story.steps:
        if step.do == "shrink-sleeve":
            cool = story.absent("cool-closure")
        if step.do == "cool-closure":
            cool = cooled(story, step)
        if step.do == "hold-test":
            lasted = story.check(step, "duration", "A", lambda passed: passed >= LASTS, "time")
            found += [cool, story.said(step, "isolated", ["yes", "true"]), lasted]
    return where(story.yes("pressurized"), worst(found))


def desk_reads(story: Story) -> Verdict:
    """On a fed cable the desk reads the old pressure again within three days."""
    fed = story.yes("fed")
    if not story.done("restore-pressure") or fed is False:
        return NA
    readings = after_restoring(story, "desk-reading")
    found: Verdict = OK
    if not readings:
        found = story.absent("desk-reading")
    elif story.log:
        found = worst([back_at_baseline(story, readings[-1]), in_days(story, readings[-1])])
    return where(story.yes("pressurized"), where(fed, found))


def back_at_baseline(story: Story, reading: Step) -> Verdict:
    """The desk's reading against the first reading, to a tenth of a psi."""
    first = story.done("read-pressure")
    before = first[0].number("gauge-pressure", kind="pressure") if first else None
    after = reading.number("gauge-pressure", kind="pressure")
    if before is None or after is None:
        return UNKNOWN
    return OK if after >= before - Fraction(1, 10) else BROKEN


def in_days(story: Story, reading: Step) -> Verdict:
    """The desk's reading comes soon enough."""
    back = story.done("restore-pressure")[-1]
    if back.at is None or reading.begin is None:
        return UNKNOWN
    return OK if reading.begin - back.at <= DAYS else BROKEN


def desk_told_after(story: Story) -> Verdict:
    """The desk hears when pressure is back and proved, from the hole or from the truck."""
    if not story.done("restore-pressure"):
        return NA
    if not after_restoring(story, "report-restored"):
        return where(story.yes("pressurized"), story.absent("report-restored"))
    proofs = [name for name in ("soap-test", "hold-test") if story.done(name)]
    found = worst(before_each(story, [name], ["report-restored"]) for name in proofs)
    return where(story.yes("pressurized"), OK if found == NA else found)


def overnight(story: Story) -> Verdict:
    """After a night under a weather wrap zero and bond are looked at again before work goes on."""
    zero = bond = True
    pressurized = story.yes("pressurized")
    found: list[Verdict] = []
    for step in story.steps:
        if step.do == "temporary-closure":
            zero, bond = False, False
        if step.do == "confirm-zero":
            zero = reads_zero(story, step) != BROKEN
        bond = bond or step.do in ("place-temporary-bond", "place-permanent-bond", "measure-shield")
        if step.do in HANDS_ON - set(BONDS) or step.do in CORE:
            found.append(where(pressurized, OK if zero else story.absent("confirm-zero")))
            found.append(OK if bond else story.absent("measure-shield"))
    return worst(found) if story.done("temporary-closure") else NA


ROWS: dict[str, Callable[[Story], Verdict]] = {
    "cool-before-load": cool_before_load,
    "restoring-pressure-limit": pressure_limit,
    "raised-slowly": raised_slowly,
    "restored": restored,
    "soaped": soaped,
    "soap-rinsed": rinsed,
    "hold-test": hold,
    "hold-test-valid": hold_valid,
    "desk-reading": desk_reads,
    "desk-told-after": desk_told_after,
    "overnight": overnight,
}

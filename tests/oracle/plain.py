"""A procedure in one order, as the oracle sees it: steps that were done, readings a side, and job facts."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any, Literal

from .measures import measure
from .words import NOT_READINGS, PLANNED, USUAL

Verdict = Literal["ok", "broken", "unknown", "n/a"]
OK: Verdict = "ok"
BROKEN: Verdict = "broken"
UNKNOWN: Verdict = "unknown"
NA: Verdict = "n/a"
SIDES = ("A", "B")


@dataclass
class Step:
    """One entry that was done (or is planned)."""

    do: str
    sides: tuple[str, ...]
    closure: str | None
    at: float | None
    started: float | None
    readings: dict[str, Any]

    @property
    def begin(self) -> float | None:
        """Minutes, when it began; when it was finished if the beginning is not written."""
        return self.at if self.started is None else self.started

    def text(self, name: str, side: str = "A") -> Any:
        """The reading as written on a side; None where there is none."""
        value = self.readings.get(name)
        return value.get(side) if isinstance(value, dict) else value

    def number(self, name: str, side: str = "A", kind: str = "length") -> Fraction | None:
        """The reading as a number of that kind; None where it is missing or something else."""
        found = measure(self.text(name, side))
        return found[0] if found is not None and found[1] == kind else None


@dataclass
class Story:
    """The whole procedure, or the part of it that one closure sees."""

    log: bool
    milestones: bool
    job: dict[str, Any]
    steps: list[Step]
    not_recorded: set[str] = field(default_factory=set)

    def fact(self, name: str, side: str = "A") -> Any:
        """A job fact on a side, None where the job does not say."""
        value = self.job.get(name)
        return value.get(side) if isinstance(value, dict) else value

    def yes(self, name: str) -> bool | None:
        """A yes-no fact; None where the job does not say."""
        return {"yes": True, "true": True, "no": False, "false": False}.get(str(self.fact(name)).lower())

    def done(self, *names: str) -> list[Step]:
        """All doings of these steps, in order."""
        return [step for step in self.steps if step.do in names]

    def last(self, name: str, side: str = "A") -> Step | None:
        """The latest doing of a step on a side."""
        found = [step for step in self.done(name) if side in step.sides]
        return found[-1] if found else None

    def absent(self, *names: str) -> Verdict:
        """What it means that none of these steps is there: wrong, unless the log need not have it."""
        return UNKNOWN if self.milestones or self.not_recorded & set(names) else BROKEN

    def missing(self, name: str) -> Verdict:
        """What it means that a reading is not there: in a plan one that comes with the work is still open."""
        return OK if not self.log and name not in PLANNED else UNKNOWN

    def check(
        self, step: Step, name: str, side: str, test: Callable[[Fraction], bool], kind: str = "length"
    ) -> Verdict:
        """One reading on one side against one test."""
        value = step.number(name, side, kind)
        if value is None:
            return self.missing(name) if step.text(name, side) is None else UNKNOWN
        return OK if test(value) else BROKEN

    def least(self, step: Step, name: str, side: str, limit: Fraction) -> Verdict:
        """One length on one side that may not be shorter."""
        return self.check(step, name, side, lambda length: length >= limit)

    def said(self, step: Step, name: str, good: Iterable[str], side: str = "A") -> Verdict:
        """One reading that is a word."""
        value = step.text(name, side)
        if value is None:
            return self.missing(name)
        return OK if str(value).lower() in good else BROKEN

    @property
    def opening(self) -> bool:
        """Whether conductors are repaired in a cut sheath."""
        return bool(self.fact("work") == "trouble-opening")

    @property
    def lead_opening(self) -> bool:
        """An opening in lead."""
        return self.opening and self.fact("sheath") == "lead"

    @property
    def polyethylene_opening(self) -> bool:
        """An opening in polyethylene."""
        return self.opening and self.fact("sheath") == "polyethylene"

    @property
    def dam(self) -> bool:
        """A block between two sheaths."""
        return bool(self.fact("work") == "inter-sheath-dam")

    @property
    def auxiliary(self) -> bool:
        """An old taped auxiliary sleeve is covered."""
        return bool(self.fact("work") == "auxiliary-repair")

    @property
    def removal(self) -> bool:
        """An old wraparound sleeve comes off."""
        return bool(self.fact("work") == "sleeve-removal")

    def at(self, *places: str) -> bool:
        """Whether the work is in one of these places."""
        return self.fact("location") in places

    def sides_of(self, sheath: str) -> list[str]:
        """The sides that have this sheath under the adhesive."""
        return [side for side in SIDES if self.fact("sheath", side) == sheath]


def read(procedure: dict[str, Any]) -> Story:
    """The plain data as a story. Only steps with status done stay."""
    steps = []
    not_recorded = set()
    for raw in procedure["steps"]:
        if raw.get("status", "done") == "not-recorded":
            not_recorded.add(raw["do"])
        if raw.get("status", "done") != "done":
            continue
        side = raw.get("side")
        readings = {name: value for name, value in raw.items() if name not in NOT_READINGS}
        sides = SIDES if side is None else (side,)
        steps.append(Step(raw["do"], sides, raw.get("closure"), raw.get("at"), raw.get("started"), readings))
    records = procedure.get("records", procedure["job"].get("records"))
    log = procedure["procedure"] == "log"
    return Story(log, log and records == "milestones", procedure["job"], steps, not_recorded)


def between(story: Story, first: Step, then: Step) -> float | None:
    """Minutes from the end of one step to the beginning of a later one; in a plan the usual ones between them."""
    if story.log:
        return None if first.at is None or then.begin is None else then.begin - first.at
    places = [number for number, step in enumerate(story.steps) if step is first or step is then]
    return float(sum(USUAL.get(step.do, 0) for step in story.steps[places[0] + 1 : places[-1]]))


def soon(story: Story, first: Step, then: Step, most: float) -> Verdict:
    """Whether no more than so many minutes pass; a log without the times does not say."""
    passed = between(story, first, then)
    return UNKNOWN if passed is None else OK if passed <= most else BROKEN


def worst(verdicts: Iterable[Verdict]) -> Verdict:
    """Broken before unknown before ok; n/a where nothing was looked at."""
    found = set(verdicts)
    for verdict in (BROKEN, UNKNOWN, OK):
        if verdict in found:
            return verdict
    return NA


def either(verdicts: Iterable[Verdict]) -> Verdict:
    """One good way is enough; an unknown way may have been good."""
    found = set(verdicts)
    return OK if OK in found else UNKNOWN if UNKNOWN in found else BROKEN


def where(applies: bool | None, verdict: Verdict) -> Verdict:
    """A verdict that counts only where it applies; where nobody knows, a good one stays good."""
    if applies is None:
        return UNKNOWN if verdict == BROKEN else verdict
    return verdict if applies else NA


def before_each(story: Story, first: Iterable[str], then: Iterable[str]) -> Verdict:
    """Each doing of a later step has one of the first steps before it, on every side that it covers."""
    found = []
    seen: set[str] = set()
    for step in story.steps:
        if step.do in then:
            found.append(OK if set(step.sides) <= seen else story.absent(*first))
        if step.do in first:
            seen |= set(step.sides)
    return worst(found)


def there(story: Story, *names: str) -> Verdict:
    """All of these steps are there, on both sides."""
    found = []
    for name in names:
        sides = {side for step in story.done(name) for side in step.sides}
        found.append(OK if sides == set(SIDES) else story.absent(name))
    return worst(found)

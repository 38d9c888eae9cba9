"""One judgement of a rule at one place, and what every form needs to make one."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction

import msgspec

from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.relations.conditions import Conditions
from ringcut.relations.truth import NO, UNKNOWN, Cause, Truth
from ringcut.relations.view import View


class Acceptance(msgspec.Struct, frozen=True):
    """What is still to be measured or watched when the plan is done, and when it conforms."""

    index: int
    """The occurrence."""
    what: str
    """The reading, or ``time``."""
    side: str
    words: str
    rule: str
    since: int = -1
    """Of a limit of time, the occurrence that it is counted from; -1: none."""


class Instance(msgspec.Struct, frozen=True):
    """A rule at one occurrence (``at``, -1: none) on one side (empty: all)."""

    truth: Truth
    at: int = -1
    side: str = ""
    found: str = ""
    needed: str = ""
    margin: str = ""
    evidence: tuple[str, ...] = ()
    path: tuple[int, ...] = ()
    """An order that breaks the rule, as far as it matters."""
    accepts: tuple[Acceptance, ...] = ()
    reading: str = ""
    """The reading that was looked at, where it is one."""


class Context:
    """A rule being judged on one view."""

    def __init__(self, rule: ir.Rule, view: View, conditions: Conditions) -> None:
        self.rule, self.view, self.conditions = rule, view, conditions
        self.order = view.order

    def sides(self, index: int) -> tuple[str, ...]:
        """The sides to judge an occurrence on: its own where the rule differs by side, else one unnamed."""
        return self.view.occurrences[index].sides if self.rule.sided else ("",)

    def all_sides(self) -> tuple[str, ...]:
        """The sides to judge the procedure on."""
        return self.view.sides if self.rule.sided else ("",)

    def judged(self, steps: ir.StepSet) -> Iterator[tuple[int, str]]:
        """(occurrence, side) pairs the rule looks at: of a step that is done again, the latest on a side only.

        In a partial order every doing without a necessarily later one is looked at.
        """
        for index in self.view.where(steps):
            for side in self.sides(index):
                if self.rule.judge_every or not self.replaced(index, side):
                    yield index, side

    def replaced(self, index: int, side: str) -> bool:
        """Whether a later doing of the same step stands for this one on a side."""
        each = self.view.occurrences[index]
        if self.view.book.steps[each.step].again != "redo":
            return False
        for other in reversed(self.view.by_step[each.step]):
            later = self.view.occurrences[other]
            if (
                other != index
                and not later.optional
                and self.order.before(index, other)
                and _covers(later.sides, side, each.sides)
            ):
                return True
        return False

    def absent(self, steps: ir.StepSet, side: str, at: int = -1, since: int = -1) -> Truth:
        """A step that is demanded and not there: false, or unknown where it may just not have been written.

        ``at``: the occurrence before which it is demanded, ``since``: the one after which; -1: none.
        """
        cause = Cause("absent", steps.text, side, max(at, since), since, "not recorded", steps.names, at)
        return Truth(UNKNOWN if self.view.may_be_unrecorded(steps.names, side) else NO, (cause,))

    def not_yet(self, steps: ir.StepSet, side: str = "") -> list[Instance]:
        """What is said where nothing to judge has happened: nothing, or that a log is not finished."""
        if self.view.procedure.finished:
            return []
        cause = Cause("time", f"no {steps.spoken} yet; the log is not finished", side, why="not recorded")
        return [Instance(Truth(UNKNOWN, (cause,)), -1, side, f"no {steps.spoken} yet")]

    def label(self, index: int) -> str:
        """An occurrence as a message calls it, with its time in a log."""
        each = self.view.occurrences[index]
        return f"{each.label} (line {each.place.line})" if each.place.line else each.label

    def softened(self, truth: Truth, after: int = -1) -> Truth:
        """A false truth whose cause is a step that may just not have been written is unknown.

        ``after``: the occurrence just after which it is false, -1 where it is judged before one.
        """
        if truth.level != NO or not truth.causes:
            return truth
        if any(self._may_be_healed(cause, after) for cause in truth.causes):
            return truth._replace(level=UNKNOWN)
        return truth

    def _may_be_healed(self, cause: Cause, after: int) -> bool:
        """Whether a step that is not in the log may have been done and made it true.

        A condition that a bad reading ended is not one of these: the reading itself is evidence. Nor is what a step
        ended, just after that step: whatever is not written was done earlier, or later.
        """
        if after >= 0 and after == (cause.at if cause.kind == "lost" else cause.by):
            return False
        if cause.kind == "absent":
            return self.view.may_be_unrecorded(cause.others, cause.side)
        if cause.kind != "lost" or cause.at < 0 or cause.by != cause.at and cause.by in self._makers(cause):
            return False
        state = self.view.occurrences[cause.at].step
        ended = [e for e in self.view.book.steps[state].effects if e.condition == cause.what]
        fixed = any(isinstance(effect.to, n.Fixed) and not effect.to.value for effect in ended)
        return fixed and any(
            self.view.book.steps[name].again == "another" and self.view.may_be_unrecorded((name,), cause.side)
            for name in cause.others
        )

    def _makers(self, cause: Cause) -> list[int]:
        return self.view.where(cause.others)


def _covers(sides: tuple[str, ...], side: str, own: tuple[str, ...]) -> bool:
    return side in sides if side else set(own) <= set(sides)


def latest(context: Context, candidates: Iterable[int], before: int | None = None) -> list[int]:
    """Those of some occurrences, given along the line, that may be the last before one (None: the end)."""
    order = context.order
    found = list(candidates)
    if before is not None:
        found = [i for i in found if i != before and not order.before(before, i)]
    if order.total:
        return found[-1:]
    within = ~0 if before is None else order.before_bits(before)
    kept: list[int] = []
    replaced = 0
    for i in reversed(found):
        if replaced >> i & 1:
            continue
        kept.append(i)
        if within >> i & 1 and not context.view.occurrences[i].optional:
            replaced |= order.before_bits(i)
    return kept[::-1]


def too_early(context: Context, use: int | None, limit: Fraction) -> int:
    """The last doing so long before another (None: the end) that what is done just after it is too old; -1: none."""
    view, rank = context.view, context.order.rank
    line = context.order.line if use is None else context.order.line[: rank[use]]
    gap = view.takes_between if view.plan else view.elapsed
    return next((x for x in reversed(line) if (gap(x, use) or 0) > limit), -1)


def clock(seconds: Fraction | None) -> str:
    """A length of time as people say it."""
    if seconds is None:
        return "a time not known"
    from ringcut.reading.measures import show

    unit = "min" if abs(seconds) >= 60 or seconds == 0 else "s"
    return show(seconds, "time", unit)


def time_of_day(context: Context, seconds: Fraction) -> str:
    """An instant of a log as hh:mm on the log's own clock."""
    minutes = int((seconds + context.view.whole.zone) // 60) % 1440
    return f"{minutes // 60:02d}:{minutes % 60:02d}"

"""Small edits of a plan or log by the names of its steps, for what is broken by hand."""

from __future__ import annotations

from collections.abc import Callable

import msgspec

from ringcut.reading.raw import RawProcedure, RawStep

from .goodwork import phrase, reading, step, steps_of, with_steps

Edit = Callable[[RawProcedure], RawProcedure]
LAST = -1
"""The last doing of a step."""


def at(raw: RawProcedure, name: str, which: int = 0) -> int:
    """Where a step stands: its first doing, or another by number from 0, or the last."""
    return [index for index, each in enumerate(steps_of(raw)) if each.do.text == name][which]


def put(name: str, before: str = "", *, after: str = "", which: int = 0, **readings: str) -> Edit:
    """Do one more step before or after a doing of another; at the end where none is named."""
    return lambda raw: with_steps(raw, _put(raw, [step(name, **readings)], before, after, which))


def cut(name: str, which: int | None = None) -> Edit:
    """Leave a step out: every doing of it, or one."""

    def edit(raw: RawProcedure) -> RawProcedure:
        gone = None if which is None else at(raw, name, which)
        kept = [each for index, each in enumerate(steps_of(raw)) if each.do.text != name or gone not in (None, index)]
        return with_steps(raw, kept)

    return edit


def move(name: str, before: str = "", *, after: str = "", which: int = 0) -> Edit:
    """Do the last doing of a step before or after a doing of another."""

    def edit(raw: RawProcedure) -> RawProcedure:
        index = at(raw, name, LAST)
        moved = steps_of(raw)[index]
        rest = with_steps(raw, [*steps_of(raw)[:index], *steps_of(raw)[index + 1 :]])
        return with_steps(raw, _put(rest, [moved], before, after, which))

    return edit


def change(name: str, of: str, text: str, which: int = 0, side: str = "") -> Edit:
    """Write another text for a reading; ``side``: as a step of that side beside the one that is there."""

    def edit(raw: RawProcedure) -> RawProcedure:
        steps = steps_of(raw)
        index = at(raw, name, which)
        old = steps[index]
        others = tuple(each for each in old.readings if each.name.text != of)
        new = msgspec.structs.replace(old, readings=(*others, reading(of, text)))
        if side:
            new = msgspec.structs.replace(new, side=(phrase(side),))
        return with_steps(raw, [*steps[:index], new, *steps[index + 1 :]])

    return edit


def job(name: str, text: str) -> Edit:
    """Another text for a job fact."""

    def edit(raw: RawProcedure) -> RawProcedure:
        others = tuple(each for each in raw.job if each.name.text != name)
        return msgspec.structs.replace(raw, job=(*others, reading(name, text)))

    return edit


def all_of(*edits: Edit) -> Edit:
    """One edit after another."""

    def edit(raw: RawProcedure) -> RawProcedure:
        for each in edits:
            raw = each(raw)
        return raw

    return edit


def _put(raw: RawProcedure, new: list[RawStep], before: str, after: str, which: int) -> list[RawStep]:
    steps = steps_of(raw)
    index = at(raw, before, which) if before else at(raw, after, which) + 1 if after else len(steps)
    return [*steps[:index], *new, *steps[index:]]


# ---- a log only ---------------------------------------------------------------------------------------------------


def _each(raw: RawProcedure, new: Callable[[RawStep], RawStep]) -> RawProcedure:
    return with_steps(raw, [new(each) for each in steps_of(raw)])


def unwrite(name: str, of: str, which: int = 0) -> Edit:
    """Leave a reading unwritten."""

    def edit(raw: RawProcedure) -> RawProcedure:
        index = at(raw, name, which)

        def without(each: RawStep) -> RawStep:
            kept = tuple(said for said in each.readings if said.name.text != of)
            return msgspec.structs.replace(each, readings=kept)

        return with_steps(raw, [without(each) if here == index else each for here, each in enumerate(steps_of(raw))])

    return edit


def one_time(stamp: str) -> Edit:
    """Give every entry one time."""
    return lambda raw: _each(raw, lambda each: msgspec.structs.replace(each, at=phrase(stamp), started=None))


def swap_times(one: str, other: str) -> Edit:
    """Exchange the times of two entries."""

    def edit(raw: RawProcedure) -> RawProcedure:
        steps = steps_of(raw)
        first, second = at(raw, one), at(raw, other)
        here, there = steps[first], steps[second]
        steps[first] = msgspec.structs.replace(here, at=there.at, started=there.started)
        steps[second] = msgspec.structs.replace(there, at=here.at, started=here.started)
        return with_steps(raw, steps)

    return edit


def claimed(name: str) -> Edit:
    """One more entry that says that a step does not apply."""
    new = msgspec.structs.replace(step(name), status=phrase("not-applicable"), reason=phrase("no need"))
    return lambda raw: with_steps(raw, [*steps_of(raw), new])


def noted(name: str, text: str) -> Edit:
    """A note beside an entry."""
    return lambda raw: _each(
        raw, lambda each: msgspec.structs.replace(each, note=phrase(text)) if each.do.text == name else each
    )


def set_after(name: str, other: str) -> Edit:
    """In a plan: a step that waits for another than the one above it."""

    def edit(raw: RawProcedure) -> RawProcedure:
        steps = steps_of(raw)
        first, second = at(raw, other), at(raw, name)
        steps[first] = msgspec.structs.replace(steps[first], id=phrase("x"))
        steps[second] = msgspec.structs.replace(steps[second], after=(phrase("x"),))
        return with_steps(raw, steps)

    return edit

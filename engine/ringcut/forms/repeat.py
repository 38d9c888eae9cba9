"""``repeat: a every d while q``: an a at most d before q began, and q never lasts with the last a older than d."""

from __future__ import annotations

from fractions import Fraction

import msgspec

from ringcut.forms.instance import Acceptance, Context, Instance, clock, time_of_day
from ringcut.forms.need import evidence
from ringcut.language import ir
from ringcut.relations.conditions import Moment
from ringcut.relations.formula import Formula, formula, literals
from ringcut.relations.truth import NO, OPEN, TRUE, UNKNOWN, YES, Cause, Truth


def judge(form: ir.Repeat, context: Context) -> list[Instance]:
    """One instance for each stretch of q, on each side."""
    found: list[Instance] = []
    for side in context.all_sides():
        item = formula(form.during, context.view, side)
        for begin, end in _stretches(context, item):
            judged = _planned if context.view.plan else _done
            found.append(judged(form, context, item, begin, end, side))
    return found


def _stretches(context: Context, item: Formula) -> list[tuple[int, int | None]]:
    """(step that begins q, step that ends it; None: to the end), along a line that respects the order."""
    order, conditions = context.order, context.conditions
    changes = {change.step for literal in literals(item) for change in conditions.changes(literal.atom)}
    found: list[tuple[int, int | None]] = []
    holding = False
    for index in sorted(changes, key=order.rank.__getitem__):
        now = conditions.at(item, Moment(index, True)).level != NO
        if now and not holding:
            found.append((index, None))
        elif holding and not now:
            found[-1] = (found[-1][0], index)
        holding = now
    return found


def _tests(form: ir.Repeat, context: Context, side: str) -> list[int]:
    view = context.view
    return [i for i in view.covering(view.where(form.what), side) if not view.occurrences[i].optional]


def _absent(form: ir.Repeat, context: Context, begin: int, side: str) -> Instance:
    tests = _tests(form, context, side)
    needed = f"{form.what.text} at most {clock(form.every)} before"
    if not tests:
        return Instance(context.absent(form.what, side, begin), begin, side, f"no {form.what.text}", needed)
    truth = Truth(NO, (Cause("swapped", form.what.text, side, begin, tests[0]),))
    return Instance(truth, begin, side, "", needed, "", evidence(context, truth), (begin, tests[0]))


def _planned(form: ir.Repeat, context: Context, item: Formula, begin: int, end: int | None, side: str) -> Instance:
    order, view = context.order, context.view
    tests = _tests(form, context, side)
    before = [i for i in tests if order.before(i, begin)]
    if not before:
        return _absent(form, context, begin, side)
    inside = [i for i in tests if order.before(begin, i) and (end is None or order.before(i, end))]
    chain = [before[-1], *sorted(inside, key=order.rank.__getitem__)]
    for first, last in zip(chain, [*chain[1:], end], strict=True):
        usual = view.takes_between(first, last)
        if usual > form.every:
            cause = Cause("value", context.rule.id, side, begin, first)
            told = f"the steps after {context.label(first)} usually take {clock(usual)}"
            return Instance(Truth(NO, (cause,)), begin, side, told, f"again every {clock(form.every)}")
    words = f"again at most {clock(form.every)} after {view.occurrences[chain[-1]].label}, while it lasts"
    return Instance(Truth(OPEN), begin, side, accepts=(Acceptance(begin, "time", "", words, context.rule.id),))


def _done(form: ir.Repeat, context: Context, item: Formula, begin: int, end: int | None, side: str) -> Instance:
    view, rank = context.view, context.order.rank
    needed = f"{form.what.text} every {clock(form.every)}"
    start = view.occurrences[begin].begin
    stop = _stop(context, end)
    tests = _tests(form, context, side)
    before = [i for i in tests if rank[i] < rank[begin]]
    if not before:
        return _absent(form, context, begin, side)
    inside = [i for i in tests if rank[begin] < rank[i] and (end is None or rank[i] < rank[end])]
    times = [view.occurrences[i].finish for i in (before[-1], *inside)]
    if start is None or stop is None or any(time is None for time in times):
        cause = Cause("time", "the times of tests and flame", "", begin, why="not recorded")
        return Instance(Truth(UNKNOWN, (cause,)), begin, side, "", needed)
    known = [time for time in times if time is not None]
    if start - known[0] > form.every:
        return _late(form, context, before[-1], known[0], start, begin, side)
    for position, (first, last) in enumerate(zip(known, [*known[1:], stop], strict=True)):
        if last - first > form.every:
            at = (before[-1], *inside)[position]
            late = _late(form, context, at, first, last, begin, side)
            return late if context.conditions.at(item, Moment(begin, True)).level in (YES, OPEN) else _unclear(late)
    return Instance(TRUE, begin, side)


def _stop(context: Context, end: int | None) -> Fraction | None:
    if end is not None:
        return context.view.occurrences[end].begin
    return max((each.finish for each in context.view.occurrences if each.finish is not None), default=None)


def _late(
    form: ir.Repeat, context: Context, test: int, first: Fraction, last: Fraction, begin: int, side: str
) -> Instance:
    gap = last - first
    told = (
        f"{context.label(begin)} {time_of_day(context, context.view.occurrences[begin].begin or first)}, last "
        f"{context.label(test)} {time_of_day(context, first)}; due by {time_of_day(context, first + form.every)}, "
        f"not done by {time_of_day(context, last)}"
    )
    cause = Cause("value", context.rule.id, side, begin, test)
    return Instance(
        Truth(NO, (cause,)),
        begin,
        side,
        clock(gap),
        f"at most {clock(form.every)}",
        f"{clock(gap - form.every)} over",
        (told,),
    )


def _unclear(late: Instance) -> Instance:
    return msgspec.structs.replace(late, truth=Truth(UNKNOWN, late.truth.causes))

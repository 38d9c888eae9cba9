"""``repeat: a every d while q``: an a at most d before q began, and q never lasts with the last a older than d."""

from __future__ import annotations

from fractions import Fraction

import msgspec

from ringcut.forms.instance import Acceptance, Context, Instance, clock, time_of_day, too_early
from ringcut.forms.need import evidence
from ringcut.language import ir
from ringcut.relations.conditions import Moment
from ringcut.relations.formula import Formula, Literal, formula, literals
from ringcut.relations.truth import NO, OPEN, TRUE, UNKNOWN, YES, Cause, Truth


def judge(form: ir.Repeat, context: Context) -> list[Instance]:
    """One instance for each stretch of q, on each side; in a partial order one for each step that may begin q."""
    found: list[Instance] = []
    for side in context.all_sides():
        item = formula(form.during, context.view, side)
        for begin, end in _stretches(context, item):
            if begin is None:
                found.append(_absent(form, context, None, side))
            elif context.view.plan:
                found.append(_planned(form, context, begin, end, side))
            else:
                found.append(_softened(_done(form, context, begin, end, side), context, item, begin))
    return found or ([] if context.view.procedure.finished else context.not_yet(form.what))


def _stretches(context: Context, item: Formula) -> list[tuple[int | None, int | None]]:
    """(step that begins q, None: so from the start; step that ends it, None: to the end).

    In a partial order every step that may begin q counts; where another order decides when it ends, it is its own end.
    """
    order, conditions = context.order, context.conditions
    changes = {change.step for literal in literals(item) for change in conditions.changes(literal.atom)}
    line = sorted(changes, key=order.rank.__getitem__)
    found: list[tuple[int | None, int | None]] = []
    holding = bool(order.n) and conditions.at(item, Moment(order.line[0])).level != NO
    if holding:
        found.append((None, None))
    for index in line:
        now = conditions.at(item, Moment(index, True)).level != NO
        if now and not holding:
            found.append((index, None))
        elif holding and not now:
            found[-1] = (found[-1][0], index)
        holding = now
    if order.total or not context.view.plan:
        return found
    makers = {i for literal in literals(item) for i in _makers(context, literal)} - {begin for begin, _ in found}
    return [*found, *((index, index) for index in line if index in makers)]


def _makers(context: Context, item: Literal) -> list[int]:
    """The steps that may make a literal true."""
    changes = context.conditions.changes(item.atom)
    return [
        each.step
        for each in changes
        if each.truth.level in (OPEN, UNKNOWN) or (each.truth.level == YES) == item.positive
    ]


def _tests(form: ir.Repeat, context: Context, side: str) -> list[int]:
    view = context.view
    return [i for i in view.covering(view.where(form.what), side) if not view.occurrences[i].optional]


def _absent(form: ir.Repeat, context: Context, begin: int | None, side: str) -> Instance:
    every = context.view.covering(context.view.where(form.what), side)
    needed = f"{form.what.text} at most {clock(form.every)} before"
    at = -1 if begin is None else begin
    late = next((i for i in every if begin is None or not context.order.before(i, begin)), None)
    if late is None or begin is None:
        path = (at,) if every and begin is not None else ()
        return Instance(context.absent(form.what, side, at), at, side, f"no {form.what.text}", needed, path=path)
    truth = Truth(NO, (Cause("swapped", form.what.text, side, begin, late, "", form.what.names, begin),))
    return Instance(truth, begin, side, "", needed, "", evidence(context, truth), (begin, late))


def _planned(form: ir.Repeat, context: Context, begin: int, end: int | None, side: str) -> Instance:
    order, view = context.order, context.view
    tests = _tests(form, context, side)
    before = [i for i in tests if order.before(i, begin)]
    if not before:
        return _absent(form, context, begin, side)
    end = begin if end is not None and not order.before(begin, end) else end
    inside = [i for i in tests if order.before(begin, i) and (end is None or order.before(i, end))]
    chain = [before[-1], *sorted(inside, key=order.rank.__getitem__)]
    for first, last in zip(chain, [*chain[1:], end], strict=True):
        usual = view.takes_between(first, last)
        if usual > form.every:
            cause = _missing(form, context, begin, first, last, side)
            told = f"the steps after {context.label(first)} usually take {clock(usual)}"
            return Instance(Truth(NO, (cause,)), begin, side, told, f"again every {clock(form.every)}")
    words = f"again at most {clock(form.every)} after {view.occurrences[chain[-1]].label}, while it lasts"
    return Instance(Truth(OPEN), begin, side, accepts=(Acceptance(begin, "time", "", words, context.rule.id),))


def _done(form: ir.Repeat, context: Context, begin: int, end: int | None, side: str) -> Instance:
    view, order = context.view, context.order
    needed = f"{form.what.text} every {clock(form.every)}"
    tests = _tests(form, context, side)
    before = [i for i in tests if order.before(i, begin)]
    if not before:
        return _absent(form, context, begin, side)
    inside = [i for i in tests if i not in before and (end is None or not order.before(end, i))]
    start, stop = view.occurrences[begin].begin, _stop(context, end)
    times = [(view.occurrences[i].finish, i) for i in (*before, *inside)]
    if start is None or stop is None or any(time is None for time, _ in times):
        cause = Cause("time", "the times of tests and flame", "", begin, why="not recorded")
        return Instance(Truth(UNKNOWN, (cause,)), begin, side, "", needed)
    known = sorted((time, i) for time, i in times if time is not None and time <= stop)
    known = [max(pair for pair in known if pair[1] in before), *(pair for pair in known if pair[1] not in before)]
    if start - known[0][0] > form.every:
        return _late(form, context, known[0][1], begin, known[0][0], start, begin, side)
    for (first, test), (last, following) in zip(known, [*known[1:], (stop, end)], strict=True):
        if last - first > form.every:
            return _late(form, context, test, following, first, last, begin, side)
    if end is None and not view.procedure.finished:
        cause = Cause("time", "in time so far; the log is not finished", why="not recorded")
        return Instance(Truth(UNKNOWN, (cause,)), begin, side, "", needed)
    return Instance(TRUE, begin, side)


def _softened(instance: Instance, context: Context, item: Formula, begin: int) -> Instance:
    """What is false of a stretch that may not have been one is unknown."""
    if instance.truth.level != NO or context.conditions.at(item, Moment(begin, True)).level in (YES, OPEN):
        return instance
    return msgspec.structs.replace(instance, truth=Truth(UNKNOWN, instance.truth.causes))


def _stop(context: Context, end: int | None) -> Fraction | None:
    if end is not None:
        return context.view.occurrences[end].begin
    return max((each.finish for each in context.view.occurrences if each.finish is not None), default=None)


def _missing(form: ir.Repeat, context: Context, begin: int, test: int, following: int | None, side: str) -> Cause:
    """The doing that is missing between two others: not too long before the later one, nor after the earlier.

    Before the stretch began it may be as late as one likes.
    """
    view, rank = context.view, context.order.rank
    behind = context.order.line[rank[test] + 1 : context.order.n if following is None else rank[following]]
    gap = view.takes_between if view.plan else view.elapsed
    use = next((x for x in behind if (gap(test, x) or 0) > form.every), -1 if following is None else following)
    if rank[test] < rank[begin] and use >= 0 and rank[use] < rank[begin]:
        use = begin
    low = max(too_early(context, following, form.every), test, key=lambda x: -1 if x < 0 else rank[x])
    return Cause("value", context.rule.id, side, begin, low, others=form.what.names, use=use)


def _late(
    form: ir.Repeat,
    context: Context,
    test: int,
    following: int | None,
    first: Fraction,
    last: Fraction,
    begin: int,
    side: str,
) -> Instance:
    gap = last - first
    told = (
        f"{context.label(begin)} {time_of_day(context, context.view.occurrences[begin].begin or first)}, last "
        f"{context.label(test)} {time_of_day(context, first)}; due by {time_of_day(context, first + form.every)}, "
        f"not done by {time_of_day(context, last)}"
    )
    cause = _missing(form, context, begin, test, following, side)
    return Instance(
        Truth(NO, (cause,)),
        begin,
        side,
        clock(gap),
        f"at most {clock(form.every)}",
        f"{clock(gap - form.every)} over",
        (told,),
    )

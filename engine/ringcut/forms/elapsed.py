"""``elapsed: from a to b``: the time between the finish of a and the begin of b lies within limits."""

from __future__ import annotations

import msgspec

from ringcut.forms.instance import Acceptance, Context, Instance, clock, latest, time_of_day, too_early
from ringcut.forms.need import evidence
from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.relations.conditions import Moment
from ringcut.relations.formula import formula
from ringcut.relations.truth import NO, OPEN, TRUE, UNKNOWN, Cause, Truth


def judge(form: ir.Elapsed, context: Context) -> list[Instance]:
    """For ``each: to`` one instance a b, back to the latest a; for ``each: from`` one an a, on to the next b."""
    if form.start.moment or form.to.moment:
        found = _from_start_or_to_end(form, context)
    elif form.each_to:
        found = [each for b, side in context.judged(form.to) for each in _to(form, context, b, side)]
        found = found or (context.not_yet(form.to) if not context.view.where(form.to) else [])
    else:
        found = [each for a, side in context.judged(form.start) for each in _from(form, context, a, side)]
        found = found or (context.not_yet(form.start) if not context.view.where(form.start) else [])
    return found if form.during is None else [_where(form.during, form, context, each) for each in found]


def _from_start_or_to_end(form: ir.Elapsed, context: Context) -> list[Instance]:
    """The time since the procedure began, or until it ends; the end of a log that is not finished is not known."""
    view = context.view
    whole = bool(form.start.moment and form.to.moment)
    steps = form.to if form.start.moment else form.start
    places = [(-1, "")] if whole else list(context.judged(steps))
    if not places:
        return context.not_yet(steps)
    if form.to.moment and not view.procedure.finished:
        cause = Cause("time", "the log is not finished", why="not recorded")
        return [Instance(Truth(UNKNOWN, (cause,)), at, side) for at, side in places]
    return [
        _gap(form, context, None if form.start.moment else at, None if form.to.moment else at, at, side)
        for at, side in places
    ]


def _where(during: n.Node, form: ir.Elapsed, context: Context, instance: Instance) -> Instance:
    """``while``: a limit that does not hold is excused where the condition is not true, if anything was done."""
    if instance.truth.level <= OPEN or instance.at < 0:
        return instance
    item = formula(during, context.view, instance.side)
    here = context.conditions.worst_before(item, Moment(instance.at, not form.each_to))[0]
    if here.level == NO:
        return Instance(TRUE, instance.at, instance.side)
    return instance if here.level <= OPEN else msgspec.structs.replace(instance, truth=here)


def _to(form: ir.Elapsed, context: Context, b: int, side: str) -> list[Instance]:
    view, order = context.view, context.order
    starts = [i for i in view.covering(view.where(form.start), side) if i != b]
    may_be_there = form.at_most is None
    before = [i for i in starts if order.before(i, b) and (may_be_there or not view.occurrences[i].optional)]
    if form.at_least is not None and not view.plan:
        beside = [i for i in starts if not order.before(i, b) and not order.before(b, i)]
        if beside:
            return [_gap_missed(form, context, beside[0], b, b, side, "they overlap")]
    if not before:
        if form.at_most is None:
            beside = [i for i in starts if view.plan and not order.before(b, i)]
            return [_planned(form, context, beside[0], b, b, side)] if beside else []
        needed = f"{form.start.text} at most {clock(form.at_most)} before"
        late = next((i for i in starts if not order.before(i, b)), None)
        if late is None:
            truth = context.absent(form.start, side, b)
            return [Instance(truth, b, side, f"no {form.start.text}", needed, path=(b,) if starts else ())]
        truth = Truth(NO, (Cause("swapped", form.start.text, side, b, late, "", form.start.names, b),))
        return [Instance(truth, b, side, "", needed, "", evidence(context, truth), (b, late))]
    return [_worst([_gap(form, context, a, b, b, side) for a in latest(context, before, b)])]


def _from(form: ir.Elapsed, context: Context, a: int, side: str) -> list[Instance]:
    view, order = context.view, context.order
    ends = [i for i in view.covering(view.where(form.to), side) if i != a]
    after = [i for i in ends if order.before(a, i) and not view.occurrences[i].optional]
    if not after:
        if form.at_most is None:
            return []
        needed = f"{form.to.text} at most {clock(form.at_most)} after"
        if not view.procedure.finished:
            age = view.elapsed(a, None)
            over = age is not None and age > form.at_most
            absent = context.absent(form.to, side, since=a)
            truth = absent if over else absent._replace(level=UNKNOWN)
            return [Instance(truth, a, side, f"no {form.to.spoken} yet", needed)]
        early = next((i for i in ends if not order.before(a, i)), None)
        if early is None:
            truth = context.absent(form.to, side, since=a)
            return [Instance(truth, a, side, f"no {form.to.text}", needed, path=(a,) if ends else ())]
        truth = Truth(NO, (Cause("swapped", form.to.text, side, early, a),))
        return [Instance(truth, a, side, "", needed, "", evidence(context, truth), (early, a))]
    following = [i for i in after if not any(order.before(j, i) for j in after if j != i)]
    return [_worst([_gap(form, context, a, b, a, side) for b in following])]


def _worst(instances: list[Instance]) -> Instance:
    return max(instances, key=lambda each: each.truth.level)


def _gap(form: ir.Elapsed, context: Context, a: int | None, b: int | None, at: int, side: str) -> Instance:
    view = context.view
    if view.plan:
        return _planned(form, context, a, b, at, side)
    gap = view.elapsed(a, b)
    if gap is None:
        label, missing = _timeless(context, a, b)
        cause = Cause("time", label, "", missing, why="not recorded")
        return Instance(Truth(UNKNOWN, (cause,)), at, side, f"no time at {label}", _needed(form))
    if form.at_most is not None and gap > form.at_most:
        return _gap_missed(form, context, a, b, at, side, clock(gap), f"{clock(gap - form.at_most)} over")
    if form.at_least is not None and gap < form.at_least:
        return _gap_missed(form, context, a, b, at, side, clock(gap), f"{clock(form.at_least - gap)} short")
    return Instance(TRUE, at, side)


def _timeless(context: Context, a: int | None, b: int | None) -> tuple[str, int]:
    """The end of a gap that has no time, in words, and its index."""
    occurrences = context.view.occurrences
    if a is not None and occurrences[a].finish is None:
        return occurrences[a].label, a
    return (occurrences[b].label, b) if b is not None and occurrences[b].begin is None else ("any entry", -1)


def _planned(form: ir.Elapsed, context: Context, a: int | None, b: int | None, at: int, side: str) -> Instance:
    usual = context.view.takes_between(a, b)
    if form.at_most is not None and usual > form.at_most:
        told = f"the steps between usually take {clock(usual)}"
        return _gap_missed(form, context, a, b, at, side, told, f"{clock(usual - form.at_most)} over")
    if form.at_most is None and form.at_least is not None and usual >= form.at_least:
        return Instance(TRUE, at, side)
    since = "the start" if a is None else context.view.occurrences[a].label
    last = b if b is not None else context.order.line[-1]
    return Instance(
        Truth(OPEN),
        at,
        side,
        accepts=(
            Acceptance(last, "time", "", f"{_needed(form)} after {since}", context.rule.id, -1 if a is None else a),
        ),
    )


def _needed(form: ir.Elapsed) -> str:
    limits = [f"at least {clock(form.at_least)}"] if form.at_least is not None else []
    limits += [f"at most {clock(form.at_most)}"] if form.at_most is not None else []
    return " and ".join(limits)


def _gap_missed(
    form: ir.Elapsed, context: Context, a: int | None, b: int | None, at: int, side: str, found: str, margin: str = ""
) -> Instance:
    occurrences = context.view.occurrences
    cause = Cause("value", context.rule.id, side, at)
    if form.at_most is not None and form.each_to and b is not None:
        cause = cause._replace(by=too_early(context, b, form.at_most), others=form.start.names, use=b)
    told = f"{'the start' if a is None else context.label(a)} to {'the end' if b is None else context.label(b)}"
    finish = None if a is None else occurrences[a].finish
    begin = None if b is None else occurrences[b].begin
    if finish is not None and begin is not None:
        told += f": {time_of_day(context, finish)} to {time_of_day(context, begin)}"
    return Instance(Truth(NO, (cause,)), at, side, found, _needed(form), margin, (told,))

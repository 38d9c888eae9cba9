"""``need: p before a``: p holds just before every a, or within a grace after it; ``before: end`` looks at the end."""

from __future__ import annotations

from fractions import Fraction

from ringcut.forms.instance import Acceptance, Context, Instance, clock
from ringcut.language import ir
from ringcut.relations.conditions import END, Moment
from ringcut.relations.formula import Formula, formula, literals
from ringcut.relations.truth import NO, OPEN, TRUE, UNKNOWN, Cause, Truth


def judge(form: ir.Need, context: Context) -> list[Instance]:
    """One instance for each occurrence of ``before`` on each side, or one a side at the end."""
    if form.before.moment == ir.END:
        if not context.view.procedure.finished:
            return [Instance(Truth(UNKNOWN, (Cause("time", "the log is not finished", why="not recorded"),)))]
        return [_at(form, context, None, side) for side in context.all_sides()]
    return [_at(form, context, index, side) for index, side in context.judged(form.before)]


def _at(form: ir.Need, context: Context, index: int | None, side: str) -> Instance:
    item = formula(form.what, context.view, side)
    truth, path = context.conditions.worst_before(item, END if index is None else Moment(index))
    at = -1 if index is None else index
    if truth.level == NO and form.within is not None and index is not None:
        truth, accepts = _grace(item, form.within, context, index)
        return Instance(
            context.softened(truth), at, side, evidence=evidence(context, truth), path=path, accepts=accepts
        )
    truth = context.softened(truth)
    return Instance(truth, at, side, evidence=evidence(context, truth), path=path if truth.level >= UNKNOWN else ())


def _grace(item: Formula, within: Fraction, context: Context, index: int) -> tuple[Truth, tuple[Acceptance, ...]]:
    view, conditions = context.view, context.conditions
    changes = {change.step for literal in literals(item) for change in conditions.changes(literal.atom)}
    later = sorted((i for i in changes if context.order.before(index, i)), key=context.order.rank.__getitem__)
    failed = conditions.worst_before(item, Moment(index))[0]
    for change in later:
        if conditions.worst_before(item, Moment(change, True))[0].level == NO:
            continue
        if view.plan:
            if view.takes_between(index, change) > within:
                break
            words = f"at most {clock(within)} after {view.occurrences[index].label}"
            return Truth(OPEN), (Acceptance(change, "time", "", words, context.rule.id),)
        first, last = view.occurrences[index].finish, view.occurrences[change].finish
        if first is None or last is None:
            return Truth(UNKNOWN, (Cause("time", view.occurrences[change].label, "", change, why="not recorded"),)), ()
        if last - first <= within:
            return TRUE, ()
        break
    return failed, ()


def evidence(context: Context, truth: Truth) -> tuple[str, ...]:
    """The causes in words."""
    return tuple(dict.fromkeys(told(context, cause) for cause in truth.causes))


def told(context: Context, cause: Cause) -> str:
    """One cause in words."""
    side = f", side {cause.side}" if cause.side else ""
    match cause.kind:
        case "absent":
            return f"no {cause.what}{side}"
        case "fact":
            return f"the job does not say: {cause.what}{side}"
        case "reading":
            at = f" of {context.label(cause.at)}" if cause.at >= 0 else ""
            return f"{cause.what}{at} is not there{side}"
        case "lost" if cause.at >= 0:
            return f"not {_words(context, cause.what)} since {context.label(cause.at)}{side}"
        case "lost":
            return f"not yet {_words(context, cause.what)}{side}"
        case "swapped" if cause.at >= 0 and cause.by >= 0:
            return f"{context.label(cause.by)} comes only after {context.label(cause.at)}{side}"
        case "time":
            return f"no time: {cause.what}"
    return f"{cause.what}{side}"


def _words(context: Context, condition: str) -> str:
    state = context.view.book.conditions.get(condition)
    return condition if state is None else condition.replace("-", " ")

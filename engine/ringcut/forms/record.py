"""``record: readings of a``: a log has these readings of every a. A plan leaves them blank on the card."""

from __future__ import annotations

from ringcut.forms.instance import Context, Instance
from ringcut.language import ir
from ringcut.relations.truth import NO, TRUE, UNKNOWN, Cause, Truth


def judge(form: ir.Record, context: Context) -> list[Instance]:
    """One instance for each occurrence, side and reading; none in a plan. What is written and could not be read is not
    known to be missing."""
    if context.view.plan:
        return []
    found = [_one(context, index, side, name) for index, side in context.judged(form.of) for name in form.readings]
    return found or context.not_yet(form.of)


def _one(context: Context, index: int, side: str, name: str) -> Instance:
    view = context.view
    each = view.occurrences[index]
    sided = view.book.steps[each.step].readings[name].sided
    if (name, side) in each.readings or (name, "") in each.readings:
        return Instance(TRUE, index, side)
    unread = not each.unread.isdisjoint([(name, side), (name, "")])
    why = "unreadable" if unread else "not recorded"
    cause = Cause("reading", f"{each.step}.{name}", side if sided else "", index, why=why)
    level = UNKNOWN if unread or view.procedure.milestones else NO
    return Instance(
        Truth(level, (cause,)),
        index,
        side,
        f"no {name.replace('-', ' ')}",
        f"{name.replace('-', ' ')} written down",
    )

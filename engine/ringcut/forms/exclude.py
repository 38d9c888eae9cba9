"""``exclude: a after x before y``: no a in any window from just after an x to the next y."""

from __future__ import annotations

from ringcut.forms.instance import Context, Instance
from ringcut.language import ir
from ringcut.relations.truth import NO, TRUE, UNKNOWN, Cause, Truth


def judge(form: ir.Exclude, context: Context) -> list[Instance]:
    """One instance; the first a that may stand in a window is the finding."""
    view, order = context.view, context.order
    starts: list[int | None] = list(view.where(form.after)) if form.after else [None]
    closers = view.where(form.before) if form.before else []
    for index in view.where(form.what):
        for start in starts:
            if start is not None and (start == index or order.before(index, start)):
                continue
            closed = any(
                (start is None or order.before(start, y)) and order.before(y, index)
                for y in closers
                if not view.occurrences[y].optional
            )
            if not closed:
                cause = Cause("value", f"{view.occurrences[index].step} stands where it may not", "", index)
                before = [y for y in closers if order.before(y, index) and not view.occurrences[y].optional]
                path = (*before, *(() if start is None else (start,)), index)
                found, needed = view.occurrences[index].label, f"no {form.what.text} there"
                return [Instance(Truth(NO, (cause,)), index, "", found, needed, "", (), path)]
    if not view.procedure.finished and not closers:
        return [Instance(Truth(UNKNOWN, (Cause("time", "the log is not finished", why="not recorded"),)))]
    return [Instance(TRUE)]

"""``exclude: a after x before y``: no a in any window from just after an x to the next y."""

from __future__ import annotations

from ringcut.forms.instance import Context, Instance
from ringcut.language import ir
from ringcut.relations.truth import NO, TRUE, UNKNOWN, Cause, Truth


def judge(form: ir.Exclude, context: Context) -> list[Instance]:
    """One instance a side; the first a that may stand in a window is the finding."""
    return [_side(form, context, side) for side in context.all_sides()]


def _side(form: ir.Exclude, context: Context, side: str) -> Instance:
    view, order = context.view, context.order
    starts: list[int | None] = list(view.covering(view.where(form.after), side)) if form.after else [None]
    closers = view.covering(view.where(form.before), side) if form.before else []
    closers = [y for y in closers if not view.occurrences[y].optional]

    def shut(start: int | None, index: int | None) -> bool:
        behind = (y for y in closers if start is None or order.before(start, y))
        return any(index is None or order.before(y, index) for y in behind)

    for index in view.covering(view.where(form.what), side):
        for start in starts:
            if start is not None and (start == index or order.before(index, start)) or shut(start, index):
                continue
            cause = Cause("value", f"{view.occurrences[index].step} stands where it may not", side, index)
            path = (*(y for y in closers if order.before(y, index)), *(() if start is None else (start,)), index)
            found, needed = view.occurrences[index].label, f"no {form.what.spoken} there"
            return Instance(Truth(NO, (cause,)), index, side, found, needed, "", (), path)
    if not view.procedure.finished and not (starts and all(shut(start, None) for start in starts)):
        return Instance(Truth(UNKNOWN, (Cause("time", "the log is not finished", why="not recorded"),)), -1, side)
    return Instance(TRUE, -1, side)

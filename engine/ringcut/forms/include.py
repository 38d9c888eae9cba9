"""``include: a``: the procedure has it, once a side where the step is per side, as often as ``count`` says."""

from __future__ import annotations

from ringcut.forms.instance import Context, Instance
from ringcut.language import ir
from ringcut.relations.truth import NO, TRUE, UNKNOWN, Cause, Truth

ORDINALS = ("first", "second", "third", "fourth", "fifth")


def often(count: int) -> str:
    """How often, in words."""
    return {1: "once", 2: "twice"}.get(count, f"{count} times")


def judge(form: ir.Include, context: Context) -> list[Instance]:
    """One instance a side; optional steps of a plan do not count."""
    return [_side(form, context, side) for side in context.all_sides()]


def _side(form: ir.Include, context: Context, side: str) -> Instance:
    view = context.view
    found = [i for i in view.covering(view.where(form.what), side) if not view.occurrences[i].optional]
    count = len(found)
    if form.most is not None and count > form.most:
        cause = Cause("value", f"{form.what.text} {often(count)}", side, found[-1])
        told = f"{form.what.text} {often(count)}"
        return Instance(Truth(NO, (cause,)), found[-1], side, told, f"at most {often(form.most)}")
    if count >= form.least:
        return Instance(TRUE, found[0] if found else -1, side)
    truth = context.absent(form.what, side)
    if count:
        next_one = f"{ORDINALS[count] if count < len(ORDINALS) else 'further'} {form.what.text}"
        truth = Truth(truth.level, tuple(cause._replace(what=next_one) for cause in truth.causes))
    if not view.procedure.finished:
        truth = Truth(UNKNOWN, truth.causes)
    needed = form.what.text if form.least == 1 else f"{form.what.text} {often(form.least)}"
    said = view.status_of(form.what.names, side)
    told = (
        f"{form.what.text} is {' and '.join(sorted(said))}"
        if said
        else f"{form.what.text} {often(count)}"
        if count
        else f"no {form.what.text}"
    )
    return Instance(truth, -1, side, told, needed)

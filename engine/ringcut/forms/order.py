"""``order: [a, b?, c]``: every b has an a before it, every c a b.

A link marked ``?`` is skipped where it does not occur.
"""

from __future__ import annotations

from ringcut.forms.instance import Context, Instance
from ringcut.language import ir
from ringcut.relations.truth import NO, TRUE, Cause, Truth


def judge(form: ir.Order, context: Context) -> list[Instance]:
    """One instance for each later link's occurrence on each side."""
    found: list[Instance] = []
    for side in context.all_sides():
        earlier: ir.StepSet | None = None
        for link in form.links:
            here = [index for index, each in context.judged(link) if each == side]
            if not here and link.optional:
                continue
            if not here and earlier is not None:
                found += context.not_yet(link, side)
            if earlier is not None:
                found += [_link(earlier, index, side, context) for index in here]
            earlier = link
    return found


def _link(earlier: ir.StepSet, index: int, side: str, context: Context) -> Instance:
    view = context.view
    firsts = view.covering(view.where(earlier), side)
    if any(context.order.before(i, index) and not view.occurrences[i].optional for i in firsts):
        return Instance(TRUE, index, side)
    needed = f"{earlier.text} before {view.occurrences[index].label}"
    if not firsts:
        return Instance(context.absent(earlier, side, index), index, side, f"no {earlier.text}", needed)
    first = next((i for i in firsts if not context.order.before(i, index)), None)
    if first is None:
        absent = Truth(NO, (Cause("absent", earlier.text, side, index, -1, "not recorded", earlier.names, index),))
        told = f"{view.occurrences[firsts[0]].label} may be left out"
        return Instance(absent, index, side, told, needed, "", (told,), (index,))
    swapped = Truth(NO, (Cause("swapped", earlier.text, side, index, first, "", earlier.names, index),))
    evidence = (f"{context.label(index)} is not after {context.label(first)}",)
    found = f"{view.occurrences[index].label} before {view.occurrences[first].label}"
    return Instance(swapped, index, side, found, needed, "", evidence, (index, first))

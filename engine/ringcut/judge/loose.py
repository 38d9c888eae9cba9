"""Steps of a plan that have lost their place: ``after`` elsewhere has left them before nothing.

What such a step breaks, it breaks because it may come at any time. Which findings these are is asked of the judgement
itself: of the same plan with the step tied to the one that is listed below it.
"""

from __future__ import annotations

from collections.abc import Iterator

import msgspec

from ringcut.relations.order import Cycle, plan_order
from ringcut.relations.procedure import Procedure

MOST_LOOSE = 3
"""Steps without a place that are looked at one by one; of more, each finding is told for itself."""


def tied(procedure: Procedure) -> Iterator[tuple[str, Procedure]]:
    """What is to be said of each step that comes before nothing, and the plan in which it comes before the next."""
    if not procedure.plan:
        return
    earlier = {first for first, _ in procedure.edges}
    lost: dict[int, list[tuple[int, int]]] = {}
    for step, below in zip(procedure.displaced, procedure.displacing, strict=True):
        if step not in earlier:
            lost.setdefault(step, []).append((step, below))
    for step, ties in lost.items() if len(lost) <= MOST_LOOSE else ():
        edges = [*procedure.edges, *ties]
        try:
            plan_order(len(procedure.occurrences), edges)
        except Cycle:
            continue
        each = procedure.occurrences[step]
        label = f"{each.label} (line {each.place.line})" if each.place.line else each.label
        words = f"{label} comes before nothing, so that it may come at any time: say what it comes before"
        yield words, msgspec.structs.replace(procedure, edges=edges)

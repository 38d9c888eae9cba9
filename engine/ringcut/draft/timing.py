"""How long a plan takes by usual durations, and what that means for the open sheath and the air."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

import msgspec

from ringcut.fit.network import critical_path
from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.relations.procedure import Procedure
from ringcut.relations.view import View

if TYPE_CHECKING:
    from networkx import DiGraph

OPEN_SHEATH, AIR_BACK = "sheath-open", "pressure-restored"
"""The conditions whose times people ask for."""
OLD = {"strip-old-tape": "the old auxiliary", "slit-old-sleeve": "the old sleeve"}
"""What is opened by a step that leaves the sheath as it is."""


class Times(msgspec.Struct, frozen=True, rename="kebab"):
    """All in seconds from the first step on, by usual durations (house values); None where a plan has no such step."""

    whole: Fraction
    critical: tuple[str, ...]
    """Labels of the steps of one longest path; the whole takes longer if any of them does."""
    sheath_open: Fraction | None = None
    """From the beginning of the first step that opens the sheath to the end of the one that closes it."""
    pressure_back: Fraction | None = None
    """The earliest beginning of the step that lets the air back in."""
    opened: str = "the sheath"
    """What that step opens, in words."""
    without_duration: tuple[str, ...] = ()
    """Steps for which the vocabulary has no usual duration: counted as taking none."""


def times_of(procedure: Procedure, book: ir.Rulebook) -> Times:
    """The critical path of a plan and the times that hang on it."""
    view = View(procedure, book)
    graph = _graph(view)
    durations = {str(i): view.takes(i) for i in range(len(view.occurrences))}
    schedule = critical_path(graph, durations)
    unknown = [each.label for each in view.occurrences if book.steps[each.step].takes is None]
    back = _makers(view, AIR_BACK, True)
    opened = [view.occurrences[i].step for i in _makers(view, OPEN_SHEATH, True)]
    return Times(
        whole=schedule.duration,
        critical=tuple(view.occurrences[int(name)].label for name in schedule.critical),
        sheath_open=_open_for(view),
        pressure_back=min((schedule.times[str(i)].earliest_start for i in back), default=None),
        opened=OLD.get(opened[0], "the sheath") if opened else "the sheath",
        without_duration=tuple(dict.fromkeys(unknown)),
    )


def _graph(view: View) -> DiGraph[str]:
    from networkx import DiGraph

    graph: DiGraph[str] = DiGraph()
    graph.add_nodes_from(str(i) for i in view.order.line)
    graph.add_edges_from((str(a), str(b)) for a, b in view.procedure.edges)
    return graph


def _open_for(view: View) -> Fraction | None:
    openers, closers = _makers(view, OPEN_SHEATH, True), _makers(view, OPEN_SHEATH, False)
    pairs = [(a, b) for a in openers[:1] for b in closers if view.order.before(a, b)]
    if not pairs:
        return None
    a, b = pairs[0]
    return view.takes(a) + view.takes_between(a, b) + view.takes(b)


def _makers(view: View, condition: str, wanted: bool) -> list[int]:
    """The steps that make a condition, or end it, in a line that respects the order."""
    found = []
    for index in view.order.line:
        effects = view.book.steps[view.occurrences[index].step].effects
        if any(e.condition == condition and e.to == n.Fixed(wanted) for e in effects):
            found.append(index)
    return found

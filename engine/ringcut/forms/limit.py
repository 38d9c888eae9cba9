"""``limit: e``: an expression over readings holds, judged once for each occurrence of its anchor.

The readings of the anchor are its own; of another step that is done again the latest (before the anchor, where the
rule itself names the anchor with ``of`` and one came before); of a step that stands each time the latest before the
anchor.
Where the latest differs by order, the worst counts.
"""

from __future__ import annotations

from itertools import islice, product

from ringcut.forms.accepting import acceptances
from ringcut.forms.instance import Acceptance, Context, Instance, latest
from ringcut.forms.need import evidence
from ringcut.forms.telling import failing, looked_at
from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.relations.conformity import PROBABILITY
from ringcut.relations.evaluate import truth
from ringcut.relations.truth import NO, OPEN, UNKNOWN, Cause, Truth
from ringcut.relations.view import Bound

MOST_BINDINGS = 1000
"""Combinations of candidates looked at before a limit gives up as unknown."""


def judge(form: ir.Limit, context: Context) -> list[Instance]:
    """One instance for each anchor on each side."""
    if form.of.moment == ir.START:
        return [_anchor(form, context, None, side) for side in context.all_sides()]
    found = [_anchor(form, context, index, side) for index, side in context.judged(form.of)]
    return found or context.not_yet(form.of)


def _anchor(form: ir.Limit, context: Context, index: int | None, side: str) -> Instance:
    view = context.view
    asked = doings_meant(form, context, index, side)
    ways = islice(product(*(found for _, found in asked)), MOST_BINDINGS + 1)
    worst: Instance | None = None
    for count, way in enumerate(ways):
        if count == MOST_BINDINGS:
            cause = Cause("search", "too many orders", side, -1 if index is None else index, why="not covered")
            return Instance(Truth(UNKNOWN, (cause,)), -1 if index is None else index, side)
        env = Bound(view, {key: chosen for (key, _), chosen in zip(asked, way, strict=True)})
        instance = _judged(form, context, env, index, side)
        if worst is None or instance.truth.level > worst.truth.level:
            worst = instance
    assert worst is not None
    return worst


def _judged(form: ir.Limit, context: Context, env: Bound, index: int | None, side: str) -> Instance:
    at = -1 if index is None else index
    found = truth(form.what, env, side)
    if found.level == NO and form.unclear is not None and truth(form.unclear, env, side).level != NO:
        found = Truth(
            UNKNOWN,
            (Cause("value", "the reading is not clear enough to fail on", side, at, why="unreadable"),),
        )
    if found.level in (NO, UNKNOWN):
        told, needed, margin = failing(form.what, env, side)
        likely = [cause.what for cause in found.causes if found.level == NO and cause.what.startswith(PROBABILITY)]
        causes = (
            found.causes
            if found.level == UNKNOWN and found.causes
            else (Cause("value", context.rule.id, side, at, readings=_compared(form.what, env, side)),)
        )
        causes = tuple(cause._replace(at=at) if cause.kind == "value" else cause for cause in causes)
        found = Truth(found.level, causes)
        seen = (*likely, *looked_at(form.what, env, side))
        if found.level == UNKNOWN:
            seen = (*evidence(context, found), *seen)
        return Instance(found, at, side, told, needed, margin, seen)
    accepts: tuple[Acceptance, ...] = ()
    if found.level == OPEN:
        accepts = tuple(acceptances(form.what, env, side, context.rule))
    return Instance(found, at, side, accepts=accepts)


def _compared(what: n.Node, env: Bound, side: str) -> tuple[tuple[int, str, str], ...]:
    """The readings that an expression compares, each with its occurrence and, where they differ by side, its side."""
    found: dict[tuple[int, str, str], None] = {}
    for node in n.walk(what):
        if isinstance(node, n.Reading):
            index = env.chosen.get((node.step, side), env.chosen.get((node.step, "")))
            if index is not None:
                sided = (node.name, side) in env.view.occurrences[index].readings
                found[index, node.name, side if sided else ""] = None
    return tuple(found)


def doings_meant(
    form: ir.Limit, context: Context, index: int | None, side: str
) -> list[tuple[tuple[str, str], list[int | None]]]:
    """Each (step, side) whose reading the expression looks at, with the occurrences that may be meant.

    ``index`` is the anchor, None where the limit is judged once. None among the occurrences: in some order there is
    none.
    """
    view = context.view
    nodes = n.walk(form.what) + (n.walk(form.unclear) if form.unclear is not None else [])
    steps = dict.fromkeys(node.step for node in nodes if isinstance(node, n.Reading))
    joined = any(isinstance(node, n.Call) and node.name in ("both", "least", "greatest") for node in nodes)
    sides = tuple(dict.fromkeys((side, *view.sides))) if joined else (side,)
    asked: list[tuple[tuple[str, str], list[int | None]]] = []
    for step in steps:
        for each in sides:
            own = index is not None and view.occurrences[index].step == step
            if own and (not each or each in view.occurrences[index or 0].sides):
                asked.append(((step, each), [index]))
            else:
                asked.append(((step, each), _candidates(form, context, step, each, index)))
    return asked


def _candidates(form: ir.Limit, context: Context, step: str, side: str, index: int | None) -> list[int | None]:
    """The occurrences that may be meant, in some order; None where in some order there is none."""
    view, order = context.view, context.order
    here = view.covering(view.where((step,)), side)
    each_use = view.book.steps[step].again == "another"
    if index is None or not (each_use or form.use):
        return _or_none(context, latest(context, here), here)
    before = [i for i in latest(context, here, index) if not order.before(index, i)]
    if any(order.before(i, index) and not view.occurrences[i].optional for i in here):
        return list(before)
    if each_use:
        return [*before, None]
    return [*before, *(i for i in _or_none(context, latest(context, here), here) if i not in before)]


def _or_none(context: Context, found: list[int], here: list[int]) -> list[int | None]:
    certain = any(not context.view.occurrences[i].optional for i in here)
    return [*found] if certain else [*found, None]

"""Which values of readings that only the doing gives would keep a limit, each told where it is read.

A limit on one such reading is solved for it. A limit on several is told at the one that is read last, because only
there can it be judged.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import NamedTuple

from ringcut.forms.instance import Acceptance
from ringcut.forms.telling import WIRE, WORDS, name_of, unit_of
from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.reading.measures import show, show_span
from ringcut.relations import spans as s
from ringcut.relations.evaluate import truth, value
from ringcut.relations.truth import OPEN
from ringcut.relations.view import Bound


def acceptances(node: n.Node, env: Bound, side: str, rule: ir.Rule) -> Iterator[Acceptance]:
    """The values of open readings for which an expression holds."""
    match node:
        case n.And((n.Compare() as low, n.Compare() as high)) if low.right == high.left:
            yield from _between(low, high, env, side, rule)
        case n.And(items) | n.Or(items):
            for item in items:
                if truth(item, env, side).level == OPEN:
                    yield from acceptances(item, env, side, rule)
        case n.Is(n.Reading() as asked, choices):
            yield from _accept(asked, env, side, " or ".join(choices), rule)
        case n.Not(n.Is(n.Reading() as asked, choices)):
            yield from _accept(asked, env, side, "not " + " or ".join(choices), rule)
        case n.Compare():
            yield from _compared(node, env, side, rule)


def _between(low: n.Compare, high: n.Compare, env: Bound, side: str, rule: ir.Rule) -> Iterator[Acceptance]:
    """``a <= x <= b``: both ends in one, where both can be solved for one reading."""
    one, two = _alone(low, env, side), _alone(high, env, side)
    if one is None or two is None or (one.op[0], two.op[0]) != (">", "<"):
        for each in (low, high):
            if truth(each, env, side).level == OPEN:
                yield from _compared(each, env, side, rule)
        return
    words = show_span(one.edge, two.edge, one.op == ">", two.op == "<", one.kind, one.unit)
    yield from _accept(one.asked, env, side, words, rule)


def _compared(node: n.Compare, env: Bound, side: str, rule: ir.Rule) -> Iterator[Acceptance]:
    alone = _alone(node, env, side)
    if alone is not None:
        words = (WIRE if alone.kind == "wire-size" else WORDS)[alone.op]
        yield from _accept(alone.asked, env, side, f"{words} {show(alone.edge, alone.kind, alone.unit)}", rule)
        return
    match node:
        case n.Compare(op, n.Reading() as asked, n.Reading() as other) if asked.step == other.step:
            yield from _accept(asked, env, side, f"{WORDS[op]} the {name_of(other)}", rule)
            return
    for asked in sorted(_opened(node, env, side), key=lambda each: _when(each, env, side))[-1:]:
        yield from _accept(asked, env, side, rule.says.rstrip("."), rule)


class _Alone(NamedTuple):
    """One open reading compared with a number."""

    asked: n.Reading
    op: str
    edge: Fraction
    kind: str
    unit: str


def _alone(node: n.Compare, env: Bound, side: str) -> _Alone | None:
    """A comparison solved for the only open reading in it; None where there are more, or it is no sum or product."""
    opened = _opened(node, env, side)
    if len(opened) != 1 or _is_total(opened[0], env):
        return None
    asked = opened[0]
    word = env.view.book.steps[asked.step].readings[asked.name]
    unit = unit_of(node, asked, env) if word.kind == node.kind else word.unit
    for expr, op, other in ((node.left, node.op, node.right), (node.right, n.FLIPPED[node.op], node.left)):
        solved = _solved(expr, op, value(other, env, side), asked, env, side)
        if solved is not None:
            now, target = solved
            # of a range the end at which the limit certainly holds
            edge = target.low if now[0] == "<" else target.high
            if edge is not None and (target.exact or now[0] in "<>"):
                return _Alone(asked, now, edge, word.kind, unit)
    return None


def _opened(node: n.Node, env: Bound, side: str) -> list[n.Reading]:
    """The open readings in an expression, each as often as it stands there."""
    return [each for each in n.walk(node) if isinstance(each, n.Reading) and _is_open(each, env, side)]


def _solved(
    expr: n.Node, op: str, target: s.Value, asked: n.Reading, env: Bound, side: str
) -> tuple[str, s.Span] | None:
    """The operator and the number that compare the asked reading itself; None where the limit is no sum or product."""
    if not isinstance(target, s.Span) or target.free:
        return None
    if expr == asked:
        return op, target
    if not isinstance(expr, n.Arithmetic):
        return None
    on_left = asked in n.walk(expr.left)
    inner, rest = (expr.left, expr.right) if on_left else (expr.right, expr.left)
    known = value(rest, env, side)
    if asked not in n.walk(inner) or not isinstance(known, s.Span):
        return None
    match expr.op, on_left:
        case "+", _:
            moved = s.plus(target, s.negative(known))
        case "-", True:
            moved = s.plus(target, known)
        case "-", False:
            op, moved = n.FLIPPED[op], s.plus(known, s.negative(target))
        case ("*", _) | ("/", True) if known.low is not None and known.low > 0:
            factor = s.inverse(known) if expr.op == "*" else known
            if factor is None:
                return None
            moved = s.times(target, factor)
        case _:
            return None
    return _solved(inner, op, moved, asked, env, side)


def _when(node: n.Reading, env: Bound, side: str) -> tuple[int, int]:
    """Where a reading is taken: the place of its step in the plan, and its own among the readings of the step."""
    index = _doing(node, env, side)
    names = list(env.view.book.steps[node.step].readings)
    return (-1 if index is None else env.view.order.rank[index]), names.index(node.name)


def _doing(node: n.Reading, env: Bound, side: str) -> int | None:
    index = env.chosen.get((node.step, side), env.chosen.get((node.step, "")))
    if index is not None:
        return index
    return next((i for (step, _), i in env.chosen.items() if step == node.step and i is not None), None)


def _is_total(node: n.Reading, env: Bound) -> bool:
    """Whether a reading stands for the sum over several doings."""
    return env.view.book.steps[node.step].again == "adds" and len(env.view.by_step[node.step]) > 1


def _is_open(node: n.Reading, env: Bound, side: str) -> bool:
    found = value(node, env, side)
    return isinstance(found, s.Span | s.Words) and found.free


def _accept(node: n.Reading, env: Bound, side: str, words: str, rule: ir.Rule) -> Iterator[Acceptance]:
    index = _doing(node, env, side)
    if index is not None:
        sided = env.view.book.steps[node.step].readings[node.name].sided
        yield Acceptance(index, node.name, side if sided else "", words, rule.id)

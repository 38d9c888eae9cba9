"""What is still to be measured when a plan is done, with the values that conform."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import msgspec

from ringcut.forms.instance import Acceptance
from ringcut.judge.findings import ToMeasure
from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.relations.accepting import Wanted, accepted, guards_of, wanted_by
from ringcut.relations.evaluate import truth
from ringcut.relations.truth import NO, YES, Cause
from ringcut.relations.view import Bound, View

Broken = tuple[View, int, Cause]
"""A cause of what is broken, with the occurrence at which it is judged."""


class _Row(msgspec.Struct):
    """What is told of one reading of one doing, and by which rules."""

    told: list[str] = []
    rules: list[str] = []

    def add(self, words: str, rules: Sequence[str]) -> None:
        """More of it, each once."""
        for values, into in (((words,), self.told), (rules, self.rules)):
            into += [value for value in values if value not in into]


def to_measure(
    views: Sequence[View],
    accepts: Sequence[tuple[View, Acceptance]],
    rules: Sequence[ir.Rule],
    broken: Sequence[Broken] = (),
) -> tuple[ToMeasure, ...]:
    """Every open reading of a plan with a limit or a guard on it, and every time limit, in the order of the plan.

    ``rules``: those that apply; a guard is told where one of them waits for its condition. ``broken``: a time
    limit between two steps that are in the wrong order is not told.
    """
    rows: dict[tuple[int, int, str, str], _Row] = {}
    for number, view in enumerate(views):
        wanted = wanted_by(rules, view.book)
        for each in view.occurrences:
            for name, (words, ids) in _by_guards(view, each.index, wanted).items():
                rows.setdefault((number, each.index, name, ""), _Row()).add(words, ids)
    for view, accept in accepts:
        if not _pointless(accept, view, broken):
            key = (views.index(view), accept.index, accept.what, accept.side)
            rows.setdefault(key, _Row()).add(accept.words, (accept.rule,))
    found: dict[tuple[object, ...], ToMeasure] = {}
    for key in sorted(rows, key=lambda key: (key[0], views[key[0]].order.rank[key[1]], *key[2:])):
        number, index, name, side = key
        each, row = views[number].occurrences[index], rows[key]
        line = ToMeasure(each.label, each.place.line, name, side, "; ".join(row.told), tuple(row.rules), each.closure)
        found[line.line, line.step, line.reading, line.side, line.conforms_when] = line
    return tuple(found.values())


def _by_guards(view: View, index: int, wanted: Wanted) -> dict[str, tuple[str, Sequence[str]]]:
    """Reading -> the values that its step's guards ask for at one doing, in words, and the rules that wait for them."""
    step = view.book.steps[view.occurrences[index].step]
    env = Bound(view, {(step.name, ""): index})

    def settled(node: n.Node) -> bool | None:
        level = truth(node, env, "").level
        return level == YES if level in (YES, NO) else None

    guards = [
        (guard, rules)
        for effect, guard, rules in guards_of(step, wanted)
        if effect.where is None or settled(effect.where) is not False
    ]
    told = accepted([guard for guard, _ in guards], step.readings, settled) if guards else {}
    found: dict[str, tuple[str, Sequence[str]]] = {}
    for name, words in told.items():
        if not step.readings[name].planned:
            asking = [rule for guard, rules in guards if n.Reading(step.name, name) in n.walk(guard) for rule in rules]
            found[name] = words, tuple(dict.fromkeys(asking))
    return found


def _pointless(accept: Acceptance, view: View, broken: Iterable[Broken]) -> bool:
    """Whether a time limit counts from a step that, by what is broken, had to wait for the one it is told at."""
    if accept.since < 0:
        return False
    step = view.occurrences[accept.index].step
    return any(
        where is view
        and at == accept.since
        and cause.kind in ("swapped", "lost")
        and (cause.by == accept.index or cause.by == at and step in cause.others)
        for where, at, cause in broken
    )

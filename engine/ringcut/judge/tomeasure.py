"""What is still to be measured when a plan is done, with the values that conform."""

from __future__ import annotations

from ringcut.forms.instance import Acceptance
from ringcut.judge.findings import ToMeasure
from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.relations.accepting import accepted_by_guard
from ringcut.relations.view import View


def to_measure(views: list[View], accepts: list[tuple[View, Acceptance]]) -> tuple[ToMeasure, ...]:
    """Every open reading of a plan with a limit or a guard on it, and every time limit, in the order of the plan."""
    rows: dict[tuple[int, int, str, str], tuple[View, list[str], list[str]]] = {}
    rules_on: dict[str, list[str]] = {}
    accepted: dict[tuple[str, str], str] = {}
    for number, view in enumerate(views):
        for each in view.occurrences:
            for name, word in view.book.steps[each.step].readings.items():
                if word.planned:
                    continue
                if (each.step, name) not in accepted:
                    accepted[each.step, name] = accepted_by_guard(view.book.steps[each.step], word)
                words = accepted[each.step, name]
                if words:
                    if each.step not in rules_on:
                        rules_on[each.step] = _rules_on(view.book, each.step)
                    rows[number, each.index, name, ""] = (view, [words], list(rules_on[each.step]))
    for view, accept in accepts:
        number = views.index(view)
        row = rows.setdefault((number, accept.index, accept.what, accept.side), (view, [], []))
        for value, into in ((accept.words, row[1]), (accept.rule, row[2])):
            if value not in into:
                into.append(value)
    found: dict[tuple[object, ...], ToMeasure] = {}
    for (_, index, name, side), (view, told, rules) in sorted(
        rows.items(),
        key=lambda item: (item[0][0], view_rank(views[item[0][0]], item[0][1]), item[0][2], item[0][3]),
    ):
        each = view.occurrences[index]
        line = ToMeasure(each.label, each.place.line, name, side, "; ".join(told), tuple(rules), each.closure)
        found[line.line, line.step, line.reading, line.side, line.conforms_when] = line
    return tuple(found.values())


def view_rank(view: View, index: int) -> int:
    """Where an occurrence stands in the line."""
    return view.order.rank[index]


def _rules_on(book: ir.Rulebook, step: str) -> list[str]:
    set_by_reading = {effect.condition for effect in book.steps[step].effects if not isinstance(effect.to, n.Fixed)}
    found = []
    for rule in book.rules:
        form = rule.form
        node = form.implied if isinstance(form, ir.Keep) else form.what if isinstance(form, ir.Need) else None
        node = form.during if isinstance(form, ir.Repeat) else node
        names = {each.name for each in n.walk(node) if isinstance(each, n.Condition)} if node is not None else set()
        if names & set_by_reading:
            found.append(rule.id)
    return found

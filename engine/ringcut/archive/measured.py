"""The limits that a log keeps, with their numbers: what was read as which reading, and what was worked out from it.

A reviewer who asks whether ``5 / 5 / 1`` was understood, or how far a pressure fell once temperature is taken out of
it, finds the answer here; a finding alone never says what is right.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

import msgspec

from ringcut.archive.results import Measured
from ringcut.archive.uncertain import chance
from ringcut.forms.instance import Context
from ringcut.forms.limit import doings_meant
from ringcut.forms.telling import failing, name_of, worked_out
from ringcut.judge.findings import CONFORMS, Report
from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.reading.problems import Place
from ringcut.relations.conditions import Conditions
from ringcut.relations.conformity import PROBABILITY, percent
from ringcut.relations.evaluate import truth
from ringcut.relations.procedure import Procedure
from ringcut.relations.truth import NO, YES
from ringcut.relations.view import Bound, View

_LONG = re.compile(r"-?\d+\.\d{3,}")


def measured_of(procedure: Procedure, book: ir.Rulebook, report: Report) -> tuple[Measured, ...]:
    """By row. Only rules that conform as a whole: where one side fails, the finding has the numbers."""
    kept = {each.rule for each in report.rules if each.verdict == CONFORMS}
    rules = [rule for rule in book.rules if rule.id in kept and isinstance(rule.form, ir.Limit)]
    found: dict[Measured, None] = {}
    for closure in procedure.closures if rules else ():
        view = View(procedure, book, closure)
        conditions = Conditions(view)
        for rule in rules:
            found |= dict.fromkeys(_of_rule(rule, Context(rule, view, conditions)))
    return tuple(sorted(_both(found, procedure.sides), key=lambda each: (each.line, each.letter, each.rule, each.side)))


def _both(found: Iterable[Measured], sides: tuple[str, ...]) -> Iterator[Measured]:
    """What one cell says of all sides stands once, without a side."""
    same: dict[Measured, list[Measured]] = {}
    for each in found:
        same.setdefault(msgspec.structs.replace(each, side=""), []).append(each)
    for whole, parts in same.items():
        yield from [whole] if {each.side for each in parts} == set(sides) else parts


def _of_rule(rule: ir.Rule, context: Context) -> Iterator[Measured]:
    form, view = rule.form, context.view
    if not isinstance(form, ir.Limit) or form.of.moment == ir.START:
        return
    for index, side in context.judged(form.of):
        if rule.when is not None and truth(rule.when, view, side).level == NO:
            continue
        asked = doings_meant(form, context, index, side)
        env = Bound(view, {key: ways[0] for key, ways in asked if ways})
        if any(len(ways) != 1 for _, ways in asked) or truth(form.what, env, side).level != YES:
            continue
        told, needed, _ = failing(form.what, env, side)
        if told and _was_read(form.what, context, index):
            value, computed = _value(form.what, told)
            place = _place(form.what, context, index, side)
            likely = chance(form.what, env, side)
            if likely and likely.names:
                needed += f"; {PROBABILITY} {percent(likely.likely, view.level)}"
            yield Measured(rule.id, place.line, place.letter, side, value, needed, computed)


def _was_read(what: n.Node, context: Context, index: int) -> bool:
    """Whether the row itself has a reading that the limit looks at; what is taken as given shows nothing."""
    each = context.view.occurrences[index]
    names = {name for name, _ in each.texts}
    return any(isinstance(node, n.Reading) and node.step == each.step and node.name in names for node in n.walk(what))


def _value(what: n.Node, told: str) -> tuple[str, bool]:
    """What was found, and whether it was worked out; a formula is not spelled out, its rule names it."""
    for each in n.walk(what):
        for side in (each.left, each.right) if isinstance(each, n.Compare) else ():
            name = "worked out" if worked_out(side) else name_of(side)
            if not isinstance(side, n.Reading | n.FirstOf | n.Fact | n.Const) and told.startswith(f"{name} "):
                return _rounded(told.removeprefix(f"{name} ")), True
    return told, False


def _rounded(text: str) -> str:
    """A computed number with the two decimals that readings with one bear, where that leaves anything of it."""
    number, blank, unit = text.partition(" ")
    if not _LONG.fullmatch(number) or not float(f"{float(number):.2f}"):
        return text
    return f"{float(number):.2f}{blank}{unit}"


def _place(what: n.Node, context: Context, index: int, side: str) -> Place:
    each = context.view.occurrences[index]
    own = [node.name for node in n.walk(what) if isinstance(node, n.Reading) and node.step == each.step]
    for key in ((name, at) for name in own for at in (side, "")):
        if key in each.texts:
            return each.texts[key][1]
    return each.place

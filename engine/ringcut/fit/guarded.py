"""Readings that must make a condition true and keep limits too: the guard of a condition as one more demand.

Where a plan keeps a need only if some doing of a step reads well ("oxygen from 19.5 to 23.5 %"), that doing must
meet the limits on the same readings as well. If no doing of the step could do both, the plan cannot be carried out.
"""

from __future__ import annotations

from collections.abc import Iterator

import msgspec

from ringcut.fit.answers import Budget, NoSolution
from ringcut.fit.binding import Bound, Opened
from ringcut.fit.bindinglimits import Translation, Trial
from ringcut.fit.nochoice import no_choice
from ringcut.fit.openparts import Part
from ringcut.fit.problem import Constraint, Label
from ringcut.fit.solve import first
from ringcut.judge.findings import CONFORMS, Finding, Report
from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.relations.accepting import accepted


def against_guards(report: Report, opened: Opened, budget: Budget) -> Iterator[Finding | None]:
    """The findings of needs whose every maker is held off by limits; ``opened`` excludes only what breaks a limit."""
    keeps = {each.rule for each in report.rules if each.verdict == CONFORMS}
    for rule in opened.view.book.rules:
        if isinstance(rule.form, ir.Need) and rule.id in keeps:
            for condition in _wanted(rule.form.what):
                found = _held_off(report, opened, rule, condition, budget)
                if found is not None:
                    yield found
                    break


def _wanted(node: n.Node) -> Iterator[str]:
    if isinstance(node, n.Condition):
        yield node.name
    elif isinstance(node, n.And):
        for item in node.items:
            yield from _wanted(item)


def _held_off(report: Report, opened: Opened, rule: ir.Rule, condition: str, budget: Budget) -> Finding | None:
    view = opened.view
    word = view.book.conditions[condition]
    if word.means is not None or not (isinstance(word.at_start, n.Fixed) and not word.at_start.value):
        return None
    makers = {
        each.index: effect
        for each in view.occurrences
        for effect in view.book.steps[each.step].effects
        if effect.condition == condition and not (isinstance(effect.to, n.Fixed) and not effect.to.value)
    }
    if any(isinstance(effect.to, n.Fixed) for effect in makers.values()):
        return None
    steps = {view.occurrences[index].step for index in makers}
    if any(view.book.steps[step].readings[name].sided for step in steps for name in guard_readings(view.book, step)):
        return None  # one side may do without the other
    last: tuple[Part, NoSolution] | None = None
    for index, effect in makers.items():
        part = _with_guard(opened, rule, index, effect)
        answer = first(part.problem(), budget) if part is not None else None
        if part is None or not isinstance(answer, NoSolution) or rule.id not in {each.id for each in answer.conflict}:
            return None
        last = part, answer
    found = no_choice(report, *last) if last else None
    if found is None:
        return None
    words: dict[str, str] = {}
    for index, effect in makers.items():
        words |= accepted([effect.to], view.book.steps[view.occurrences[index].step].readings)
    wanted = " and ".join(f"{name.replace('-', ' ')} {told}" for name, told in words.items())
    told = f"{found.found}; {condition.replace('-', ' ')} wants {wanted}"
    return msgspec.structs.replace(found, found=told, message=f"{told}; needed: {found.needed}", cause=told)


def guard_readings(book: ir.Rulebook, step: str) -> set[str]:
    """The readings of a step that decide whether it makes some condition true."""
    nodes = [node for effect in book.steps[step].effects for node in n.walk(effect.to)]
    return {node.name for node in nodes if isinstance(node, n.Reading) and node.step == step}


def _with_guard(opened: Opened, rule: ir.Rule, index: int, effect: ir.Effect) -> Part | None:
    """The limits on the readings of one doing, and the guard on them; None where no limit looks at those."""
    view = opened.view
    step = view.occurrences[index].step
    env = Trial(view, {(step, ""): index}, {})
    label = Label(rule.id, rule.says)
    guard: list[Constraint] = list(Translation(env, "", opened.domains, label, lenient=True).constraints(effect.to))
    if not guard:
        return None
    names = {name for each in guard for name in each.scope}
    limits = [each for each in opened.constraints if set(each.scope) <= names]
    readings = tuple(where for where in opened.domains if where.name in names)
    bound = {**opened.bound, rule.id: [Bound(rule, env, "", effect.to)]}
    return Part(msgspec.structs.replace(opened, bound=bound), readings, (*limits, *guard))

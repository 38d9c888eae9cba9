"""Limits of time that a plan cannot keep together, though each could be kept for itself.

"At least 30 min from a to b" and "at most 20 min from a to c" are against each other where b comes before c. The
times of the steps in such limits, what is necessarily before what, and what the steps between usually take make a
simple temporal network; a negative cycle of it is a minimal conflict.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import permutations

import msgspec

from ringcut.fit.network import Between, minimal_network
from ringcut.fit.nochoice import finding
from ringcut.fit.problem import Label
from ringcut.forms.instance import Context, clock, latest
from ringcut.judge.findings import CLASSES, NONCONFORMING, Finding, Report
from ringcut.language import ir
from ringcut.relations.conditions import Conditions
from ringcut.relations.evaluate import truth
from ringcut.relations.truth import YES
from ringcut.relations.view import View

USUAL = "usual durations"


class Limit(msgspec.Struct, frozen=True):
    """A limit of time between the finish of one entry and the begin of another, by index."""

    rule: ir.Rule
    form: ir.Elapsed
    start: int
    end: int


def no_times(report: Report, view: View) -> Finding | None:
    """The finding of limits of time that exclude each other; None where there are none.

    Only limits count that hold in every order of the plan, between two entries that are certain.
    """
    against, words = _against(view)
    broken = {each.rule for each in report.rules if each.verdict == NONCONFORMING}
    if not against or any(each.rule.id in broken for each in against):
        return None
    members = list({each.rule.id: each.rule for each in against}.values())
    head = min(members, key=lambda rule: CLASSES.index(rule.class_))
    entries = [view.occurrences[index] for each in against for index in (each.start, each.end)]
    needed = f"times that keep {', '.join(rule.id for rule in members)}{' together' if len(members) > 1 else ''}"
    found = f"no times fit: {'; '.join(dict.fromkeys(words))}"
    entries.sort(key=lambda each: view.order.rank[each.index])
    return finding(report, view.closure, entries, head, members, NONCONFORMING, found, needed)


def times_exclude(view: View) -> bool:
    """Whether limits of time exclude each other, or one of them what the steps usually take."""
    return bool(_against(view)[0])


def _against(view: View) -> tuple[list[Limit], list[str]]:
    """Limits of time that exclude each other, and the conflict in words."""
    rules = [rule for rule in view.book.rules if isinstance(rule.form, ir.Elapsed)]
    if not any(isinstance(rule.form, ir.Elapsed) and rule.form.at_least is not None for rule in rules):
        return [], []  # without a least there is nothing that the judgement of each limit has not seen
    limits = [limit for rule in rules for limit in _limits(rule, view)]
    points = sorted({index for each in limits for index in (each.start, each.end)})
    answer = minimal_network([f"{at}{end}" for at in points for end in "bf"], list(_bounds(limits, points, view)))
    conflict = getattr(answer, "conflict", ())
    named = {label.id for label in conflict}
    return [each for each in limits if _label(each).id in named], [label.words for label in conflict]


def _limits(rule: ir.Rule, view: View) -> Iterator[Limit]:
    form = rule.form
    if not isinstance(form, ir.Elapsed) or form.during is not None or form.start.moment or form.to.moment:
        return
    context = Context(rule, view, Conditions(view))
    for at, side in context.judged(form.to if form.each_to else form.start):
        if rule.when is not None and truth(rule.when, view, side).level != YES:
            continue
        others = [i for i in view.covering(view.where(form.start if form.each_to else form.to), side) if i != at]
        if form.each_to:
            others = [i for i in others if view.order.before(i, at)]
            near = latest(context, others, at)
        else:
            others = [i for i in others if view.order.before(at, i)]
            near = [i for i in others if not any(view.order.before(j, i) for j in others)]
        if len(near) == 1 and not any(view.occurrences[i].optional for i in (at, *others)):
            yield Limit(rule, form, *((near[0], at) if form.each_to else (at, near[0])))


def _bounds(limits: list[Limit], points: list[int], view: View) -> Iterator[Between]:
    for each in limits:
        yield Between(f"{each.start}f", f"{each.end}b", each.form.at_least, each.form.at_most, _label(each))
    for at in points:
        told = f"{view.occurrences[at].label} usually takes {clock(view.takes(at))}"
        yield Between(f"{at}b", f"{at}f", view.takes(at), None, Label(f"{USUAL} {at}", told))
    for first, last in permutations(points, 2):
        if view.order.before(first, last):
            one, other = view.occurrences[first].label, view.occurrences[last].label
            usual = view.takes_between(first, last)
            told = f"{other} comes after {one}" + (f", what lies between usually takes {clock(usual)}" if usual else "")
            yield Between(f"{first}f", f"{last}b", usual, None, Label(f"{USUAL} {first} {last}", told))


def _label(limit: Limit) -> Label:
    form = limit.form
    least = f"at least {clock(form.at_least)}" if form.at_least is not None else ""
    most = f"at most {clock(form.at_most)}" if form.at_most is not None else ""
    told = f"{' and '.join(part for part in (least, most) if part)} from {form.start.text} to {form.to.text}"
    return Label(f"{limit.rule.id} {limit.start} {limit.end}", told)

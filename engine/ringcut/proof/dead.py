"""Dead rules: a ``when`` that never holds, and a rule that another, at least as grave, always implies."""

from __future__ import annotations

from collections.abc import Collection
from fractions import Fraction

from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.proof.conflicts import Jobs
from ringcut.proof.limits import switched_off
from ringcut.proof.told import Remark

GRAVEST_FIRST = ("critical", "major", "minor")


def dead_rules(book: ir.Rulebook, jobs: Jobs, about: Collection[str]) -> list[Remark]:
    """Rules that can never say anything of their own, as far as it is about the rules named."""
    found: list[Remark] = []
    alive: list[ir.Rule] = []
    for rule in book.rules:
        waits = isinstance(rule.form, ir.Limit) and switched_off(rule)
        if rule.id in about and rule.when is not None and not waits and jobs.where([rule.when]) is None:
            said = f"{rule.id} is dead: no job is such that {rule.text.get('when', 'its when holds')}."
            instead = "Change the when, or withdraw the rule."
            found.append(Remark(rule.place, "dead-when", said, instead, rules=(rule.id,)))
        else:
            alive.append(rule)
    for rule in alive:
        near = [each for each in alive if each.id != rule.id and (rule.id in about or each.id in about)]
        other = next((each for each in near if implies(each, rule, jobs)), None)
        if other is not None and not (implies(rule, other, jobs) and book.rules.index(rule) < book.rules.index(other)):
            said = f"{rule.id} says nothing of its own: {other.id} always implies it."
            instead = "Withdraw it, or say what it adds."
            found.append(Remark(rule.place, "implied", said, instead, rules=(rule.id, other.id)))
    return found


def implies(one: ir.Rule, two: ir.Rule, jobs: Jobs) -> bool:
    """Whether whoever meets ``one`` also meets ``two``, as far as it can be proved; never where ``two`` is graver."""
    if type(one.form) is not type(two.form) or GRAVEST_FIRST.index(one.class_) > GRAVEST_FIRST.index(two.class_):
        return False
    if two.judge_every and not one.judge_every or not _form_implies(one.form, two.form, jobs):
        return False
    if one.when is None:
        return True
    known = [*jobs.cannot_be] if two.when is None else [two.when, *jobs.cannot_be]
    return jobs.solver.implies(n.And(tuple(known)), one.when)


def _form_implies(one: ir.Form, two: ir.Form, jobs: Jobs) -> bool:
    match one, two:
        case ir.Order(links), ir.Order(others):
            return _within(others, links)
        case ir.Need(), ir.Need():
            same = set(one.before.names) >= set(two.before.names) and one.before.moment == two.before.moment
            return same and _no_later(one.within, two.within) and jobs.solver.implies(one.what, two.what)
        case ir.Keep(), ir.Keep():
            same = (one.start, one.until) == (two.start, two.until) and _no_later(one.within, two.within)
            return same and jobs.solver.implies(one.implied, two.implied)
        case ir.Include(), ir.Include():
            fits = one.least >= two.least and (two.most is None or one.most is not None and one.most <= two.most)
            return fits and set(one.what.names) <= set(two.what.names) and (two.most is None or one.what == two.what)
        case ir.Exclude(), ir.Exclude():
            return (one.after, one.before) == (two.after, two.before) and set(one.what.names) >= set(two.what.names)
        case ir.Limit(), ir.Limit():
            return _limit_implies(one, two, jobs)
        case ir.Elapsed(), ir.Elapsed():
            same = (one.start, one.to, one.each_to, one.during) == (two.start, two.to, two.each_to, two.during)
            most = two.at_most is None or one.at_most is not None and one.at_most <= two.at_most
            return same and most and (two.at_least is None or one.at_least is not None and one.at_least >= two.at_least)
        case ir.Repeat(), ir.Repeat():
            return (one.what, one.during) == (two.what, two.during) and one.every <= two.every
        case ir.Record(), ir.Record():
            return set(one.of.names) >= set(two.of.names) and set(one.readings) >= set(two.readings)
    return one == two


def _limit_implies(one: ir.Limit, two: ir.Limit, jobs: Jobs) -> bool:
    """Only where ``two`` asks for nothing that ``one`` does not read: a missing reading is undetermined, not met."""
    if set(one.of.names) < set(two.of.names) or one.of.moment != two.of.moment or one.unclear is not None:
        return False
    if not set(one.of.names) >= set(two.of.names) or not _read(two.what) <= _read(one.what):
        return False
    return jobs.solver.implies(one.what, two.what)


def _read(node: n.Node) -> set[n.Node]:
    return {each for each in n.walk(node) if isinstance(each, n.Reading | n.Fact)}


def _no_later(one: Fraction | None, two: Fraction | None) -> bool:
    """Whether a grace is no longer than another; none is the shortest."""
    return one is None or two is not None and one <= two


def _within(few: tuple[ir.StepSet, ...], many: tuple[ir.StepSet, ...]) -> bool:
    """Whether a chain is a run of another, link by link."""
    plain = [set(link.names) for link in few]
    for start in range(len(many) - len(few) + 1):
        run = many[start : start + len(few)]
        if not any(link.optional for link in (*run, *few)) and plain == [set(link.names) for link in run]:
            return True
    return False

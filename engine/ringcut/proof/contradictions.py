"""Contradictions: orders in a circle, steps that can never be done, kinds of work for which no procedure exists."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from functools import partial

from ringcut.fit.answers import GaveUp
from ringcut.fit.conflict import minimal_conflict
from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.proof.conflicts import Conflict, Jobs
from ringcut.proof.reach import Known, Reach
from ringcut.proof.scenarios import Scenario, scenarios
from ringcut.proof.solving import facts_of
from ringcut.proof.told import Remark

ORDERING = (ir.Order, ir.Need, ir.Exclude, ir.Include)
"""The forms that say which steps may and must be done when."""


def contradictions(book: ir.Rulebook, jobs: Jobs) -> list[Remark]:
    """Small sets of rules that together forbid a step they speak of, or a whole kind of work.

    What hangs on a step that a rule forbids outright is what its author wants, unless another rule demands it.
    """
    found: dict[tuple[str, ...], Remark] = {}
    rules = [rule for rule in book.rules if isinstance(rule.form, ORDERING)]
    known = Known(book)
    for scenario in scenarios(book, rules, jobs):
        reach = Reach(known, scenario.found)
        ordering = [rule for rule in scenario.rules if isinstance(rule.form, ir.Order | ir.Need)]
        named = {name for rule in ordering for name in _named(rule)}
        lost = set(book.steps) - reach.steps(ordering)
        for step in sorted(named & lost):
            behind = reach.behind(step, ordering, lost)
            conflict = _conflict(behind, scenario, partial(_lets_do, step, reach))
            if conflict is not None:
                found.setdefault(conflict.ids, _never_done(step, conflict))
        if not _demands_met(reach, scenario.rules):
            conflict = _conflict(scenario.rules, scenario, partial(_demands_met, reach))
            if conflict is not None and not _banned_on_purpose(conflict, jobs):
                found.setdefault(("work", *conflict.ids), _no_procedure(conflict))
    return [each for each in found.values() if not _hangs_on_another(each, found.values())]


def _hangs_on_another(remark: Remark, others: Iterable[Remark]) -> bool:
    """Whether a step is lost only because a step it waits for is: that one is told by itself."""
    return remark.kind != "no-procedure" and any(set(each.rules) < set(remark.rules) for each in others)


def _conflict(
    rules: Sequence[ir.Rule], scenario: Scenario, can_be_met: Callable[[Sequence[ir.Rule]], bool]
) -> Conflict | None:
    smallest = minimal_conflict(rules, can_be_met)
    if isinstance(smallest, GaveUp) or not smallest:
        return None
    return Conflict(smallest, facts_of(scenario.found))


def _lets_do(step: str, reach: Reach, rules: Sequence[ir.Rule]) -> bool:
    return step in reach.steps(rules)


def _demands_met(reach: Reach, rules: Sequence[ir.Rule]) -> bool:
    demanded = [rule.form.what.names for rule in rules if isinstance(rule.form, ir.Include)]
    done = reach.steps(rules) if demanded else set()
    return all(done & set(names) for names in demanded)


def _named(rule: ir.Rule) -> tuple[str, ...]:
    match rule.form:
        case ir.Order(links):
            return tuple(name for link in links for name in link.names)
        case ir.Need(before=before):
            return before.names
        case _:
            return ()


def _banned_on_purpose(conflict: Conflict, jobs: Jobs) -> bool:
    """Whether a rule forbids, for some jobs only, a step on which a demanded one hangs: such jobs are to have none."""
    demanded = [rule for rule in conflict.rules if isinstance(rule.form, ir.Include)]
    for ban in conflict.rules:
        if isinstance(ban.form, ir.Exclude) and ban.when is not None:
            direct = any(set(ban.form.what.names) & set(_included(rule)) for rule in demanded)
            always = [jobs.solver.implies(n.And(tuple(jobs.cannot_be)), ban.when)]
            always += [jobs.solver.implies(rule.when, ban.when) for rule in demanded if rule.when is not None]
            if not direct and not any(always):
                return True
    return False


def _included(rule: ir.Rule) -> tuple[str, ...]:
    return rule.form.what.names if isinstance(rule.form, ir.Include) else ()


def _never_done(step: str, conflict: Conflict) -> Remark:
    orders = [rule for rule in conflict.rules if isinstance(rule.form, ir.Order)]
    where = _where(conflict)
    if len(orders) == len(conflict.rules):
        said = f"{_these(conflict)} form a circle{where}: {step} would have to come before itself."
        return _remark("order-cycle", conflict, said, "Take one of the links out.")
    if len(conflict.rules) == 1:
        form = conflict.rules[0].form
        needed = conflict.rules[0].text.get("need", "") if isinstance(form, ir.Need) else ""
        said = f"{conflict.ids[0]} can never be met{where}: nothing makes {needed or 'that'} true before {step}."
        return _remark("never-met", conflict, said, "Give a step that makes it true, or need something else.")
    said = f"{_these(conflict)} cannot be met together{where}: under them {step} can never be done."
    return _remark("contradiction", conflict, said, "One of them must go, or apply to other jobs.")


def _no_procedure(conflict: Conflict) -> Remark:
    work = conflict.job.get("work", "any kind of work")
    said = f"no procedure exists for {work}{_where(conflict, 'work')}: {_these(conflict)} cannot be met together."
    return _remark("no-procedure", conflict, said, "One of them must go, or apply to other jobs.")


def _these(conflict: Conflict) -> str:
    *first, last = conflict.ids
    return f"{', '.join(first)} and {last}" if first else last


def _where(conflict: Conflict, apart: str = "") -> str:
    """The job, where not every job will do."""
    whens = [rule.when for rule in conflict.rules if rule.when is not None]
    asked = {node.name for when in whens for node in n.walk(when) if isinstance(node, n.Fact)}
    facts = [f"{name} {value}" for name, value in conflict.job.items() if name in asked and name != apart]
    return f" (where {', '.join(facts)})" if facts else ""


def _remark(kind: str, conflict: Conflict, said: str, instead: str) -> Remark:
    """Told at the rule that came last: the newest is the likeliest to be the wrong one."""
    place = max(conflict.rules, key=lambda rule: (rule.origin != conflict.rules[0].origin, rule.place)).place
    return Remark(place, kind, said, instead, rules=conflict.ids)

"""A job that does not allow steps of its model procedure, such as a flame in a vault: a plan without them, or why there
is none.
"""

from __future__ import annotations

import msgspec

from ringcut.draft.models import Items
from ringcut.fit.bindingwords import Conflict, Member
from ringcut.judge.findings import NONCONFORMING, Report
from ringcut.language import ir
from ringcut.reading.raw import RawGroup, RawProcedure, RawStep
from ringcut.reading.suggest import canonical


def forbidding(report: Report, book: ir.Rulebook) -> tuple[ir.Rule, ...]:
    """The rules that exclude steps of a plan in every place, where nothing but them is broken; else none."""
    broken = _broken(report)
    rules = tuple(rule for rule in book.rules if rule.id in broken)
    whole = all(isinstance(r.form, ir.Exclude) and not r.form.after and not r.form.before for r in rules)
    return rules if whole else ()


def without_forbidden(raw: RawProcedure, rules: tuple[ir.Rule, ...], book: ir.Rulebook) -> RawProcedure:
    """The plan without the steps that some rules exclude."""
    names = {name for rule in rules if isinstance(rule.form, ir.Exclude) for name in rule.form.what.names}

    def kept(items: Items) -> Items:
        found: list[RawStep | RawGroup] = []
        for item in items:
            if isinstance(item, RawGroup):
                branches = tuple(branch for each in item.branches if (branch := kept(each)))
                found += [msgspec.structs.replace(item, branches=branches)] if branches else []
            elif book.synonyms.get(name := canonical(item.do.text), name) not in names:
                found.append(item)
        return tuple(found)

    return msgspec.structs.replace(raw, steps=kept(raw.steps))


def conflict_between(rules: tuple[ir.Rule, ...], before: Report, after: Report, book: ir.Rulebook) -> Conflict:
    """The steps are excluded, and without them other rules are broken: ``before`` and ``after`` they are left out."""
    lacking = [rule for rule in book.rules if rule.id in _broken(after)]
    steps = tuple(dict.fromkeys(each for f in before.findings if f.verdict == NONCONFORMING for each in f.steps))
    members = (_member(rules, steps), _member(tuple(_gravest_first(lacking)), ()))
    excluded = " and ".join(dict.fromkeys(step.split(" (")[0] for step in steps)) or "some steps"
    demanded = members[1].says[0].lower() + members[1].says[1:].rstrip(".")
    return Conflict(f"{rules[0].says.rstrip('.')}: no {excluded}; but {demanded}", members)


def _gravest_first(rules: list[ir.Rule]) -> list[ir.Rule]:
    classes = ("critical", "major", "minor")
    followed = {rule.id for rule in rules}
    return sorted(rules, key=lambda rule: (bool(followed & {*rule.follows_from}), classes.index(rule.class_)))


def _member(rules: tuple[ir.Rule, ...], steps: tuple[str, ...]) -> Member:
    return Member(rules[0].id, rules[0].says, steps, (), tuple(rule.id for rule in rules[1:]))


def _broken(report: Report) -> set[str]:
    found = [each for each in report.findings if each.verdict == NONCONFORMING]
    return {rule for each in found for rule in (each.rule, *each.also)}

"""A log whose times run against its list, judged both ways: by the times, and by the list without the times in doubt.

One of the two is wrong, and nobody can tell which. What is broken, or kept, either way is; everything else hangs on a
time that somebody has to put right, and cannot be said until then.
"""

from __future__ import annotations

import msgspec

from ringcut.forms.instance import Context, Instance
from ringcut.forms.pattern import IN_ORDER
from ringcut.language import ir
from ringcut.relations.truth import NO, UNKNOWN, Cause, Truth

Judged = list[tuple[Instance, Truth]]


def looks_at_order(rule: ir.Rule) -> bool:
    """Whether the order of entries, or their times, can change how a rule of this form stands."""
    if isinstance(rule.form, ir.Pattern):
        return rule.form.name in IN_ORDER
    return not isinstance(rule.form, ir.Include | ir.Record)


def either_way(by_time: Judged, by_list: Judged, context: Context) -> Judged:
    """The instances of a rule, each undetermined unless both ways agree on it. ``context``: the one by time."""
    known = {_where(instance) for instance, _ in by_time}
    more = [one for one, truth in by_list if truth.level >= UNKNOWN and _where(one) not in known]
    found = [_agreed(instance, truth, by_list, context) for instance, truth in by_time]
    return found + [(_resting(one, "by the list"), _back(context)) for one in more]


def _agreed(instance: Instance, truth: Truth, by_list: Judged, context: Context) -> tuple[Instance, Truth]:
    beside = [each for each in by_list if _where(each[0]) == _where(instance)]
    levels = [told.level for _, told in beside]
    if truth.level == UNKNOWN or (max(levels) == truth.level if levels else truth.level < UNKNOWN):
        return instance, truth
    if truth.level == NO:
        return _resting(instance, "by the times as written"), _back(context)
    wrong = next((each for each, told in beside if told.level == NO), None)
    return _resting(wrong or instance, "by the list" if wrong else ""), _back(context)


def _back(context: Context) -> Truth:
    """Not known, because of the first time that runs back."""
    above, back = context.view.backwards.pairs[0]
    says = f"time runs back at {context.label(back)}, after {context.label(above)}"
    return Truth(UNKNOWN, (Cause("backwards", says, "", back, above, "unreadable"),))


def _resting(instance: Instance, way: str) -> Instance:
    """An instance that is not decided: what is wrong one way is its evidence."""
    said = [*([instance.found] if instance.found else []), *instance.evidence] if way else []
    evidence = tuple(f"{way}: {each}" for each in said)
    changed: Instance = msgspec.structs.replace(instance, found="", margin="", evidence=evidence, path=(), accepts=())
    return changed


def _where(instance: Instance) -> tuple[int, str]:
    return instance.at, instance.side

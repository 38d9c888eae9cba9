"""A log with entries that have no place of their own, judged at every place where they can stand.

What is broken, or kept, wherever they stand is; everything else hangs on a place that only the crew knows, and cannot
be said until it is told when it was.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import msgspec

from ringcut.forms.instance import Context, Instance
from ringcut.judge.doubted import Judged
from ringcut.language import ir
from ringcut.relations.conditions import Conditions
from ringcut.relations.places import Line, line_of_others, lines
from ringcut.relations.truth import NO, UNKNOWN, Cause, Level, Truth
from ringcut.relations.view import View

Looks = Callable[[ir.Form, str, ir.Rulebook], bool]
"""Whether a rule of a form looks at a step."""


def judged_anywhere(context: Context, looks: Looks, judge: Callable[[Context], Judged]) -> Judged:
    """The instances of a rule, each undetermined unless all places agree on it.

    Where the others are in no order, or the places too many, ``judge`` is asked once, of the entries without a place.
    """
    view = context.view
    if not view.lost:
        return judge(context)
    others = line_of_others(view.procedure, view.lost)
    looked_at = {each.index for each in view.occurrences if looks(context.rule.form, each.step, view.book)}
    ways = None if others is None else lines(others, view.lost, looked_at, view.occurrences)
    if ways is None:
        return judge(context)
    found = [judge(_in_line(context, line)) for line in ways]
    if len(found) == 1:
        return found[0]
    return _agreed(found, [each for each in view.lost if each in looked_at] or view.lost, view)


def _in_line(context: Context, line: Line) -> Context:
    known = context.conditions.in_lines
    if line not in known:
        view = View(context.view.procedure, context.view.book, context.view.closure, line)
        view.whole = context.view.whole
        known[line] = Conditions(view)
    return Context(context.rule, known[line].view, known[line])


Key = tuple[int, str]
"""Where a rule looks: an entry, and a side."""


def _agreed(found: Sequence[Judged], lost: Sequence[int], view: View) -> Judged:
    """What all places say of each place where the rule looks; where it is broken in all of them, but now here, now
    there, what the first says."""
    told = {key: _one(key, found, lost, view) for key in dict.fromkeys(_key(one) for way in found for one, _ in way)}
    broken = [_everywhere(one, truth, lost, view) for one, truth in found[0] if truth.level == NO]
    if all(any(truth.level == NO for _, truth in way) for way in found) and NO not in (
        truth.level for _, truth in told.values()
    ):
        told |= {_key(one): (one, truth) for one, truth in broken}
    return list(told.values())


def _one(key: Key, found: Sequence[Judged], lost: Sequence[int], view: View) -> tuple[Instance, Truth]:
    """Where there is nothing to judge at some places, these say nothing against the others."""
    worst = [max((each for each in way if _key(each[0]) == key), key=_level, default=None) for way in found]
    there = [each for each in worst if each is not None]
    instance, truth = max(there, key=_level)
    agreed = len(there) == len(found) and len({told.level for _, told in there}) == 1
    if truth.level < UNKNOWN or agreed and truth.level == UNKNOWN:
        return instance, truth
    if agreed:
        return _everywhere(*there[0], lost, view)
    open_ = tuple(Cause("time", view.occurrences[each].label, "", each, why="not recorded") for each in lost)
    wrong = [*([instance.found] if instance.found else []), *instance.evidence] if truth.level == NO else []
    evidence = tuple(f"at some places of {_named(lost, view)}: {each}" for each in wrong)
    plain = msgspec.structs.replace(instance, found="", margin="", evidence=evidence, path=(), accepts=())
    return plain, Truth(UNKNOWN, open_)


def _everywhere(instance: Instance, truth: Truth, lost: Sequence[int], view: View) -> tuple[Instance, Truth]:
    said = f"wherever {_named(lost, view)} stood"
    changed: Instance = msgspec.structs.replace(instance, evidence=(*instance.evidence, said))
    return changed, truth


def _key(instance: Instance) -> Key:
    return instance.at, instance.side


def _level(judged: tuple[Instance, Truth]) -> Level:
    return judged[1].level


def _named(lost: Sequence[int], view: View) -> str:
    return " and ".join(dict.fromkeys(view.occurrences[each].label for each in lost))

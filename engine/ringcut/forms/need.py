"""``need: p before a``: p holds just before every a, or within a grace after it; ``before: end`` looks at the end.

A condition of persons is needed of everybody who does a, where the entry says who that is.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from fractions import Fraction

from ringcut.forms.instance import Acceptance, Context, Instance, clock
from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.relations.accepting import accepted
from ringcut.relations.conditions import END, Moment
from ringcut.relations.evaluate import truth as truth_of
from ringcut.relations.formula import Formula, formula, literals
from ringcut.relations.truth import NO, OPEN, TRUE, UNKNOWN, YES, Cause, Truth
from ringcut.relations.view import Bound


def judge(form: ir.Need, context: Context) -> list[Instance]:
    """One instance for each occurrence of ``before`` on each side, or one a side at the end."""
    if form.before.moment == ir.END:
        if not context.view.procedure.finished:
            return [Instance(Truth(UNKNOWN, (Cause("time", "the log is not finished", why="not recorded"),)))]
        return [_at(form, context, None, side) for side in context.all_sides()]
    found = [_at(form, context, index, side) for index, side in context.judged(form.before)]
    return found or context.not_yet(form.before)


def _at(form: ir.Need, context: Context, index: int | None, side: str) -> Instance:
    doers = () if index is None else context.view.occurrences[index].by
    item = formula(form.what, context.view, side, doers=doers)
    truth, path = context.conditions.worst_before(item, END if index is None else Moment(index))
    at = -1 if index is None else index
    if truth.level == NO and form.within is not None and index is not None:
        truth, accepts = _grace(item, form.within, context, index)
        return Instance(
            context.softened(truth), at, side, evidence=evidence(context, truth), path=path, accepts=accepts
        )
    truth = context.softened(truth)
    return Instance(truth, at, side, evidence=evidence(context, truth), path=path if truth.level >= UNKNOWN else ())


def _grace(item: Formula, within: Fraction, context: Context, index: int) -> tuple[Truth, tuple[Acceptance, ...]]:
    """Whether p is made true at most ``within`` after an occurrence; the best that any later maker gives."""
    view, conditions, order = context.view, context.conditions, context.order
    changes = {change.step for literal in literals(item) for change in conditions.changes(literal.atom)}
    changes = {i for i in changes if not view.occurrences[i].optional and not order.before(i, index)} - {index}
    best = conditions.worst_before(item, Moment(index))[0]
    for change in sorted(changes, key=order.rank.__getitem__):
        now = conditions.worst_before(item, Moment(change, True))[0]
        if now.level == NO or not _in_time(within, context, index, change):
            continue
        if view.plan and now.level <= OPEN:
            words = f"at most {clock(within)} after {view.occurrences[index].label}"
            return Truth(OPEN), (Acceptance(change, "time", "", words, context.rule.id, index),)
        if not view.plan and view.elapsed_to_end(index, change) is None:
            now = Truth(UNKNOWN, (Cause("time", view.occurrences[change].label, "", change, why="not recorded"),))
        if now.level <= OPEN:
            return TRUE, ()
        best = now if best.level == NO else best
    if best.level == NO and not view.procedure.finished:
        age = view.elapsed(index, None)
        if age is None or age <= within:
            best = Truth(UNKNOWN, (Cause("time", "not yet; the log is not finished", why="not recorded"),))
    return best, ()


def _in_time(within: Fraction, context: Context, index: int, change: int) -> bool:
    """Whether a change comes soon enough, as far as is known; in a plan it must come after in every order."""
    view = context.view
    if view.plan:
        return context.order.before(index, change) and view.takes_between(index, change) <= within
    gap = view.elapsed_to_end(index, change)
    return gap is None or gap <= within


def evidence(context: Context, truth: Truth) -> tuple[str, ...]:
    """The causes in words."""
    return tuple(dict.fromkeys(told(context, cause) for cause in truth.causes))


def told(context: Context, cause: Cause) -> str:
    """One cause in words."""
    side = f", side {cause.side}" if cause.side else ""
    match cause.kind:
        case "absent":
            return f"no {cause.what}{side}" + _optional(context, cause.others, cause.side)
        case "fact":
            return f"the job does not say: {cause.what}{side}"
        case "reading":
            at = f" of {context.label(cause.at)}" if cause.at >= 0 else ""
            name = cause.what.rpartition(".")[2].replace("-", " ")
            return f"{name}{at} is not there{side}"
        case "lost":
            since = f"since {context.label(cause.at)}" if cause.at >= 0 else ""
            if _lapsed(context, cause):
                lapses = context.view.book.conditions[cause.what].lapses
                return f"not {_words(context, cause.what)}: more than {clock(lapses or Fraction(0))} {since}{side}"
            left_out = _optional(context, cause.others, cause.side, cause.at, cause.by)
            return _lost(context, cause.what, since) + _read(context, cause) + left_out + side
        case "swapped" if cause.at >= 0 and cause.by >= 0:
            always = context.order.before(cause.at, cause.by)
            comes = "comes" if always else "may come"
            late = f"{context.label(cause.by)} {comes} only after {context.label(cause.at)}{side}"
            earlier = (context.view.occurrences[cause.by].step,)
            return late + _optional(context, earlier, cause.side, before=cause.at, but=cause.by)
        case "time" if not cause.what.endswith("the log is not finished"):
            return f"no time: {cause.what}"
    return f"{cause.what}{side}"


def _lapsed(context: Context, cause: Cause) -> bool:
    """Whether a condition was lost only because time went by since a step that makes it."""
    state = context.view.book.conditions.get(cause.what)
    if state is None or state.lapses is None or cause.at < 0:
        return False
    step = context.view.book.steps[context.view.occurrences[cause.at].step]
    return any(each.condition == cause.what and each.to == n.Fixed(True) for each in step.effects)


def _lost(context: Context, named: str, since: str) -> str:
    state = context.view.book.conditions.get(named.removeprefix("not "))
    if state is not None and state.called and not named.startswith("not "):
        return f"{since} no longer: {state.called}" if since else f"not yet: {state.called}"
    condition = _words(context, named)
    if condition.startswith("not "):
        return f"{condition.removeprefix('not ')} {since or 'from the start'}"
    return f"not {condition} {since}" if since else f"not yet {condition}"


def _read(context: Context, cause: Cause) -> str:
    """What was read where a reading ended a condition, and what would have kept it."""
    if cause.at < 0:
        return ""
    view, each = context.view, context.view.occurrences[cause.at]
    step, name = view.book.steps[each.step], cause.what.removeprefix("not ")
    env = Bound(view, {(each.step, ""): cause.at, (each.step, cause.side): cause.at})

    def settled(node: n.Node) -> bool | None:
        level = truth_of(node, env, cause.side).level
        return level == YES if level in (YES, NO) else None

    parts: list[str] = []
    for effect in step.effects:
        if effect.condition == name and not isinstance(effect.to, n.Fixed):
            guard = effect.to if name == cause.what else n.Not(effect.to)
            demands = guard.items if isinstance(guard, n.And) else (guard,)
            missed = [demand for demand in demands if truth_of(demand, env, cause.side).level == NO]
            for reading, words in accepted(missed, step.readings, settled).items():
                text, place = each.texts.get((reading, cause.side)) or each.texts.get((reading, ""), ("", each.place))
                cell = f" ({place.line}:{place.letter})" if place.letter else ""
                parts += [f"{reading.replace('-', ' ')} {text}{cell}, needed {words}"] if text else []
    return f" ({'; '.join(dict.fromkeys(parts))})" if parts else ""


def _optional(
    context: Context, steps: Iterable[str], side: str, after: int = -1, before: int = -1, but: int = -1
) -> str:
    """Of a plan, the steps that would mend something in time if they were not optional."""
    order, view = context.order, context.view
    found = [
        context.label(index)
        for index in view.covering(view.where(tuple(steps)), side)
        if view.occurrences[index].optional
        and index != but
        and not (after >= 0 and order.before(index, after))
        and not (before >= 0 and order.before(before, index))
    ]
    return f": {' and '.join(found)} {'is' if len(found) == 1 else 'are'} optional and may be left out" if found else ""


def _words(context: Context, condition: str) -> str:
    state = context.view.book.conditions.get(condition.removeprefix("not "))
    if state is None:
        return condition
    return condition.replace(state.name, state.called) if state.called else condition.replace("-", " ")


def spoken(context: Context, text: str) -> str:
    """An expression over conditions with each called in words; ``p or not q`` is p, where q is so."""
    states = context.view.book.conditions

    def words(said: str) -> str:
        return re.sub(
            r"[a-z][a-z0-9-]*", lambda found: _words(context, found[0]) if found[0] in states else found[0], said
        )

    parts = _OR.split(text)
    denied = [each[4:] for each in parts if each.startswith("not ") and each[4:] in states]
    rest = [each for each in parts if not each.startswith("not ")]
    whole = all(each.count("(") == each.count(")") for each in parts)
    if whole and len(denied) == 1 and rest and len(rest) + 1 == len(parts):
        said = rest[0][1:-1] if len(rest) == 1 and _WHOLE.fullmatch(rest[0]) else " or ".join(rest)
        return f"{words(said)}, where {states[denied[0]].says.rstrip('.')},"
    return words(text)


_OR = re.compile(r" or (?![^()]*\))")
"""Between the parts of an expression; not inside brackets, of which one pair may stand in a part."""
_WHOLE = re.compile(r"\([^()]*\)")

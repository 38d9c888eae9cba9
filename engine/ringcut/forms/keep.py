"""``keep: p from a until b``: p holds at every moment from just after each a until just before the next b.

``while q`` is compiled as ``not q or p``. ``within d`` allows p to be false for at most d at a stretch.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise
from typing import NamedTuple

from ringcut.forms.instance import Acceptance, Context, Instance, clock
from ringcut.forms.need import evidence
from ringcut.language import ir
from ringcut.relations.conditions import END, Moment
from ringcut.relations.formula import Atom, Formula, formula, literals
from ringcut.relations.truth import NO, OPEN, TRUE, UNKNOWN, Cause, Truth

Stretch = tuple[Truth, Moment, Moment]


class Held(NamedTuple):
    """How p held in a window, or after one moment of it."""

    truth: Truth
    accepts: tuple[Acceptance, ...] = ()
    path: tuple[int, ...] = ()
    """An order in which it did not."""
    lasted: Fraction | None = None
    """For how long it did not, where that is longer than the grace: by times, in a plan by usual durations."""
    broke: int = -1
    """The occurrence just after which it did not."""


def judge(form: ir.Keep, context: Context) -> list[Instance]:
    """One instance for each window: from the start, or from each ``from`` that does not stand in an open one."""
    if form.start.moment == ir.START:
        return [_window(form, context, None, side) for side in context.all_sides()]
    view = context.view
    found: list[Instance] = []
    opened: dict[str, int] = {}
    for index in view.where(form.start):
        for side in context.sides(index):
            if side not in opened or not _inside(form, context, opened[side], index, side):
                opened[side] = index
                found.append(_window(form, context, index, side))
    return found or context.not_yet(form.start)


def _inside(form: ir.Keep, context: Context, opened: int, index: int, side: str) -> bool:
    """Whether an occurrence stands in the window of another in every order."""
    order, view = context.order, context.view
    if view.occurrences[opened].optional or not order.before(opened, index):
        return False
    closers = view.covering(view.where(form.until), side) if form.until else ()
    return all(y == opened or order.before(y, opened) or order.before(index, y) for y in closers)


def _window(form: ir.Keep, context: Context, start: int | None, side: str) -> Instance:
    view = context.view
    closers = tuple(view.covering(view.where(form.until), side)) if form.until else ()
    if context.order.total:
        held = _in_line(form, context, start, side, closers)
        closed = _end(context, start, closers)[1]
    else:
        held = _in_every_order(form, context, start, side, closers)
        closed = any(_closes(context, start, y) for y in closers)
    truth = held.truth
    if truth.level < UNKNOWN and not closed and not view.procedure.finished:
        truth = Truth(UNKNOWN, (Cause("time", "kept so far; the log is not finished", why="not recorded"),))
    at = -1 if start is None else start
    if truth.level == NO:
        at = held.broke if held.broke >= 0 else at
        truth = _told_first(form, context, truth, side)
    shown = held.path if truth.level >= UNKNOWN else ()
    said, margin = evidence(context, truth), ""
    if truth.level == NO and held.lasted is not None and form.within is not None:
        if view.plan:
            said = (f"the steps until then usually take {clock(held.lasted)}", *said)
        else:
            said += (f"for {clock(held.lasted)}, {clock(form.within)} allowed",)
        margin = f"{clock(held.lasted - form.within)} over"
    return Instance(truth, at, side, margin=margin, evidence=said, path=shown, accepts=held.accepts)


def _told_first(form: ir.Keep, context: Context, truth: Truth, side: str) -> Truth:
    """The causes, those of what was to be kept before those of what went on meanwhile."""
    if form.during is None or len(truth.causes) < 2:
        return truth
    kept = literals(formula(form.what, context.view, side))
    names = {literal.atom.condition if literal.positive else f"not {literal.atom.condition}" for literal in kept}
    makers = {context.conditions.healers(literal) for literal in kept}

    def meanwhile(cause: Cause) -> bool:
        return cause.others not in makers if cause.kind == "absent" else cause.what not in names

    return truth._replace(causes=tuple(sorted(truth.causes, key=meanwhile)))


def _closes(context: Context, start: int | None, closer: int) -> bool:
    """Whether a closer stands behind the beginning of a window in every order."""
    if context.view.occurrences[closer].optional:
        return False
    return start is None or context.order.before(start, closer)


def _in_line(form: ir.Keep, context: Context, start: int | None, side: str, closers: tuple[int, ...]) -> Held:
    """The worst truth in a window of a procedure with one order only."""
    item, kept = formula(form.implied, context.view, side), formula(form.what, context.view, side)
    worst = Held(TRUE)
    accepts: tuple[Acceptance, ...] = ()
    end = _end(context, start, closers)[0]
    if form.within is None:
        for moment in (*_moments(context, item, start, end), end):
            broke = _ended(moment)
            worst = _worse(worst, Held(context.softened(context.conditions.at(item, moment), broke), broke=broke))
            if worst.truth.level == NO:
                break
        return worst
    for truth, first, last in _stretches(context, item, start, end):
        now = Held(truth)
        if truth.level == NO:
            now = _stretch(form.within, kept, context, truth, first, last)
            accepts += now.accepts
        worst = _worse(worst, now._replace(truth=context.softened(now.truth), broke=_ended(first)))
        if worst.truth.level == NO:
            break
    return worst._replace(accepts=accepts)


def _worse(worst: Held, now: Held) -> Held:
    return now if now.truth.level > worst.truth.level else worst


def _ended(moment: Moment) -> int:
    """The occurrence just after which a moment stands; -1: it stands before one, or at the end."""
    return moment.step if moment.step is not None and moment.after else -1


def _end(context: Context, start: int | None, closers: tuple[int, ...]) -> tuple[Moment, bool]:
    rank = context.order.rank
    first = -1 if start is None else rank[start]
    following = next((index for index in closers if rank[index] > first), None)
    return (END, False) if following is None else (Moment(following), True)


def _moments(context: Context, item: Formula, start: int | None, end: Moment) -> Iterator[Moment]:
    """The moments at which the truth can change: after each change, and by each entry while something may lapse."""
    order, conditions = context.order, context.conditions
    atoms = {literal.atom for literal in literals(item)}
    first = 0 if start is None else order.rank[start]
    last = order.n if end.step is None else order.rank[end.step]
    ranks = {order.rank[change.step] for atom in atoms for change in conditions.changes(atom)}
    by_entry = {rank for atom in atoms for span in _lapsing(context, atom) for rank in span}
    if start is not None:
        yield Moment(start, True)
    elif order.n:
        yield Moment(order.line[0], False)
    for rank in sorted(rank for rank in ranks | by_entry if first <= rank < last):
        index = order.line[rank]
        if rank in by_entry and index != start:
            yield Moment(index, False)
        if index != start:
            yield Moment(index, True)


def _lapsing(context: Context, atom: Atom) -> Iterator[range]:
    """The ranks of the entries by which an atom may have ended by itself since it was given."""
    if context.view.book.conditions[atom.condition].lapses is None:
        return
    changes = context.conditions.changes(atom)
    ranks = [context.order.rank[change.step] for change in changes]
    for change, (begin, end) in zip(changes, pairwise([*ranks, context.order.n - 1]), strict=True):
        if change.truth.level <= OPEN:
            yield range(begin, end + 1)


def _stretches(context: Context, item: Formula, start: int | None, end: Moment) -> Iterator[Stretch]:
    """Runs of equal truth: the truth, the moment it begins, the moment it ends."""
    current: tuple[Truth, Moment] | None = None
    for moment in _moments(context, item, start, end):
        truth = context.conditions.at(item, moment)
        if current is not None and current[0].level == truth.level == NO:
            continue
        if current is not None:
            yield current[0], current[1], moment
        current = (truth, moment)
    last = context.conditions.at(item, end)
    if current is not None:
        yield current[0], current[1], end
    if current is None or last.level > current[0].level:
        yield last, end, end


def _stretch(within: Fraction, kept: Formula, context: Context, truth: Truth, first: Moment, last: Moment) -> Held:
    """Whether a stretch of false lasts no longer than the grace; in a plan p itself must be made true again."""
    view = context.view
    if first.step is None:
        # nobody knows how long it was so at the end: what stands there last has no time
        return Held(truth if view.plan or context.order.n == 0 else _no_time(context, context.order.line[-1]))
    if view.plan:
        healed = last.step is not None and context.conditions.at(kept, Moment(last.step, True)).level != NO
        if last.step is None or not healed:
            return Held(truth)
        usual = view.takes_between(first.step, last.step)
        if usual > within:
            return Held(truth, lasted=usual)
        words = f"at most {clock(within)} after {view.occurrences[first.step].label}"
        return Held(Truth(OPEN), (Acceptance(last.step, "time", "", words, context.rule.id, first.step),))
    began = view.occurrences[first.step].finish
    ends = [each.finish for each in view.occurrences if each.finish is not None]
    ended = max(ends, default=None)
    if last.step is not None:
        ended = view.occurrences[last.step].finish if last.after else view.occurrences[last.step].begin
    if began is None or ended is None:
        return Held(_no_time(context, first.step if began is None or last.step is None else last.step))
    return Held(TRUE) if ended - began <= within else Held(truth, lasted=ended - began)


def _no_time(context: Context, index: int) -> Truth:
    return Truth(UNKNOWN, (Cause("time", context.view.occurrences[index].label, "", index, why="not recorded"),))


def _in_every_order(form: ir.Keep, context: Context, start: int | None, side: str, closers: tuple[int, ...]) -> Held:
    from ringcut.relations.search import search_window

    item, kept = formula(form.implied, context.view, side), formula(form.what, context.view, side)
    truth, path = search_window(context.conditions, item, start, closers)
    if truth.level != NO:
        return Held(truth, path=path)
    if form.within is None:
        return Held(_hardest(context, item, start, closers, truth, path), path=path, broke=path[-1] if path else -1)
    conditions, order = context.conditions, context.order
    changes = _changes(context, item)
    good = [i for i in changes if conditions.worst_before(kept, Moment(i, True))[0].level <= OPEN]
    worst = Held(TRUE)
    accepts: tuple[Acceptance, ...] = ()
    if start is None and order.line[0] not in good and conditions.at(item, Moment(order.line[0])).level == NO:
        worst = _graced(form.within, context, order.line[0], good, closers, truth)
        softened = context.softened(worst.truth)
        worst, accepts = worst._replace(truth=softened, broke=order.line[0]), worst.accepts
    for index in _inside_window(context, changes, start, closers):
        now = Held(conditions.worst_before(item, Moment(index, True))[0])
        if now.truth.level == NO:
            now = _graced(form.within, context, index, good, closers, now.truth)
            accepts += now.accepts
        worst = _worse(worst, now._replace(truth=context.softened(now.truth), broke=index))
    return worst._replace(accepts=accepts, path=path)


def _changes(context: Context, item: Formula) -> set[int]:
    return {change.step for literal in literals(item) for change in context.conditions.changes(literal.atom)}


def _inside_window(context: Context, changes: set[int], start: int | None, closers: tuple[int, ...]) -> list[int]:
    """The changes that may stand in a window, and the start itself."""
    order = context.order
    behind = changes if start is None else {i for i in changes if not order.before(i, start)} | {start}
    shut = [y for y in closers if _closes(context, start, y)]
    return [i for i in sorted(behind, key=order.rank.__getitem__) if not any(order.before(y, i) for y in shut)]


def _hardest(
    context: Context,
    item: Formula,
    start: int | None,
    closers: tuple[int, ...],
    found: Truth,
    path: tuple[int, ...],
) -> Truth:
    """What is false in some order, unknown where an unwritten step may have healed it; not so where a step broke it."""
    softened = context.softened(found, path[-1] if path else -1)
    if softened.level == NO:
        return softened
    for index in _inside_window(context, _changes(context, item), start, closers):
        now = context.softened(context.conditions.worst_before(item, Moment(index, True))[0], index)
        if now.level == NO:
            return now
    return softened


def _graced(
    within: Fraction, context: Context, index: int, good: list[int], closers: tuple[int, ...], missed: Truth
) -> Held:
    """Whether p, false after an occurrence, is made true again soon enough; in a log the window may also close."""
    view, order = context.view, context.order
    if view.plan:
        for healer in sorted(good, key=order.rank.__getitem__):
            if order.before(index, healer) and view.takes_between(index, healer) <= within:
                words = f"at most {clock(within)} after {view.occurrences[index].label}"
                return Held(Truth(OPEN), (Acceptance(healer, "time", "", words, context.rule.id, index),))
        usual = [view.takes_between(index, healer) for healer in good if order.before(index, healer)]
        return Held(missed, lasted=min(usual, default=None))
    gaps = [view.elapsed_to_end(index, i) for i in good if i != index and not order.before(i, index)]
    gaps += [view.elapsed(index, i) for i in closers if order.before(index, i)]
    if not any(order.before(index, i) for i in (*good, *closers)):
        # what is not made true again was false until the last time known, if nothing without a time may come later
        later = any(each.finish is None and not order.before(each.index, index) for each in view.occurrences)
        gaps.append(None if later else view.elapsed(index, None))
    known = [gap for gap in gaps if gap is not None]
    if known and min(known) <= within:
        return Held(TRUE)
    return Held(_no_time(context, index)) if None in gaps else Held(missed, lasted=min(known, default=None))

"""``pattern: NAME``: named looks at stamps, copies, sides and units. A look that only raises a question is never false.

Looks over several logs (``copied-readings``), or at a log beside its plan (``sides-swapped``), find nothing in one log
alone; ``archive`` has them.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator
from fractions import Fraction
from typing import NamedTuple

import msgspec

from ringcut.forms.claims import demanding
from ringcut.forms.instance import Context, Instance, time_of_day
from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.reading.measures import show
from ringcut.reading.problems import Place
from ringcut.relations.conditions import Moment
from ringcut.relations.evaluate import Environment, value
from ringcut.relations.formula import Atom, formula
from ringcut.relations.spans import Span, Value
from ringcut.relations.truth import NO, TRUE, UNKNOWN, YES, Cause, Truth
from ringcut.relations.view import Bound, View

LEAST_ALIKE = 4
"""Entries from which equal times are a question."""

ALIKE_UNITS: dict[str, tuple[tuple[str, Fraction], ...]] = {
    "length": (("cm", Fraction(100, 254)), ("mm", Fraction(10, 254)), ("ft", Fraction(12))),
    "gauge-pressure": (("kPa", Fraction(1000) / Fraction("6894.757293168")),),
    "temperature": (),
}
"""Kind: (unit, how many of the written unit it is), for units that are typed under each other's heading (in, psi)."""


IN_ORDER = frozenset(["in-manhole-after-leaving"])
"""Looks that rest on the order of the entries, as rules of other forms do."""


def looks_at_place(name: str, step: str, lost: Collection[str], book: ir.Rulebook) -> bool:
    """Whether a look that rests on order needs the place of a step, where the steps ``lost`` have none of their own.

    Where everybody who went in or out has a place, no work looks at other work.
    """
    if name not in IN_ORDER:
        return False
    changing = book.changing(["inside"])
    work = "in-manhole" in book.steps[step].traits
    return step in changing or work and (step in lost or not changing.isdisjoint(lost))


def judge(form: ir.Pattern, context: Context) -> list[Instance]:
    """The instances of a named look; one that is true where it finds nothing it could find."""
    look = LOOKS.get(form.name)
    return look(context) if look else []


def _question(context: Context, what: str, at: int = -1, side: str = "", found: str = "", needed: str = "") -> Instance:
    cause = Cause("value", what, side, at, why="unreadable")
    return Instance(Truth(UNKNOWN, (cause,)), at, side, found or what, needed)


def _fault(what: str, at: int = -1, found: str = "", needed: str = "") -> Instance:
    return Instance(Truth(NO, (Cause("value", what, "", at),)), at, "", found or what, needed)


def times_all_equal(context: Context) -> list[Instance]:
    """Many entries, one time: it shows no order."""
    timed = [each.finish for each in context.view.occurrences if each.finish is not None]
    if context.view.plan or len(timed) < LEAST_ALIKE:
        return []
    if len(set(timed)) > 1:
        return [Instance(TRUE)]
    return [
        _question(
            context,
            f"all {len(timed)} times are {time_of_day(context, timed[0])}",
            0,
            "",
            "",
            "times that show the order",
        )
    ]


def times_against_list(context: Context) -> list[Instance]:
    """Times that run backwards within one person's entries; once a log."""
    if context.view.plan or not context.view.whole.rows_in_order:
        return []
    pairs = context.view.backwards.pairs
    if not pairs:
        return [Instance(TRUE)]
    first, second = pairs[0]
    more = f", and {len(pairs) - 1} more" if len(pairs) > 1 else ""
    found = f"{context.label(second)} is listed after {context.label(first)} and timed before it{more}"
    return [_fault("times against the list", second, found, "times in the order of the list, or sorted: no")]


def not_applicable_claimed(context: Context) -> list[Instance]:
    """A step said not to apply, in a job that demands it."""
    view = context.view
    found = []
    for claim in view.procedure.not_done:
        if claim.status != "not-applicable":
            continue
        demanded = demanding(claim.step, view, context.conditions)
        if demanded:
            found.append(
                _fault(
                    f"{claim.step} is said not to apply",
                    -1,
                    f"{claim.step}: not applicable ({claim.reason})",
                    f"{claim.step}: it applies by {demanded}",
                )
            )
    return found


class Odd(NamedTuple):
    """A reading outside what people measure; ``units``: those in which it would make sense, if any."""

    at: int
    reading: str
    side: str
    told: str
    needed: str
    units: str


def implausible_reading(context: Context) -> list[Instance]:
    """A reading outside what people measure: judged as written, and asked about."""
    return [_odd(context, each, each.told) for each in _implausible(context) if not each.units]


def unit_mixed_up(context: Context) -> list[Instance]:
    """A reading that makes sense in another unit of its kind."""
    return [_odd(context, each, f"{each.told}; was it {each.units}?") for each in _implausible(context) if each.units]


def _odd(context: Context, odd: Odd, found: str) -> Instance:
    asked = _question(context, odd.told, odd.at, odd.side, found, odd.needed)
    made: Instance = msgspec.structs.replace(asked, reading=odd.reading)
    return made


def _implausible(context: Context) -> list[Odd]:
    found = []
    for each in context.view.occurrences:
        words = context.view.book.steps[each.step].readings
        for (name, side), given in each.readings.items():
            word = words.get(name)
            likelier = None if word is None else units_meant(word, given)
            if word is None or likelier is None or word.plausible is None or not isinstance(given, Span):
                continue
            least, most = word.plausible
            needed = f"{show(least, word.kind, word.unit)} to {show(most, word.kind, word.unit)} as a rule"
            told = f"{name.replace('-', ' ')} {show(given.low or Fraction(0), word.kind, word.unit)}"
            found.append(Odd(each.index, name, side, told, needed, " or ".join(likelier)))
    return found


def units_meant(word: ir.Word, given: Value) -> list[str] | None:
    """For a reading outside what people measure the units in which it would make sense; None for any other."""
    if word.plausible is None or not isinstance(given, Span) or not given.exact or given.low is None:
        return None
    least, most = word.plausible
    if least <= given.low <= most:
        return None
    likelier = [unit for unit, times in ALIKE_UNITS.get(word.kind, ()) if least <= given.low * times <= most]
    if word.kind == "gauge-pressure" and least <= given.low - 101325 <= most:
        likelier.append("absolute")
    return likelier


def in_manhole_after_leaving(context: Context) -> list[Instance]:
    """An entry for work in the manhole at a time when everybody had left."""
    view = context.view
    if view.plan or "inside" not in view.book.conditions:
        return []
    inside = formula(n.Condition("inside"), view, "")
    found = []
    for each in view.occurrences:
        if "in-manhole" not in view.book.steps[each.step].traits:
            continue
        if _somebody_left_inside(context, each.index):
            continue
        here = context.conditions.at(inside, Moment(each.index))
        if here.level == NO and any(cause.kind == "lost" for cause in here.causes):
            found.append(
                _fault(
                    "work in the manhole after leaving",
                    each.index,
                    context.label(each.index),
                    "an entry before it",
                )
            )
    return found


def _somebody_left_inside(context: Context, index: int) -> bool:
    """Whether more entries say that somebody went in than that somebody came out, before an entry."""
    changes = context.conditions.changes(Atom("inside"))
    before = [change for change in changes if context.order.before(change.step, index)]
    return sum(1 if change.truth.level == YES else -1 for change in before) > 0


class Measured(NamedTuple):
    """A value that was measured beside one computed from other readings, at the latest doing of each step."""

    name: str
    measured: n.Reading
    computed: n.Node
    room: Fraction
    """What the tapes of all readings together can read, base unit."""
    at: dict[tuple[str, str], int]
    """(step, side) -> the occurrence."""


def measured_and_computed_disagree(context: Context) -> list[Instance]:
    """A measured value and the one computed from the other readings of the same log, beyond what the tape can read."""
    view = context.view
    found = []
    for pair in compared_pairs(view):
        env = Bound(view, dict(pair.at))
        if not disagrees(pair, env):
            continue
        word = view.book.steps[pair.measured.step].readings[pair.measured.name]
        values = [value(node, env) for node in (pair.measured, pair.computed)]
        one, two = (show(each.low or Fraction(0), word.kind, word.unit) for each in values if isinstance(each, Span))
        told = f"{pair.name.replace('-', ' ')}: measured {one}, computed {two}"
        at = view.by_step[pair.measured.step][-1]
        found.append(_question(context, told, at, "", told, f"within {show(pair.room, word.kind, word.unit)}"))
    return found


def compared_pairs(view: View) -> Iterator[Measured]:
    """Every quantity of a log that may be both measured and computed."""
    for name, node in view.book.quantities.items():
        if not isinstance(node, n.FirstOf) or len(node.items) < 2 or not isinstance(node.items[0], n.Reading):
            continue
        measured = node.items[0]
        if view.plan or not view.by_step.get(measured.step):
            continue
        steps = {each.step for item in node.items for each in n.walk(item) if isinstance(each, n.Reading)}
        done = {step: view.by_step[step][-1] for step in steps if view.by_step.get(step)}
        at: dict[tuple[str, str], int] = {(step, side): i for step, i in done.items() for side in ("", *view.sides)}
        for computed in filter(_is_computed, node.items[1:]):
            yield Measured(name, measured, computed, _room(view, measured, computed), at)


def disagrees(pair: Measured, env: Environment) -> bool:
    """Whether two exact values lie further apart than their tapes can read."""
    measured, computed = value(pair.measured, env), value(pair.computed, env)
    if not isinstance(measured, Span) or not isinstance(computed, Span) or not measured.exact or not computed.exact:
        return False
    return abs((measured.low or Fraction(0)) - (computed.low or Fraction(0))) > pair.room


def _is_computed(node: n.Node) -> bool:
    """Another reading, a fact or a constant that stands in for the first value is no second opinion on it."""
    return any(isinstance(each, n.Arithmetic | n.Call) for each in n.walk(node))


def _room(view: View, *items: n.Node) -> Fraction:
    total = Fraction(0)
    for item in items:
        for each in n.walk(item):
            if isinstance(each, n.Reading):
                total += view.book.steps[each.step].readings[each.name].resolution or Fraction(0)
    return total


def no_successor(context: Context) -> list[Instance]:
    """A step that an ``after`` elsewhere has left before nothing."""
    procedure = context.view.procedure
    if not procedure.plan:
        return []
    earlier = {first for first, _ in procedure.edges}
    lost = [index for index in dict.fromkeys(procedure.displaced) if index not in earlier]
    found = [
        _fault(
            "comes before nothing",
            index,
            f"{context.label(index)} now comes before nothing",
            "a step after it",
        )
        for index in lost
    ]
    return found or ([Instance(TRUE)] if procedure.displaced else [])


def says_all_done(context: Context) -> list[Instance]:
    """«All steps per practice» proves nothing."""
    found = []
    for each in context.view.occurrences:
        if proves_nothing(each.note):
            found.append(
                _question(
                    context,
                    f"«{each.note}» proves nothing",
                    each.index,
                    "",
                    f"«{each.note}»",
                    "each step, with its readings",
                )
            )
    for text, place in context.view.procedure.claims:
        says = claimed(text, place)
        found.append(_question(context, says, -1, "", says, "each step, with its readings"))
    return found


def claimed(text: str, place: Place) -> str:
    """What is found where a row names no step, and claims them all."""
    return f"«{text}» (line {place.line}) names no step and proves none"


def proves_nothing(note: str) -> bool:
    """Whether a note says that everything was done, without saying what."""
    return "all steps" in note.lower() or "per practice" in note.lower()


LOOKS: dict[str, Callable[[Context], list[Instance]]] = {
    "times-all-equal": times_all_equal,
    "times-against-list": times_against_list,
    "times-backwards": times_against_list,
    "not-applicable-claimed": not_applicable_claimed,
    "implausible-reading": implausible_reading,
    "unit-mixed-up": unit_mixed_up,
    "in-manhole-after-leaving": in_manhole_after_leaving,
    "measured-and-computed-disagree": measured_and_computed_disagree,
    "no-successor": no_successor,
    "says-all-done": says_all_done,
}
"""Every look at one procedure, by the name rules use."""

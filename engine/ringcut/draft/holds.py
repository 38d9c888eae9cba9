"""This holds while: how far the real opening and the real diameters may differ before what was cut no longer serves.

What is cut stays (sleeve, channel, bar, size); what is only laid out on the cable (bond and scuffed length) may
still be chosen again. Each bound is the last step of the reading's resolution at which the limits leave a choice.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from fractions import Fraction

import msgspec

from ringcut.draft import stock
from ringcut.draft.diameters import expected, fitting
from ringcut.draft.longrepair import pieces_of
from ringcut.draft.metric import length_unit
from ringcut.fit.answers import Remaining, Solution
from ringcut.fit.binding import open_readings
from ringcut.fit.bindinglimits import Open
from ringcut.fit.solve import best
from ringcut.language import ir
from ringcut.reading.measures import show
from ringcut.relations.procedure import Procedure
from ringcut.relations.spans import Span, Value, Words, exactly

LAID_OUT = ("bond-length", "scuffed-length", "treated-length")
"""Readings that are chosen on the cable."""
LONGEST = 480
"""Steps of resolution by which an opening may be longer than planned, at most, in the search."""


class Bound(msgspec.Struct, frozen=True, rename="kebab"):
    """A measure up to which a plan holds. ``value`` and ``planned`` in the base unit, ``words`` as people say it."""

    what: str
    """``longest opening``, ``largest diameter`` or ``smallest diameter``."""
    value: Fraction
    words: str
    planned: str
    """As planned, or as estimated before the work."""
    then: str
    """What else changes at the bound."""
    beyond: tuple[str, ...]
    """What to do past it."""
    resolution: Fraction = Fraction(0)


def holds_while(procedure: Procedure, book: ir.Rulebook, estimate: Mapping[Open, Value]) -> tuple[Bound, ...]:
    """The bounds of a plan, as far as it has what they are about."""
    found = [
        _opening(procedure, book, estimate),
        _across(procedure, book, estimate, "largest"),
        _across(procedure, book, estimate, "smallest"),
    ]
    return tuple(bound for bound in found if bound is not None)


def with_opening(procedure: Procedure, length: Fraction) -> Procedure:
    """The same plan on an opening of another length, as job fact and as reading."""
    job = {**procedure.job, ("opening-length", ""): exactly(length)}
    steps = []
    for each in procedure.occurrences:
        if ("opening-length", "") in each.readings:
            each = msgspec.structs.replace(each, readings={**each.readings, ("opening-length", ""): exactly(length)})
        steps.append(each)
    return msgspec.structs.replace(procedure, job=job, occurrences=steps)


def laid_out(procedure: Procedure, book: ir.Rulebook) -> Mapping[Open, Fraction | str] | None:
    """What is chosen on the cable for a plan whose cuts are made; None where no choice conforms."""
    wanted = [
        Open(each.index, name, side)
        for each in procedure.occurrences
        for (name, given) in each.readings
        if name in LAID_OUT
        for side in ((given,) if given else ("", *each.sides))
    ]
    opened = open_readings(procedure, book, wanted=wanted)
    if not opened.domains:
        return {}
    answer = best(opened.problem(), opened.preferences())
    return {w: answer.values[w.name] for w in opened.domains} if isinstance(answer, Solution) else None


def conforms_to_limits(procedure: Procedure, book: ir.Rulebook) -> bool:
    """Whether no limit is broken with the cuts as they are, whatever is laid out on the cable."""
    from ringcut.judge.judge import judge_procedure

    chosen = laid_out(procedure, book)
    if chosen is None:
        return False
    steps = list(procedure.occurrences)
    for where, value in chosen.items():
        each = steps[where.at]
        read: Value = Words((value,)) if isinstance(value, str) else exactly(value)
        steps[where.at] = msgspec.structs.replace(each, readings={**each.readings, (where.reading, where.side): read})
    limits = [rule.id for rule in book.rules if isinstance(rule.form, ir.Limit)]
    report = judge_procedure(msgspec.structs.replace(procedure, occurrences=steps), book, rules=limits)
    return not report.counts.nonconforming and not report.counts.undetermined


def _opening(procedure: Procedure, book: ir.Rulebook, estimate: Mapping[Open, Value]) -> Bound | None:
    word = book.facts.get("opening-length")
    given = procedure.job.get(("opening-length", ""))
    if (
        word is None
        or not word.resolution
        or not isinstance(given, Span)
        or given.low is None
        or given.low != given.high
    ):
        return None
    if not any(each.step == "trim-sleeve" for each in procedure.occurrences):
        return None
    if any(each.step == "remove-outer-sheath" for each in procedure.occurrences):
        return None
    step, start = word.resolution, given.low

    def fits(count: int) -> bool:
        return conforms_to_limits(with_opening(procedure, start + count * step), book)

    most = _last(fits, LONGEST)
    if most is None:
        return None
    value = start + most * step
    chosen = laid_out(with_opening(procedure, value), book) or {}
    bonds = [each for where, each in chosen.items() if where.reading == "bond-length" and isinstance(each, Fraction)]
    then = f"the bond length is then {show(min(bonds), 'length', length_unit(book))} a side" if bonds else ""
    words = f"at most {show(value, word.kind, word.unit)}"
    return Bound(
        "longest opening",
        value,
        words,
        show(start, word.kind, word.unit),
        then,
        _longer(procedure, book, estimate),
        step,
    )


def _last(fits: Callable[[int], bool], limit: int) -> int | None:
    """The greatest count that fits, by doubling and halving; None where not even zero does."""
    if not fits(0):
        return None
    low, high = 0, 1
    while high <= limit and fits(high):
        low, high = high, high * 2
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if fits(middle) else (low, middle)
    return low


def _across(procedure: Procedure, book: ir.Rulebook, estimate: Mapping[Open, Value], which: str) -> Bound | None:
    opened = open_readings(procedure, book, measured=(which,))
    wheres = [where for where in opened.domains if where.reading == which]
    if not wheres:
        return None
    answer = opened.left()
    if not isinstance(answer, Remaining):
        return None
    word = opened.word(wheres[-1])
    values = [value for value in answer.values[wheres[-1].name] if isinstance(value, Fraction)]
    value = values[-1] if which == "largest" else values[0]
    expected = next((span for where, span in estimate.items() if where.reading == which), None)
    planned = (
        show(expected.low, word.kind, word.unit) if isinstance(expected, Span) and expected.low is not None else ""
    )
    side = "at most" if which == "largest" else "at least"
    words = f"{side} {show(value, word.kind, word.unit)}"
    beyond = _other_size(procedure, book, which, value, estimate)
    return Bound(f"{which} diameter", value, words, planned, "", beyond, word.resolution or Fraction(0))


def _cut(procedure: Procedure) -> tuple[str, Fraction]:
    """Size and length of the sleeve; the size as the stock list writes it."""
    size, length = "", Fraction(0)
    for each in procedure.occurrences:
        said = each.readings.get(("size", ""))
        size = said.options[0].lower() if isinstance(said, Words) and said.options else size
        cut = each.readings.get(("sleeve-length", ""))
        length = cut.low if isinstance(cut, Span) and cut.low is not None else length
    return size, length


def _other_size(
    procedure: Procedure, book: ir.Rulebook, which: str, bound: Fraction, estimate: Mapping[Open, Value]
) -> tuple[str, ...]:
    """The size to take past a bound: one that also fits the other end of the prepared area, as far as that is known."""
    size, length = _cut(procedure)
    unit = length_unit(book)
    rows = [row for row in stock.sleeves(book) if row.size.lower() != size and row.length >= length]
    if which == "largest":
        better = [row for row in rows if row.slips_over > bound]
        least = expected(estimate, "smallest")
        able = [row for row in better if least is None or row.shrinks_to <= least]
        reach = {row.size: row.slips_over for row in better}
        told, wanted, also = "up to {} across", "wider", "shrinks onto"
        other, advice = least, "beyond that two sleeves do not help: stop and call"
    else:
        better = [row for row in reversed(rows) if row.shrinks_to < bound]
        most = expected(estimate, "largest")
        able = [row for row in better if most is None or row.slips_over >= most]
        reach = {row.size: row.shrinks_to for row in better}
        told, wanted, also = "down to {} across", "narrower", "slips over"
        other, advice = most, "or build the thin end up with rubber tape to a smooth ramp; else stop and call"
    if better and not able and other is not None:
        return (f"no other size in stock is long enough, {wanted} and {also} {show(other, 'length', unit)}", advice)
    if not able:
        return (f"no other size in stock is long enough and {wanted}", advice)
    first = able[0]
    return (f"take size {first.size}, {told.format(show(reach[first.size], 'length', unit))}", advice)


def _longer(procedure: Procedure, book: ir.Rulebook, estimate: Mapping[Open, Value]) -> tuple[str, ...]:
    """What to do past the longest opening: a longer piece of the size, a longer size that fits, then a long repair."""
    size, length = _cut(procedure)
    unit = length_unit(book)
    rows = {row.size.lower(): row for row in stock.sleeves(book)}
    own = rows.get(size)
    told = []
    if own is not None and own.length > length:
        told.append(f"cut a longer piece: size {own.size} comes {show(own.length, 'length', unit)} long")
    longest = max(fitting(book, estimate), key=lambda row: row.length, default=None)
    if own is not None and longest is not None and longest.length > max(own.length, length):
        told.append(f"size {longest.size} fits too and comes {show(longest.length, 'length', unit)} long")
    if pieces_of(procedure) > 1:
        told.append("or take one sleeve more")
    else:
        told.append("longer is a long repair: draft it with special: [long-repair], by the house procedure")
    return tuple(told)

"""The values of a reading or a fact worth giving: at, beside and between the numbers that a rule compares it with."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from fractions import Fraction

import msgspec

from ringcut.language import ir
from ringcut.reading.kinds import KINDS
from ringcut.reading.show import show
from ringcut.reading.units import find_unit

MOST_VALUES, MOST_BESIDE, FEW = 16, 6, 4
RELATED = {
    "angle": ("turn",),
    "gauge-pressure": ("pressure-difference",),
    "temperature": ("temperature-difference",),
}
"""Kinds whose numbers a reading is told apart by, besides its own."""
BASES = {"temperature": Fraction("294.26")}
"""What differences are counted from, where nought is no usual value: 70 degF."""
Numbers = Mapping[str, set[Fraction]]
Telling = Callable[[Fraction], tuple[bool, ...]]


class Slot(msgspec.Struct, frozen=True):
    """A reading that may be given: its name, and the values worth giving, the likeliest to tell first."""

    name: str
    values: tuple[str, ...]


def slot_of(
    word: ir.Word,
    numbers: Numbers,
    telling: Telling | None = None,
    given: Sequence[str] = (),
    words: Iterable[str] = (),
    judged: bool = True,
) -> Slot:
    """The slot of a reading or fact.

    ``telling``: what the comparisons with numbers say of a value; None where it is compared with other readings too.
    Then only that of the step that is ``judged`` takes every value, and the others a few.
    ``given``: what cases give it. ``words``: the keys of a table that it is looked up in.
    """
    if word.kind == "yes-no":
        return Slot(word.name, ("yes", "no"))
    if word.kind not in KINDS:
        values = dict.fromkeys([*given, *words, *word.choices])
        return Slot(word.name, tuple(values)[:MOST_VALUES] or ("x",))
    unit = _unit(word)
    if telling is None:
        found = _around(unit, word, numbers) if judged else _beside(unit, word, numbers)
    else:
        found = _compared(word, numbers) or [unit]
    least, most = word.possible or (None, None)
    fitting = [each for each in found if (least is None or least <= each) and (most is None or each <= most)]
    if telling is not None:
        apart: dict[tuple[bool, ...], Fraction] = {}
        for each in fitting:
            apart.setdefault(telling(each), each)
        return Slot(word.name, tuple(show(each, word.kind, word.unit) for each in apart.values()))
    told = [show(each, word.kind, word.unit) for each in fitting]
    return Slot(word.name, tuple(dict.fromkeys([*told[:MOST_VALUES], *given[:FEW]])))


def _unit(word: ir.Word) -> Fraction:
    known = find_unit(word.unit)
    return known.factor if known is not None and word.kind in known.kinds else Fraction(1)


def _around(unit: Fraction, word: ir.Word, numbers: Numbers) -> list[Fraction]:
    """Where a reading differs from one of one unit by the numbers of its kind, or makes them up with it."""
    apart = sorted({Fraction(0), *_own(word, numbers)})
    row = [unit + each for each in apart]
    step = word.resolution or unit
    between = [_readable((one + two) / 2, one, two, step) for one, two in zip(row, row[1:], strict=False)]
    rest = [each - unit for each in apart if each >= unit]
    found = [*between, *row, *(each + way * step for each in row for way in (-1, 1)), *rest]
    return [each for each in dict.fromkeys(found) if each >= 0 and (word.kind != "count" or each.denominator == 1)]


def _beside(unit: Fraction, word: ir.Word, numbers: Numbers) -> list[Fraction]:
    """A few values for a reading that another is compared with: one unit first, which suffices for a difference."""
    row = sorted(_own(word, numbers))
    return list(dict.fromkeys([unit, Fraction(0), *row, 2 * unit, *(unit + each for each in row)]))[:MOST_BESIDE]


def _own(word: ir.Word, numbers: Numbers) -> set[Fraction]:
    base = BASES.get(word.kind, Fraction(0))
    own = set(numbers.get(word.kind, ()))
    return own | {base + each for kind in RELATED.get(word.kind, ()) for each in {Fraction(0), *numbers.get(kind, ())}}


def _compared(word: ir.Word, numbers: Numbers) -> list[Fraction]:
    """Between, at and beside the numbers of its kind."""
    row = sorted(_own(word, numbers))
    step = word.resolution or _unit(word)
    between = [_readable((one + two) / 2, one, two, step) for one, two in zip(row, row[1:], strict=False)]
    if word.kind == "wire-size":
        beside = [each * factor for each in row for factor in (Fraction(4, 5), Fraction(5, 4))]
    else:
        beside = [each + way * step for each in row for way in (-1, 1)]
        beside = [each for each in beside if each >= 0 or word.possible is not None and each >= word.possible[0]]
    whole = word.kind == "count"
    return [each for each in (*between, *row, *beside) if not whole or each.denominator == 1]


def _readable(middle: Fraction, one: Fraction, two: Fraction, step: Fraction) -> Fraction:
    """The middle of two numbers, on what people read where that lies between them too."""
    near = step * round(middle / step)
    return near if one < near < two else middle

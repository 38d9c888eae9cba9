"""Measures as people write them: a number and its unit, an interval, a tolerance or an uncertainty.

Nothing is guessed: a bare number, a decimal comma, a unit of another kind or an unexplained ± is refused,
with what was found, what is expected and how to write it. Values are exact fractions in the base unit of
their kind.
"""

from __future__ import annotations

import re
from fractions import Fraction
from functools import lru_cache

import msgspec

from ringcut.reading.kinds import KINDS
from ringcut.reading.quantity import read_quantity
from ringcut.reading.refusals import A_MEASURE, Refusal, expect, no_unit, wrong_kind
from ringcut.reading.show import show, show_span
from ringcut.reading.spellings import SIGNED, Unit
from ringcut.reading.spoken import LONGEST, clip, tidy
from ringcut.reading.units import convert, find_unit, kinds_of_unit, to_base

__all__ = [
    "Measure",
    "Refusal",
    "kinds_of_unit",
    "read_literal",
    "read_measure",
    "read_yes_no",
    "show",
    "show_span",
    "to_base",
]


class Measure(msgspec.Struct, frozen=True):
    """What a text says of one quantity: ``low`` to ``high`` in the base unit, None where there is no end."""

    low: Fraction | None
    high: Fraction | None
    low_open: bool = False
    """The edge itself is excluded, as in ``>1000 megohm``."""
    high_open: bool = False
    uncertainty: Fraction = Fraction(0)
    """Standard uncertainty ``u=``, base unit."""
    tolerance: bool = False
    """``low`` to ``high`` is a tolerance band from ``±``."""
    qualifier: str = ""
    """A word after the unit: ``ac`` or ``dc`` of a voltage."""
    unit: str = ""
    """The canonical unit written, or that of the heading."""
    text: str = ""
    """As typed."""


_STEP_OF = {
    "temperature": "temperature-difference",
    "gauge-pressure": "pressure-difference",
    "absolute-pressure": "pressure-difference",
    "angle": "turn",
}
_NOT_A_SCALE = ("AWG", "kcmil", "o'clock")
_BOUND = re.compile(
    r"(<=|=<|>=|=>|<|>|at least |at most |up to |over |under |more than |less than |exactly )", re.IGNORECASE
)
_ABOVE = (">", ">=", "=>", "at least", "over", "more than")
_OPEN = ("<", ">", "over", "under", "more than", "less than")
_PLUS_MINUS = re.compile(r" ?(?:±|\+ ?/ ?-|\+-) ?")
_UNCERTAIN = re.compile(r"[,;]? ?\(?\bu ?= ?([^()]*)\)?$")


def read_yes_no(text: str) -> bool | None:
    """True for yes or true, False for no or false, None for anything else."""
    return {"yes": True, "true": True, "no": False, "false": False}.get(text.strip().casefold())


def read_literal(text: str) -> tuple[Fraction, str] | Refusal:
    """Number and canonical unit of a literal, whatever its kind; the unit is "" for a plain number."""
    if len(text) > LONGEST:
        return _too_long(text)
    found = read_quantity(tidy(text))
    if isinstance(found, Refusal):
        return found if found.expected else Refusal(found.found, A_MEASURE, found.hint)
    return found.number, found.unit.name


def read_measure(text: str, kind: str, *, plan: bool = False, unit: str = "") -> Measure | Refusal:
    """The measure that ``text`` says, as a quantity of ``kind``, or why it is not taken.

    ``unit`` is what a heading states for bare numbers; of a count, ``none`` is 0. In a plan ``±`` is a tolerance and
    ``u=`` is refused; in a log it is the other way round. Raises ValueError where ``kind`` is no kind of quantity.
    """
    if kind not in KINDS:
        raise ValueError(f"{kind} is not a kind of quantity")
    if len(text) > LONGEST:
        return _unknown_heading(unit, kind) or _too_long(text)
    return _measured(text, kind, plan, unit)


@lru_cache(maxsize=10_000)
def _measured(text: str, kind: str, plan: bool, unit: str) -> Measure | Refusal:
    """The same texts stand in every log of a crew, and in each several rules look at them."""
    unknown = _unknown_heading(unit, kind)
    if unknown is not None:
        return unknown
    found = _Reader(kind, plan, find_unit(unit) if unit else None).read(tidy(text))
    if isinstance(found, Refusal):
        vague = found.expected in ("", A_MEASURE)
        return Refusal(found.found, expect(kind), found.hint) if vague else found
    return msgspec.structs.replace(found, text=text)


def _unknown_heading(unit: str, kind: str) -> Refusal | None:
    if not unit or find_unit(unit):
        return None
    return Refusal(f"{clip(unit)} is not a unit known here", expect(kind), "correct the unit of the heading")


def _too_long(text: str) -> Refusal:
    return Refusal(f"{clip(text[:LONGEST])} is {len(text)} characters long", A_MEASURE)


class _Single(msgspec.Struct, frozen=True):
    """One number in the base unit of the kind, and its unit."""

    value: Fraction
    unit: Unit


class _Reader(msgspec.Struct, frozen=True):
    """What is known while one text is read: the kind, plan or log, the unit of the heading."""

    kind: str
    plan: bool
    heading: Unit | None

    def read(self, said: str) -> Measure | Refusal:
        if re.fullmatch(r"o\.?l\.?(?: .*)?|overload|over-?range", said, re.IGNORECASE):
            hint = "write > and the end of the meter's range, as >1000 megohm"
            return Refusal(f"{clip(said)} says only that the meter was past its range", A_MEASURE, hint)
        if self.kind == "count" and said.casefold() == "none":
            said = "0"
        uncertain = _UNCERTAIN.search(said)
        if uncertain:
            return self._uncertain(said[: uncertain.start()].rstrip(), uncertain[1].rstrip())
        band = _PLUS_MINUS.split(said)
        if len(band) > 1:
            return self._band(said, band)
        bound = _BOUND.match(said)
        if bound:
            return self._bounded(said, bound[1].strip().lower(), said[bound.end() :].lstrip())
        ends = re.split(r" to ", said)
        if len(ends) == 2:
            return self._range(said, ends[0], ends[1])
        single = self._single(said)
        return single if isinstance(single, Refusal) else self._measure(single, single.value, single.value)

    def _measure(self, single: _Single, low: Fraction | None, high: Fraction | None) -> Measure:
        return Measure(low, high, qualifier=single.unit.qualifier, unit=single.unit.plain)

    def _single(self, said: str, unit: Unit | None = None) -> _Single | Refusal:
        """One quantity; a bare number takes ``unit``, else the heading's; else it must be a count."""
        found = read_quantity(said, self.kind)
        if isinstance(found, Refusal):
            return found
        given = unit or self.heading
        taken = given if found.bare and given else found.unit
        if found.bare and not given and self.kind not in taken.kinds:
            return no_unit(clip(said), self.kind)
        if self.kind == "lfl" and taken.name == "%" and not found.number and given and given.name == "%LFL":
            taken = given
        if self.kind not in taken.kinds:
            shown = f"{clip(said)} {taken.name}" if found.bare else clip(said)
            return wrong_kind(shown, taken.name, taken.kinds, self.kind, taken.what)
        value = convert(found.number, taken, self.kind)
        return value if isinstance(value, Refusal) else _Single(value, taken)

    def _step(self, said: str) -> _Single | Refusal:
        """A tolerance or an uncertainty: a difference of two values of the kind, in its base unit."""
        found = read_quantity(said, self.kind)
        if isinstance(found, Refusal):
            return found
        unit = self.heading if found.bare and self.heading else found.unit
        kind = _STEP_OF.get(self.kind, self.kind)
        if found.bare and not self.heading and kind not in unit.kinds:
            return no_unit(clip(said), kind)
        if not {kind, self.kind} & set(unit.kinds) or unit.name in _NOT_A_SCALE:
            return wrong_kind(clip(said), unit.name, unit.kinds, kind, unit.what)
        if found.number < 0:
            return Refusal(f"{clip(said)} is below zero", "how far to either side, zero or more")
        return _Single(found.number * unit.factor, unit)

    def _uncertain(self, said: str, spread: str) -> Measure | Refusal:
        if self.plan:
            hint = "a plan has no uncertainty; write ± for a tolerance"
            return Refusal(f"u={clip(spread)} in a plan", "the planned value", hint)
        if _BOUND.match(said) or _PLUS_MINUS.search(said) or " to " in said:
            return Refusal(f"{clip(said)} is not one value", "one value before u=", "as 5 in u=0.05 in")
        single, step = self._single(said), self._step(spread)
        if isinstance(single, Refusal):
            return single
        if isinstance(step, Refusal):
            return step
        found = self._measure(single, single.value, single.value)
        return msgspec.structs.replace(found, uncertainty=step.value)

    def _band(self, said: str, parts: list[str]) -> Measure | Refusal:
        if not self.plan:
            hint = "say what ± means; write u=0.05 in for a standard uncertainty"
            return Refusal(f"{clip(said)}: ± may be a tolerance or an uncertainty", "one value in a log", hint)
        if len(parts) != 2 or not parts[0] or _BOUND.match(parts[0]):
            return Refusal(
                f"{clip(said)} is not one value and one tolerance",
                "a value ± a tolerance",
                "as 5 in ± 1/4 in",
            )
        step = self._step(parts[1])
        if isinstance(step, Refusal):
            return step
        single = self._single(parts[0], step.unit if self.kind in step.unit.kinds else None)
        if isinstance(single, Refusal):
            return single
        band = self._measure(single, single.value - step.value, single.value + step.value)
        return msgspec.structs.replace(band, tolerance=True)

    def _bounded(self, said: str, sign: str, rest: str) -> Measure | Refusal:
        single = self._single(rest)
        if isinstance(single, Refusal):
            return single
        if sign == "exactly":
            return self._measure(single, single.value, single.value)
        if self.kind == "angle":
            hint = "write one position, as 6 o'clock"
            return Refusal(f"{clip(said)}: positions around the cable have no more or less", expect(self.kind), hint)
        outside = sign in _OPEN
        if sign in _ABOVE:
            return msgspec.structs.replace(self._measure(single, single.value, None), low_open=outside)
        low = None if self.kind in SIGNED else Fraction(0)
        if low is not None and (single.value < low or (outside and single.value == low)):
            return Refusal(f"{clip(said)} leaves nothing at zero or above", expect(self.kind))
        return msgspec.structs.replace(self._measure(single, low, single.value), high_open=outside)

    def _range(self, said: str, first: str, second: str) -> Measure | Refusal:
        high = self._single(second)
        if isinstance(high, Refusal):
            return high
        low = self._single(first, high.unit)
        if isinstance(low, Refusal):
            return low
        ends = (low.value, high.value)
        if self.kind == "wire-size":
            ends = (min(ends), max(ends))
        if ends[0] > ends[1]:
            return Refusal(
                f"{clip(said)} runs backwards",
                "the smaller value first",
                f"as {clip(second)} to {clip(first)}",
            )
        return self._measure(high, *ends)

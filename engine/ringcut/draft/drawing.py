"""A plan measured for its drawing: where along the cable each piece lies, and where around it bar and channel lie.

Nothing is guessed: what a plan does not say is left out, and ``lacking`` says so. How it looks is no matter of this
module.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from fractions import Fraction
from functools import partial

from ringcut.draft.metric import length_unit
from ringcut.draft.pieces import Drawing, Length, Piece
from ringcut.language import ir
from ringcut.reading.measures import show
from ringcut.relations.procedure import Occurrence, Procedure
from ringcut.relations.spans import Span, Value, Words
from ringcut.relations.view import View

HALF = Fraction(1, 2)
OVER_THE_OPENING = {"wrap-muslin": "muslin", "wrap-polyethylene-tape": "polyethylene-tape"}
"""Steps whose layer covers the opening and no more."""
SCUFFED = {"scuff-lead": "lead", "scuff-polyethylene": "polyethylene"}
"""Steps that scuff, and the sheath that they are for where the two ends differ."""


def drawings_of(procedure: Procedure, book: ir.Rulebook) -> tuple[Drawing, ...]:
    """A drawing for each closure of a plan, in order of their first naming."""
    return tuple(_Measuring(View(procedure, book, closure), closure).drawing() for closure in procedure.closures)


class _Measuring:
    """One closure being measured."""

    def __init__(self, view: View, closure: str) -> None:
        self.view, self.closure = view, closure
        self.sides, self.unit = view.procedure.sides, length_unit(view.book)
        self.pieces: list[Piece] = []
        self.lengths: list[Length] = []
        self.lacking: list[str] = []

    def drawing(self) -> Drawing:
        half = self._half_opening() if self._is_covered() else None
        if half is not None and len(self.sides) == 2:
            self._layers(half)
            self._bond_path(half)
            self._sleeve(half)
        elif len(self.sides) != 2:
            self.lacking.append("the side view, which is for two sides")
        return Drawing(
            self.closure, self.sides, self._diameter(), tuple(self.pieces), tuple(self.lengths),
            self._angle("bar", ("place-permanent-bond", "bar-angle")) if self._has_bar() else None,
            self._angle("channel", ("turn-channel", "channel-angle"), ("assemble-sleeve", "channel-angle")),
            tuple(dict.fromkeys(self.lacking)),
        )  # fmt: skip

    # what the plan says

    def _done(self, step: str) -> list[Occurrence]:
        return [each for each in self.view.occurrences if each.step == step]

    def _value(self, step: str, reading: str, side: str = "") -> Value | None:
        """What the latest doing on a side says."""
        for each in reversed(self._done(step)):
            if side and side not in each.sides:
                continue
            found = each.readings.get((reading, side)) or each.readings.get((reading, ""))
            if found is not None:
                return found
        return None

    def _number(self, step: str, reading: str, side: str = "") -> Fraction | None:
        return _middle(self._value(step, reading, side))

    def _is_covered(self) -> bool:
        """Whether there is a closure at all: where an old sleeve only comes off, there is none."""
        if self._word("work") != "sleeve-removal" or self._done("assemble-sleeve"):
            return True
        self.lacking.append("the side view, because an old sleeve comes off and no new one goes on")
        return False

    def _half_opening(self) -> Fraction | None:
        found = self._number("open-sheath", "opening-length")
        if found is None:
            found = self._number("remove-outer-sheath", "section-length")
        if found is None:
            found = _middle(self.view.procedure.job.get(("opening-length", "")))
        if found is None:
            self.lacking.append("the side view, because the length of the opening is not in the plan")
            return None
        place = self._place()
        self._piece(place, -found / 2, found / 2)
        self._length(place, -found / 2, found / 2)
        return found / 2

    def _place(self) -> str:
        if self._done("open-sheath") or self._word("work") == "trouble-opening":
            return "opening"
        if self._done("remove-outer-sheath"):
            return "inner-sheath"
        return "old-step" if self._word("work") == "auxiliary-repair" else "damage"

    def _word(self, fact: str, side: str = "") -> str:
        """The word that a job fact is; empty where it is not known."""
        found = self.view.procedure.job.get((fact, side))
        return found.options[0] if isinstance(found, Words) and len(found.options) == 1 else ""

    def _diameter(self) -> Fraction | None:
        found = _middle(self.view.procedure.job.get(("cable-diameter", "")))
        if found is None:
            self.lacking.append("the height of the cable, because its diameter is not in the plan")
        other = self.view.procedure.job.get(("second-diameter", ""))
        if found is not None and other is not None and self._is_covered():
            thick = show(found, "length", self.unit)
            self.lacking.append(
                f"the change of diameter and its ramp: both ends are drawn {thick} thick, as one end is"
            )
        return found

    def _has_bar(self) -> bool:
        """A strap, braid or wire has no angle around the cable; what is not said may be a bar."""
        found = self._value("place-permanent-bond", "conductor")
        return not isinstance(found, Words) or "bar" in found.options

    def _angle(self, what: str, *places: tuple[str, str]) -> Fraction | None:
        """An angle where one of the steps is in the plan; the first that says one counts."""
        for step, reading in places:
            found = self._number(step, reading)
            if found is not None:
                return found % 360
        if any(self._done(step) for step, _ in places):
            self.lacking.append(f"the {what} around the cable, because its angle is not in the plan")
        return None

    # pieces

    def _piece(self, kind: str, start: Fraction, end: Fraction, side: str = "", by_place: bool = False) -> None:
        self.pieces.append(Piece(kind, start, end, side, by_place))

    def _length(self, kind: str, start: Fraction, end: Fraction, side: str = "") -> None:
        self.lengths.append(Length(kind, start, end, show(end - start, "length", self.unit), side))

    def _outward(self, side: str, near: Fraction, far: Fraction) -> tuple[Fraction, Fraction]:
        """From ``near`` to ``far`` beyond the middle, on a side."""
        return (-far, -near) if side == self.sides[0] else (near, far)

    def _layers(self, half: Fraction) -> None:
        for step, kind in OVER_THE_OPENING.items():
            if self._done(step):
                self._piece(kind, -half, half)
        pads = self._pads()
        if pads is not None:
            self._piece("pads", -pads / 2, pads / 2)
            self._length("pads", -pads / 2, pads / 2)
        tie = self._number("tie-bar", "width")
        if tie is not None:
            self._piece("tie", -tie / 2, tie / 2)
        if self._done("wrap-rubber-tape"):
            first, second = (self._reach(side, "wrap-rubber-tape", "overlap", "the rubber tape") for side in self.sides)
            self._piece("rubber-tape", -half - first, half + second)
            self._beyond("overlap", half, (first, second))
        self._per_side(self._clamp_tape, half)
        self._per_side(self._aluminum, half)
        for step in SCUFFED:
            self._per_side(partial(self._scuffed, step), half)

    def _per_side(self, measure: Callable[[str, Fraction], None], half: Fraction) -> None:
        for side in self.sides:
            measure(side, half)

    def _beyond(self, kind: str, half: Fraction, reaches: Iterable[Fraction]) -> None:
        for side, reach in zip(self.sides, reaches, strict=True):
            if reach > 0:
                self._length(kind, *self._outward(side, half, half + reach), side)

    def _reach(self, side: str, step: str, reading: str, what: str) -> Fraction:
        found = self._number(step, reading, side)
        if found is None:
            self.lacking.append(f"how far {what} reaches beyond the opening, because it is not in the plan")
        return found or Fraction(0)

    def _covers(self, step: str, side: str) -> bool:
        return any(side in each.sides for each in self._done(step))

    def _pads(self) -> Fraction | None:
        count, each = self._number("place-pads", "pads"), self._number("place-pads", "pad-length")
        if count is None or each is None or count < 1:
            return None
        return count * each - (count - 1) * (self._number("place-pads", "pad-overlap") or 0)

    def _clamp_tape(self, side: str, half: Fraction) -> None:
        if not self._covers("tape-clamps", side):
            return
        width, reach = self._number("tape-clamps", "width", side), self._number("tape-clamps", "reach", side)
        if width is None:
            return
        inside = width * HALF if reach is None else reach
        start, end = self._outward(side, half - inside, half - inside + width)
        self._piece("clamp-tape", start, end, side, by_place=reach is None)

    def _aluminum(self, side: str, half: Fraction) -> None:
        if not self._covers("wrap-aluminum-tape", side):
            return
        reach = self._reach(side, "wrap-aluminum-tape", "reach", "the aluminum tape")
        width = self._number("wrap-aluminum-tape", "width", side)
        near = half + reach - (width or reach)
        self._piece("aluminum-tape", *self._outward(side, near, half + reach), side, by_place=width is None)
        if reach > 0:
            self._length("aluminum-reach", *self._outward(side, half, half + reach), side)

    def _scuffed(self, step: str, side: str, half: Fraction) -> None:
        is_other = self._word("sheath", side) not in ("", SCUFFED[step])
        found = self._number(step, "scuffed-length", side) if self._covers(step, side) and not is_other else None
        if found is not None:
            self._piece("scuffed", *self._outward(side, half, half + found), side)
            self._length("scuffed", *self._outward(side, half, half + found), side)

    def _bond_path(self, half: Fraction) -> None:
        bar = self._number("place-permanent-bond", "bar-length")
        if bar is not None:
            self._piece("bar", -bar / 2, bar / 2)
            self._length("bar", -bar / 2, bar / 2)
        if self._done("fit-bond-clamps"):
            for side in self.sides:
                edge = -half if side == self.sides[0] else half
                self._piece("clamp", edge, edge, side, by_place=True)

    def _sleeve(self, half: Fraction) -> None:
        count = len(self._done("assemble-sleeve"))
        if count > 1 and not self._done("overlap-sleeve"):
            self.lacking.append("the sleeves, because there is more than one and the plan does not say how they lie")
            return
        ends = self._bonds(half)
        if count > 1:
            self._sleeves(ends, count)
        else:
            self._one_sleeve(ends)

    def _bonds(self, half: Fraction) -> list[Fraction]:
        """How far the adhesive reaches on each side from the middle; its pieces."""
        ends = []
        for side in self.sides:
            outermost = half + self._outermost(side)
            bond = self._number("assemble-sleeve", "bond-length", side)
            if bond is not None:
                self._piece("bond", *self._outward(side, outermost, outermost + bond), side)
                self._length("bond", *self._outward(side, outermost, outermost + bond), side)
            ends.append(outermost + (bond or 0))
        return ends

    def _sleeves(self, ends: list[Fraction], count: int) -> None:
        """The pieces of a long repair, evenly over what they cover together."""
        each, pieces = self._number("trim-sleeve", "sleeve-length"), self._number("trim-sleeve", "pieces")
        whole = self._number("overlap-sleeve", "covered-length")
        if each is None or whole is None or pieces != count or whole <= each:
            said = "how many pieces there are, how long each is and what they cover together"
            self.lacking.append(f"the sleeves, because the plan does not say {said}")
            return
        start = -ends[0] - (whole - sum(ends)) / 2
        further = (whole - each) / (count - 1)
        for number in range(count):
            near = start + number * further
            kind = "next-sleeve" if number % 2 else "sleeve"
            self._piece(kind, near, near + each)
            self._length(kind, near, near + each)
            if number and each > further:
                self._length("sleeve-overlap", near, near - further + each)
        self._length("covered", start, start + whole)

    def _one_sleeve(self, ends: list[Fraction]) -> None:
        sleeve = self._number("trim-sleeve", "sleeve-length")
        if sleeve is None:
            if self._done("assemble-sleeve"):
                self.lacking.append("the sleeve, because the length it is trimmed to is not in the plan")
            return
        # what is longer than needed lies half on each side, as the allowance for centring does
        spare = (sleeve - sum(ends)) / 2
        start, end = -ends[0] - spare, ends[1] + spare
        self._piece("sleeve", start, end)
        self._length("sleeve", start, end)
        self._channel((start + end) / 2)

    def _channel(self, middle: Fraction) -> None:
        channel = self._number("trim-channel", "channel-length")
        if channel is not None:
            self._piece("channel", middle - channel / 2, middle + channel / 2)
            self._length("channel", middle - channel / 2, middle + channel / 2)

    def _outermost(self, side: str) -> Fraction:
        """How far the outermost layer under the sleeve reaches beyond the opening."""
        reaches = [self._number("wrap-rubber-tape", "overlap", side), self._number("wrap-aluminum-tape", "reach", side)]
        return max((reach for reach in reaches if reach is not None), default=Fraction(0))


def _middle(value: Value | None) -> Fraction | None:
    """The number in a value: of a tolerance the middle; None where it has no two ends."""
    if isinstance(value, Span) and value.low is not None and value.high is not None:
        return (value.low + value.high) / 2
    return None

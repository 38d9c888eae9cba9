"""Which limits a refutation rests on: for each end of each domain, those that moved it there.

Limits are bits of a number, so that sets of them are joined quickly. A branch of a search is refuted by one limit at
last; that limit, and those that moved the ends that it looked at, refute the branch together. Where the search split a
domain, the end that the split moved rests on nothing: the other part is refuted by itself, and what refutes both parts
refutes the whole. An end that a sum does not need where it is counts from where it first was, and then rests on nothing
either. The set found is enough for the refutation; it need not be the smallest.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from ringcut.fit.arcs import Arcs
from ringcut.fit.limits import AtMost, Limit


class Blame:
    """What the state of all domains rests on; a state of the search has one of its own."""

    __slots__ = ("_between", "_bits", "_high", "_low")

    def __init__(self, bits: Mapping[Limit, int], variables: int) -> None:
        """``bits`` has a bit for each limit that may be blamed; others are taken as given."""
        self._bits = bits
        self._low, self._high, self._between = [0] * variables, [0] * variables, [0] * variables

    def copy(self) -> Blame:
        """The same, to be changed apart."""
        found = Blame(self._bits, 0)
        found._low, found._high, found._between = self._low.copy(), self._high.copy(), self._between.copy()
        return found

    def decided(self, variable: int, whole: int, part: int) -> None:
        """The search took one part of a domain, its lower or its upper one."""
        if part.bit_length() < whole.bit_length():
            self._high[variable] = 0
        else:
            self._low[variable] = 0

    def struck(self, limit: Limit, changed: Sequence[int], before: Sequence[int], masks: Sequence[int]) -> None:
        """A limit struck values of ``changed``; ``before`` are the masks of its scope as it found them."""
        if isinstance(limit, AtMost):
            self._struck_by_sum(limit, changed)
        elif isinstance(limit, Arcs):
            self._struck_by_arcs(limit, changed, dict(zip(limit.scope, before, strict=True)), masks)
        else:
            found = self._all_of(limit)
            for variable in changed:
                self._between[variable] |= found

    def refuted(self, limit: Limit, masks: Sequence[int]) -> int:
        """The limits on which it rests that ``limit`` left nothing to a variable, or cannot be kept at all."""
        if not isinstance(limit, AtMost):
            return self._all_of(limit)
        found, spare = self.own(limit), -1 - limit.bound
        ends: list[tuple[int, int]] = []
        for variable, c, numbers in limit.terms:
            mask = masks[variable]
            at = numbers[(mask & -mask if c > 0 else mask).bit_length() - 1]
            spare += c * at
            if rests := self.end(variable, c > 0):
                ends.append((c * (at - numbers[0 if c > 0 else -1]), rests))
        for cost, rests in sorted(ends):
            if cost <= spare:
                spare -= cost
            else:
                found |= rests
        return found

    def _struck_by_sum(self, limit: AtMost, changed: Sequence[int]) -> None:
        own = self.own(limit)
        ends = [(variable, c > 0, self.end(variable, c > 0)) for variable, c, _ in limit.terms]
        for variable, upwards, _ in ends:
            if variable in changed:
                found = own
                for other, _, rests in ends:
                    if other != variable:
                        found |= rests
                (self._high if upwards else self._low)[variable] = found

    def _struck_by_arcs(
        self, limit: Arcs, changed: Sequence[int], before: Mapping[int, int], masks: Sequence[int]
    ) -> None:
        # Which way round comes first: the ends of the angles are then worked out from it.
        own = self._bits.get(limit, 0)
        first, second, arc = limit.scope
        a, b = (self.end(first, True), self.end(first, False)), (self.end(second, True), self.end(second, False))
        least, most = own | a[0] | b[1], own | a[1] | b[0]
        if arc in changed:
            self._moved(arc, before[arc], masks[arc], least, most)
        low, high = own | self.end(arc, True), own | self.end(arc, False)
        for variable, lowest, highest in (
            (first, b[0] | low, b[1] | high),
            (second, a[0] | high, a[1] | low),
        ):
            if variable in changed:
                self._moved(variable, before[variable], masks[variable], lowest, highest)

    def _moved(self, variable: int, before: int, mask: int, lowest: int, highest: int) -> None:
        if mask & -mask != before & -before:
            self._low[variable] = lowest
        if mask.bit_length() != before.bit_length():
            self._high[variable] = highest

    def end(self, variable: int, lower: bool) -> int:
        """What the least value left of a variable rests on (``lower``), or the largest."""
        # What was struck between the ends made the next value that was left an end.
        return (self._low if lower else self._high)[variable] | self._between[variable]

    def own(self, limit: Limit) -> int:
        """What a sum rests on besides the ends that it looks at; an end of arcs rests on which way round is left."""
        found = limit.because if isinstance(limit, AtMost) else 0
        for source in (limit.made_of if isinstance(limit, AtMost) else ()) or (limit,):
            found |= self._bits.get(source, 0)
            if isinstance(source, Arcs):
                found |= self._low[source.scope[2]] | self.end(source.scope[2], False)
        return found

    def _all_of(self, limit: Limit) -> int:
        found = self._bits.get(limit, 0)
        for variable in limit.scope:
            found |= self._low[variable] | self.end(variable, False)
        return found

"""One question to a compiled problem: all domains tightened, unjoined parts taken apart, each part searched.

Everything here is in masks, and raises OutOfBudget where the meter ends; ``solve`` turns it into answers.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from fractions import Fraction
from itertools import islice

from ringcut.fit.answers import Meter
from ringcut.fit.arcs import Arcs
from ringcut.fit.compiled import Compiled, Network
from ringcut.fit.limits import AtMost, Limit
from ringcut.fit.problem import Preference
from ringcut.fit.relaxation import Relaxation
from ringcut.fit.search import Splits

FEW = 8
"""Values that are looked for one after the other; of more, the least and the most come first."""


class Question:
    """One question: the limits in force, and the meter it is paid from."""

    def __init__(self, compiled: Compiled, limits: list[Limit], meter: Meter) -> None:
        """``limits`` are those in force, of this compiled problem."""
        self._compiled = compiled
        self._limits = limits
        self._meter = meter
        self.struck: set[Limit] = set()
        """Every limit that has struck a value: what was refuted, these refute."""

    def any(self, masks: list[int] | None = None) -> list[int] | None:
        """One solution within ``masks``, or None."""
        return next(self.improving((), masks), None)

    def improving(self, preferences: Sequence[Preference], masks: list[int] | None = None) -> Iterator[list[int]]:
        """Complete choices, each better than the last, until the last is proved best."""
        start = self._tightened(self._compiled.full if masks is None else masks)
        if start is None:
            return
        whole = start
        ways = [(part, self._improving_part(part, preferences, start)) for part in self._parts(start)]
        for part, way in ways:
            found = next(way, None)
            if found is None:
                return
            whole = _with_part(whole, part, found)
        yield whole
        for part, way in ways:
            for found in way:
                whole = _with_part(whole, part, found)
                yield whole

    def _improving_part(
        self, part: list[int], preferences: Sequence[Preference], start: list[int]
    ) -> Iterator[list[int]]:
        compiled, limits = self._compiled, list(self._limits)
        best: list[int] | None = None
        for preference in preferences:
            names = [compiled.names[v] for v in self._asked(part)]
            mine = {name: preference.terms.get(name, Fraction(0)) for name in names}
            if not any(mine.values()):
                continue
            aim = compiled.at_most(mine, Fraction(0))
            aim.bound = aim.largest() if best is None else aim.of(best) - 1
            for best in self._search([*limits, aim], part, start, aim):
                yield best
            if best is None:
                return
            aim.bound = aim.of(best)
            limits.append(aim)
        if best is None:
            yield from islice(self._search(limits, part, start), 1)

    def remaining(self, wanted: Collection[int] | None = None) -> list[int] | None:
        """For each variable the mask of the values that occur in some solution; None if there is none.

        ``wanted``: only for these; of the others some are left out.
        """
        start = self._tightened(self._compiled.full)
        if start is None:
            return None
        proved = [mask if mask & (mask - 1) == 0 else 0 for mask in start]
        for part in self._parts(start):
            network = Network(self._limits, len(start))
            asked_for = [v for v in self._asked(part) if wanted is None or v in wanted]
            if not asked_for and next(self._search(self._limits, part, start), None) is None:
                return None
            for variable in asked_for:
                self._prove_ends(variable, part, start, proved, network)
                while unproved := start[variable] & ~proved[variable]:
                    asked = start.copy()
                    asked[variable] = unproved
                    found = next(self._search(self._limits, part, asked), None)
                    if found is None:
                        start[variable] &= proved[variable]
                        break
                    self._prove(found, part, start, proved, network)
                if not proved[variable]:
                    return None
        return proved

    def _prove_ends(
        self, variable: int, part: list[int], start: list[int], proved: list[int], network: Network
    ) -> None:
        # Where a number is at its least and its most, the others leave it most room: few solutions prove the rest.
        compiled = self._compiled
        name = compiled.names[variable]
        if (start[variable] & ~proved[variable]).bit_count() <= FEW or not compiled.numbers[variable]:
            return
        for sign in (1, -1):
            mask = start[variable]
            if not mask:
                return
            end = mask & -mask if sign > 0 else 1 << (mask.bit_length() - 1)
            if proved[variable] & end:
                continue
            aim = compiled.at_most({name: Fraction(sign)}, Fraction(0))
            aim.bound = aim.largest()
            last = 0
            for found in self._search([*self._limits, aim], part, start, aim):
                last = found[variable]
                self._prove(found, part, start, proved, network)
            if sign > 0:
                start[variable] &= ~(last - 1) if last else 0
            else:
                start[variable] &= (last << 1) - 1 if last else 0

    def _prove(self, found: list[int], part: list[int], start: list[int], proved: list[int], network: Network) -> None:
        ways = [variable for variable in part if variable >= len(self._compiled.names)]
        for variable in self._asked(part):
            around = found.copy()
            for opened in (variable, *ways):
                around[opened] = start[opened]
            network.tighten(around, network.watching[variable], self._meter)
            proved[variable] |= around[variable]

    def _asked(self, part: list[int]) -> list[int]:
        """The variables of a part that the caller knows; those of arcs come after them."""
        return [variable for variable in part if variable < len(self._compiled.names)]

    def _parts(self, masks: list[int]) -> list[list[int]]:
        parts = Network(self._limits, len(masks)).parts(masks)
        return [part for part in parts if part[0] < len(self._compiled.names)]

    def _search(
        self,
        limits: Sequence[Limit],
        part: list[int],
        masks: list[int],
        aim: AtMost | None = None,
    ) -> Iterator[list[int]]:
        inside = set(part)
        mine = [limit for limit in limits if any(v in inside for v in limit.scope)]
        network = Network(mine, len(masks), self.struck)
        sums = [limit for limit in mine if isinstance(limit, AtMost) and limit is not aim]
        arcs = [limit for limit in mine if isinstance(limit, Arcs)]
        relaxation = None
        if sums or arcs or aim:
            relaxation = Relaxation(sums, masks, part, self._compiled.numbers, aim, arcs)
        yield from Splits(network, part, self._meter, relaxation, aim).solutions(masks)

    def _tightened(self, masks: list[int]) -> list[int] | None:
        tight = masks.copy()
        network = Network(self._limits, len(tight), self.struck)
        return tight if network.tighten(tight, range(len(self._limits)), self._meter) else None


def _with_part(whole: list[int], part: list[int], found: list[int]) -> list[int]:
    inside = set(part)
    return [found[v] if v in inside else mask for v, mask in enumerate(whole)]

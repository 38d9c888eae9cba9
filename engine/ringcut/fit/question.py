"""One question to a compiled problem: all domains tightened, unjoined parts taken apart, each part searched.

Everything here is in masks, and raises OutOfBudget where the meter ends; ``solve`` turns it into answers.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import islice

from ringcut.fit.answers import Meter
from ringcut.fit.compiled import Compiled, Network
from ringcut.fit.limits import AtMost, Limit
from ringcut.fit.problem import Preference
from ringcut.fit.relaxation import Relaxation
from ringcut.fit.search import Halvings


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
        parts = Network(self._limits, len(start)).parts(start)
        ways = [(part, self._improving_part(part, preferences, start)) for part in parts]
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
            mine = {compiled.names[v]: preference.terms.get(compiled.names[v], Fraction(0)) for v in part}
            if not any(mine.values()):
                continue
            aim = compiled.at_most(mine, Fraction(0))
            aim.bound = aim.largest() if best is None else aim.of(best) - 1
            for best in self._search([*limits, aim], part, start, aim):
                aim.bound = aim.of(best) - 1
                yield best
            if best is None:
                return
            aim.bound = aim.of(best)
            limits.append(aim)
        if best is None:
            yield from islice(self._search(limits, part, start, None, one=True), 1)

    def remaining(self) -> list[int] | None:
        """For each variable the mask of the values that occur in some solution; None if there is none."""
        start = self._tightened(self._compiled.full)
        if start is None:
            return None
        proved = [mask if mask & (mask - 1) == 0 else 0 for mask in start]
        for part in Network(self._limits, len(start)).parts(start):
            network = Network(self._limits, len(start))
            for variable in part:
                while unproved := start[variable] & ~proved[variable]:
                    asked = start.copy()
                    asked[variable] = unproved
                    found = next(self._search(self._limits, part, asked, None, one=True), None)
                    if found is None:
                        start[variable] &= proved[variable]
                        break
                    self._prove(found, part, start, proved, network)
                if not proved[variable]:
                    return None
        return proved

    def _prove(self, found: list[int], part: list[int], start: list[int], proved: list[int], network: Network) -> None:
        for variable in part:
            around = found.copy()
            around[variable] = start[variable]
            network.tighten(around, network.watching[variable], self._meter)
            proved[variable] |= around[variable]

    def _search(
        self,
        limits: Sequence[Limit],
        part: list[int],
        masks: list[int],
        aim: AtMost | None,
        one: bool = False,
    ) -> Iterator[list[int]]:
        inside = set(part)
        mine = [limit for limit in limits if any(v in inside for v in limit.scope)]
        network = Network(mine, len(masks), self.struck)
        sums = [limit for limit in mine if isinstance(limit, AtMost) and limit is not aim]
        moving = [number for number, limit in enumerate(mine) if limit is aim]
        relaxation = Relaxation(sums, masks, part, self._compiled.numbers, aim) if sums or aim else None
        yield from Halvings(network, part, self._meter, relaxation, moving, one).solutions(masks)

    def _tightened(self, masks: list[int]) -> list[int] | None:
        tight = masks.copy()
        network = Network(self._limits, len(tight), self.struck)
        return tight if network.tighten(tight, range(len(self._limits)), self._meter) else None


def _with_part(whole: list[int], part: list[int], found: list[int]) -> list[int]:
    inside = set(part)
    return [found[v] if v in inside else mask for v, mask in enumerate(whole)]

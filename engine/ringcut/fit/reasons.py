"""A minimal conflict of labels of a compiled problem: one label after the other is left out, the least important first.

Two things spare most of the questions. Where what is left still cannot hold, the limits that struck nothing in that
proof go at once. Where it can, the label left out is needed, and the solution, which breaks that label alone, is a
witness: where one variable can be given another value so that it breaks another label alone, that one is needed too,
without a question (the idea of model rotation: Belov and Marques-Silva, FMCAD 2011; from memory).
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

from ringcut.fit.answers import Budget, Meter, NoSolution, OutOfBudget
from ringcut.fit.arcs import Arcs
from ringcut.fit.compiled import Compiled
from ringcut.fit.limits import Limit
from ringcut.fit.problem import Label
from ringcut.fit.question import Question
from ringcut.fit.splits import nearest


class Reasons:
    """Why a problem has no solution."""

    def __init__(self, compiled: Compiled, budget: Budget) -> None:
        self._compiled, self._budget = compiled, budget
        self._limits: dict[Label | None, list[Limit]] = {}
        for constraint, limits in zip(compiled.problem.constraints, compiled.limits, strict=True):
            self._limits.setdefault(constraint.label, []).extend(limits)
        self._needed: set[Label] = set()

    def minimal(self, struck: Collection[Limit]) -> NoSolution:
        """A minimal conflict among the labels whose limits struck something in a proof that there is no solution.

        Labels come in the order of the problem, and those that come first are left out last. Cost: a question for
        each label of the conflict at most, and one for each time that it became smaller.
        """
        left = self._struck(self._compiled.problem.labels(), struck)
        while opened := [label for label in left if label not in self._needed]:
            tried = opened[-1]
            rest = tuple(label for label in left if label is not tried)
            question = Question(self._compiled, self._in_force(rest), Meter(self._budget))
            try:
                found = question.any()
            except OutOfBudget:
                return NoSolution(left, minimal=False)
            if found is None:
                left = self._struck(rest, question.struck)
            else:
                self._witness(found, tried, left)
        return NoSolution(left)

    def _struck(self, labels: Sequence[Label], struck: Collection[Limit]) -> tuple[Label, ...]:
        return tuple(label for label in labels if any(limit in struck for limit in self._limits[label]))

    def _in_force(self, labels: Collection[Label]) -> list[Limit]:
        chosen = {None, *labels}
        return [limit for label, limits in self._limits.items() if label in chosen for limit in limits]

    def _witness(self, found: list[int], broken: Label, among: Sequence[Label]) -> None:
        """Note what a choice that breaks one label alone, and those one value away from it, show to be needed."""
        self._needed.add(broken)
        pending = [(found, broken)]
        while pending:
            masks, broken = pending.pop()
            for variable in dict.fromkeys(v for limit in self._limits[broken] for v in limit.scope):
                if variable >= len(self._compiled.names):
                    continue
                for other, bit in self._rotated(masks, variable, broken, among):
                    self._needed.add(other)
                    changed = masks.copy()
                    changed[variable] = bit
                    pending.append((changed, other))

    def _rotated(
        self, masks: list[int], variable: int, broken: Label, among: Sequence[Label]
    ) -> Iterator[tuple[Label, int]]:
        """Labels not known to be needed, each with a value of a variable that breaks it alone."""
        allowed: dict[Label | None, int] = {}
        for label in (None, *among):
            limits = [each for each in self._limits.get(label, ()) if variable in each.scope]
            if limits:
                allowed[label] = self._allowed(masks, variable, limits)
        if broken not in allowed:
            return
        for other in among:
            if other is broken or other in self._needed or other not in allowed:
                continue
            alone = self._compiled.full[variable]
            for label, mask in allowed.items():
                alone &= ~mask if label is other else mask
            if alone:
                yield other, nearest(alone, masks[variable].bit_length() - 1)

    def _allowed(self, masks: list[int], variable: int, limits: Sequence[Limit]) -> int:
        """The values of one variable that some limits leave it beside the values of the others."""
        tried, changed = masks.copy(), list[int]()
        tried[variable] = self._compiled.full[variable]
        meter = Meter(self._budget)
        # which way round two angles are apart is no choice of the caller's: their own limit decides
        return tried[variable] if all(
            isinstance(limit, Arcs) or limit.revise(tried, changed, meter) for limit in limits
        ) else 0  # fmt: skip

"""A minimal conflict of labels of a compiled problem: one label after the other is left out, the least important first.

Four things spare most of the long proofs. Where what is left still cannot hold, the limits that this proof does not
rest on go at once (``blame``). Where it can, the label left out is needed, and the solution, which breaks that label
alone, is a witness: where one variable can be given another value so that it breaks another label alone, that one is
needed too, without a question (the idea of model rotation: Belov and Marques-Silva, FMCAD 2011; from memory). Every
label is left out in a short search first, for solutions are found soon; and all labels that are not known to be needed
after that are left out at once: if the others cannot hold, no label more is in the conflict.
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

PROBE = 4
"""Nodes of a short search: most solutions are found at once, and a proof that there is none takes longer."""


class Reasons:
    """Why a problem has no solution."""

    def __init__(self, compiled: Compiled, budget: Budget) -> None:
        self._compiled, self._budget = compiled, budget
        self._limits: dict[Label | None, list[Limit]] = {}
        for constraint, limits in zip(compiled.problem.constraints, compiled.limits, strict=True):
            self._limits.setdefault(constraint.label, []).extend(limits)
        self._needed: set[Label] = set()
        self._possible: list[frozenset[Label]] = []
        self._probes: set[tuple[Label, ...]] = set()

    def minimal(self) -> NoSolution:
        """A minimal conflict of a problem that has no solution.

        Labels come in the order of the problem, and those that come first are left out last. Cost: a question for
        each label of the conflict at most, and one for each time that it became smaller; most of them are short.
        """
        left = self._compiled.problem.labels()
        try:
            while True:
                left = self._probed(left)
                opened = [label for label in left if label not in self._needed]
                if not opened:
                    return NoSolution(left)
                smaller = self._without(left, opened)
                if smaller is None:
                    smaller = self._without(left, opened[-1:])
                left = left if smaller is None else smaller
        except OutOfBudget:
            return NoSolution(left, minimal=False)

    def _probed(self, left: tuple[Label, ...]) -> tuple[Label, ...]:
        """What is left after each label was left out in turn, where a short search tells what comes of it.

        After one of which it tells nothing, labels stay: they are more important than that one.
        """
        short = Budget(min(PROBE, self._budget.nodes), self._budget.checks)
        told = True
        for tried in reversed(left):
            if tried in left and tried not in self._needed:
                asked = tuple(label for label in left if label is not tried)
                if asked in self._probes:
                    told = False
                    continue
                self._probes.add(asked)
                try:
                    smaller = self._without(left, [tried], short)
                except OutOfBudget:
                    told = False
                    continue
                left = smaller if told and smaller is not None else left
        return left

    def _without(
        self, left: tuple[Label, ...], tried: Sequence[Label], budget: Budget | None = None
    ) -> tuple[Label, ...] | None:
        """What refutes a problem without some labels; None where it has a solution then. Raises OutOfBudget."""
        rest = tuple(label for label in left if label not in tried)
        if any(known.issuperset(rest) for known in self._possible):
            self._needed.update(tried if len(tried) == 1 else ())
            return None
        question = Question(self._compiled, self._in_force(rest), Meter(budget or self._budget))
        found = question.any()
        if found is None:
            return self._guilty(rest, question.guilty)
        self._possible.append(frozenset(rest))
        if len(tried) == 1:
            self._witness(found, tried[0], left)
        return None

    def _guilty(self, labels: Sequence[Label], guilty: Collection[Limit]) -> tuple[Label, ...]:
        return tuple(label for label in labels if any(limit in guilty for limit in self._limits[label]))

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

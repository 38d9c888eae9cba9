"""Questions to a problem: a first choice, the best choice, the values left for each variable, or why there
is none.

Every question tightens all domains first, takes the parts that no constraint joins apart, and searches
each of them (``search``). An answer is proved, or it is ``GaveUp``. Without a solution the answer names a
minimal conflict.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

from ringcut.fit.answers import Budget, GaveUp, Meter, NoSolution, OutOfBudget, Remaining, Solution
from ringcut.fit.compiled import Compiled
from ringcut.fit.limits import Limit, members
from ringcut.fit.problem import Label, Preference, Problem
from ringcut.fit.question import Question
from ringcut.fit.reasons import Reasons

DEFAULT = Budget()


def first(problem: Problem, budget: Budget = DEFAULT) -> Solution | NoSolution | GaveUp:
    """Some complete choice that satisfies every constraint."""
    return best(problem, (), budget)


def best(
    problem: Problem, preferences: Sequence[Preference], budget: Budget = DEFAULT
) -> Solution | NoSolution | GaveUp:
    """The choice with the least worth: by the first preference, among equals by the second, and so on.

    Raises ValueError where a preference is over words or an unknown variable. ``GaveUp`` carries the best
    choice met.
    """
    _require_numbers(problem, preferences)
    compiled = Compiled(problem)
    question = Question(compiled, _in_force(compiled, problem.labels()), Meter(budget))
    met: list[int] | None = None
    try:
        for masks in question.improving(preferences):
            met = masks
    except OutOfBudget as reason:
        return GaveUp(str(reason), compiled.read(met) if met else None)
    if met is None:
        return Reasons(compiled, budget).minimal(question.struck)
    values = compiled.read(met)
    return Solution(values, tuple(preference.worth(values) for preference in preferences))


def remaining(
    problem: Problem, budget: Budget = DEFAULT, names: Collection[str] | None = None
) -> Remaining | NoSolution | GaveUp:
    """For each variable, or each of ``names``, exactly the values that occur in some solution.

    Each solution met proves, besides its own values, every value it still allows with all others kept; a
    search for a solution among the unproved values of a variable refutes all of them at once.
    """
    compiled = Compiled(problem)
    question = Question(compiled, _in_force(compiled, problem.labels()), Meter(budget))
    try:
        left = question.remaining(None if names is None else {compiled.position(name) for name in names})
    except OutOfBudget as reason:
        return GaveUp(str(reason))
    if left is None:
        return Reasons(compiled, budget).minimal(question.struck)
    return Remaining(
        {
            name: tuple(values[position] for position in members(mask))
            for name, values, mask in zip(compiled.names, compiled.values, left, strict=False)
            if names is None or name in names
        }
    )


def consistent(compiled: Compiled, labels: Collection[Label], budget: Budget = DEFAULT) -> bool | GaveUp:
    """Whether the background and the constraints under these labels can hold together."""
    try:
        return Question(compiled, _in_force(compiled, labels), Meter(budget)).any() is not None
    except OutOfBudget as reason:
        return GaveUp(str(reason))


def _in_force(compiled: Compiled, labels: Collection[Label]) -> list[Limit]:
    chosen = set(labels)
    both = zip(compiled.problem.constraints, compiled.limits, strict=True)
    return [limit for c, limits in both if c.label is None or c.label in chosen for limit in limits]


def _require_numbers(problem: Problem, preferences: Sequence[Preference]) -> None:
    names = [name for preference in preferences for name in preference.terms]
    faults = [f"unknown variable {name}" for name in names if name not in problem.variables]
    faults += problem.require_numbers(names)
    if faults:
        raise ValueError("; ".join(dict.fromkeys(faults)))

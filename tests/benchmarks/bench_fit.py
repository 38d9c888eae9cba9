"""Time of a first choice, the best choice and a proof of conflict, beside OR-Tools CP-SAT in the same run.

    python tests/benchmarks/bench_fit.py [problems] [--plain SECONDS]

Random problems, each of 8 variables with 500 values under 15 limits: 12 linear ones over two to four
variables with coefficients of -3 to 3, and 3 angular ones. The proof of conflict is of the hardest kind: the
last limit asks for a choice better than the best of the other 14. A minimal conflict takes about ten such
questions more; CP-SAT is not asked for one. CP-SAT runs with one worker, its model built in the measured
time, on the same problems, and every answer is compared. ``--plain`` also hands the same problems, with
domains already tightened, to python-constraint one variable a domain, and stops it after so long.
"""

from __future__ import annotations

import argparse
import random
import sys
from collections import defaultdict
from collections.abc import Callable
from fractions import Fraction
from math import nan
from multiprocessing import Process
from statistics import median
from time import perf_counter
from typing import TypeVar

from ringcut.fit.answers import Meter, NoSolution, Solution
from ringcut.fit.compiled import Compiled, Network
from ringcut.fit.limits import members
from ringcut.fit.problem import Apart, Constraint, Label, Linear, Preference, Problem
from ringcut.fit.solve import DEFAULT, best, consistent, first

NAMES = tuple(f"v{number}" for number in range(8))
GRID = tuple(Fraction(step, 4) for step in range(500))
TURN = Fraction(125)
LIMITS, EVERY_FIFTH_IS_ANGULAR = 15, 5
COEFFICIENTS = [Fraction(c) for c in (-3, -2, -1, 1, 2, 3)]
FARTHEST = 10**6

T = TypeVar("T")


def random_problem(seed: int, count: int = LIMITS) -> tuple[Problem, Preference]:
    """A problem that has a solution, with limits close to it, and a preference over all variables."""
    draw = random.Random(seed)
    hidden = {name: draw.choice(GRID) for name in NAMES}
    limits: list[Constraint] = []
    while len(limits) < count:
        label = Label(f"limit-{len(limits)}")
        if len(limits) % EVERY_FIFTH_IS_ANGULAR == EVERY_FIFTH_IS_ANGULAR - 1:
            a, b = draw.sample(NAMES, 2)
            apart = Apart(a, b, Fraction(draw.choice([20, 30, 45])), label, turn=TURN)
            limits += [apart] if apart.holds(dict(hidden)) else []
            continue
        terms = {name: draw.choice(COEFFICIENTS) for name in draw.sample(NAMES, draw.randint(2, 4))}
        at = sum((c * hidden[name] for name, c in terms.items()), Fraction(0))
        gap = Fraction(draw.randint(0, 40), 4)
        limits.append(draw.choice([Linear(terms, "<=", at + gap, label), Linear(terms, ">=", at - gap, label)]))
    return (
        Problem(dict.fromkeys(NAMES, GRID), tuple(limits)),
        Preference({name: draw.choice(COEFFICIENTS) for name in NAMES}),
    )


def by_cp_sat(problem: Problem, preference: Preference | None) -> Fraction | None:
    """The worth of the best (or any) choice; None where CP-SAT proves that there is none."""
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    steps = {name: model.new_int_var(0, len(GRID) - 1, name) for name in NAMES}
    for limit in problem.constraints:
        if isinstance(limit, Apart):
            around, turns = model.new_int_var(0, int(4 * TURN) - 1, ""), model.new_int_var(-1, 0, "")
            model.add(steps[limit.first] - steps[limit.second] == around + int(4 * TURN) * turns)
            model.add_linear_constraint(around, int(4 * limit.least), int(4 * (TURN - limit.least)))
        elif isinstance(limit, Linear):
            total = sum(int(c) * steps[name] for name, c in limit.terms.items())
            bound = int(4 * limit.bound)
            low, high = {"<=": (-FARTHEST, bound), "<": (-FARTHEST, bound - 1)}.get(limit.op, (bound, FARTHEST))
            model.add_linear_constraint(total, low, high)
    if preference:
        model.minimize(sum(int(c) * steps[name] for name, c in preference.terms.items()))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    if solver.solve(model) == cp_model.INFEASIBLE:
        return None
    return Fraction(round(solver.objective_value), 4)


def plainly(problem: Problem, preference: Preference | None) -> None:
    """What python-constraint does with one variable a domain, tightened once before; nothing is returned."""
    import constraint

    compiled = Compiled(problem)
    masks = compiled.full.copy()
    limits = [limit for found in compiled.limits for limit in found]
    Network(limits, len(masks)).tighten(masks, range(len(limits)), Meter(DEFAULT))
    plain = constraint.Problem(constraint.OptimizedBacktrackingSolver())
    for name, mask in zip(compiled.names, masks, strict=True):
        plain.addVariable(name, [GRID[position] for position in members(mask)])
    for limit in problem.constraints:
        scope = limit.scope
        plain.addConstraint(lambda *v, c=limit, s=scope: c.holds(dict(zip(s, v, strict=True))), scope)
    if preference is None:
        plain.getSolution()
    else:
        min(plain.getSolutionIter(), key=preference.worth, default=None)


def timed(call: Callable[[], T]) -> tuple[T, float]:
    """The answer, and the milliseconds it took."""
    start = perf_counter()
    answer = call()
    return answer, (perf_counter() - start) * 1000


def measure(seed: int, times: dict[str, list[tuple[float, float]]]) -> None:
    """Ask both solvers all three questions of one problem; exit where they do not agree."""
    problem, preference = random_problem(seed)
    any_choice, ours_first = timed(lambda: first(problem))
    _, theirs_first = timed(lambda: by_cp_sat(problem, None))
    least, ours_best = timed(lambda: best(problem, [preference]))
    expected, theirs_best = timed(lambda: by_cp_sat(problem, preference))
    if not isinstance(any_choice, Solution) or not isinstance(least, Solution) or expected != least.worth[0]:
        sys.exit(f"problem {seed}: {least} is not what CP-SAT finds: {expected}")
    fewer, preference = random_problem(seed, LIMITS - 1)
    bound = by_cp_sat(fewer, preference) or Fraction(0)
    better = Linear(preference.terms, "<", bound, Label("better-than-best"))
    harder = Problem(fewer.variables, (*fewer.constraints, better))
    none, theirs_proof = timed(lambda: by_cp_sat(harder, None))
    holds, ours_proof = timed(lambda: consistent(Compiled(harder), harder.labels()))
    conflict, ours_conflict = timed(lambda: first(harder))
    if holds is not False or not isinstance(conflict, NoSolution) or none is not None:
        sys.exit(f"problem {seed}: {conflict} is not what CP-SAT finds: {none}")
    times["first choice"].append((ours_first, theirs_first))
    times["best choice"].append((ours_best, theirs_best))
    times["proof of conflict"].append((ours_proof, theirs_proof))
    times["and a minimal conflict"].append((ours_conflict, nan))


def show_plain(problems: int, seconds: float) -> None:
    """How many of the problems python-constraint alone answers in time."""
    for question in ("first choice", "best choice"):
        done = 0
        for seed in range(problems):
            problem, preference = random_problem(seed)
            wish = preference if question == "best choice" else None
            child = Process(target=plainly, args=(problem, wish))
            child.start()
            child.join(seconds)
            done += child.exitcode == 0
            child.kill()
            child.join()
        print(f"python-constraint alone, {question}: {done} of {problems} within {seconds:g} s")  # noqa: T201


def main() -> None:
    """Print medians and the slowest in milliseconds."""
    parser = argparse.ArgumentParser(description="Fit beside CP-SAT.")
    parser.add_argument("problems", nargs="?", type=int, default=20)
    parser.add_argument("--plain", type=float, default=0.0, metavar="SECONDS")
    options = parser.parse_args()
    measure(0, defaultdict(list))  # imports
    times: dict[str, list[tuple[float, float]]] = defaultdict(list)
    for seed in range(options.problems):
        measure(seed, times)
    print(f"{options.problems} problems, ms          fit: median   slowest    CP-SAT: median   slowest")  # noqa: T201
    for question, pairs in times.items():
        ours, theirs = zip(*pairs, strict=True)
        print(  # noqa: T201
            f"{question:26} {median(ours):12.1f} {max(ours):9.1f} {median(theirs):17.1f} {max(theirs):9.1f}"
        )
    if options.plain:
        show_plain(options.problems, options.plain)


if __name__ == "__main__":
    main()

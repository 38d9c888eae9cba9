"""What a refutation rests on: those limits alone refute, beside plain enumeration and OR-Tools CP-SAT."""

from __future__ import annotations

import random
from fractions import Fraction
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ringcut.fit.answers import Budget, Meter, NoSolution
from ringcut.fit.blame import Blame
from ringcut.fit.compiled import Compiled
from ringcut.fit.limits import AtMost
from ringcut.fit.problem import Apart, Constraint, Label, Linear, Problem, Table, Value
from ringcut.fit.question import Question
from ringcut.fit.solve import first

NAMES = ("a", "b", "c", "d")
TURN = Fraction(12)


@st.composite
def crowded(draw: st.DrawFn) -> Problem:
    """Three or four numbers of up to twelve values under more limits than most of them can keep."""
    names = NAMES[: draw(st.integers(3, 4))]
    steps = st.sets(st.integers(0, 11).map(Fraction), min_size=2, max_size=12)
    variables = {name: tuple(sorted(draw(steps))) for name in names}
    limits: list[Constraint] = []
    for number in range(draw(st.integers(3, 8))):
        label = Label(f"limit-{number}")
        chosen = draw(st.lists(st.sampled_from(names), min_size=2, max_size=3, unique=True))
        kind = draw(st.sampled_from(["sum", "sum", "sum", "apart", "table"]))
        if kind == "sum":
            terms = {name: Fraction(draw(st.integers(-3, 3))) for name in chosen}
            limits.append(
                Linear(terms, draw(st.sampled_from(["<=", ">=", "="])), Fraction(draw(st.integers(-15, 25))), label)
            )
        elif kind == "apart":
            limits.append(Apart(chosen[0], chosen[1], Fraction(draw(st.integers(1, 6))), label, turn=TURN))
        else:
            every = list(product(variables[chosen[0]], variables[chosen[1]]))
            limits.append(Table((chosen[0], chosen[1]), tuple(draw(st.lists(st.sampled_from(every)))), label))
    return Problem(variables, tuple(limits))


@given(crowded())
@settings(max_examples=300)
def test_the_limits_that_a_refutation_rests_on_refute_alone(problem: Problem) -> None:
    compiled = Compiled(problem)
    question = Question(compiled, [limit for limits in compiled.limits for limit in limits], Meter(Budget()))
    if question.any() is not None:
        return
    guilty = set(question.guilty)
    kept = [c for c, limits in zip(problem.constraints, compiled.limits, strict=True) if guilty & set(limits)]
    domains: list[tuple[Value, ...]] = [tuple(domain) for domain in problem.variables.values()]
    for choice in product(*domains):
        values = dict(zip(problem.variables, choice, strict=True))
        assert not all(limit.holds(values) for limit in kept)


def test_a_limit_that_only_struck_values_is_not_blamed() -> None:
    """Every limit strikes something, and the last two are enough."""
    at_most = [Linear({name: Fraction(1)}, "<=", Fraction(8), Label(name)) for name in NAMES]
    both = {"a": Fraction(1), "b": Fraction(1)}
    low, high = Linear(both, "<=", Fraction(3), Label("low")), Linear(both, ">=", Fraction(9), Label("high"))
    grid = tuple(Fraction(step) for step in range(12))
    compiled = Compiled(Problem(dict.fromkeys(NAMES, grid), (*at_most, low, high)))
    question = Question(compiled, [limit for limits in compiled.limits for limit in limits], Meter(Budget()))
    assert question.any() is None
    assert [limit for limits in compiled.limits[:4] for limit in limits if limit in question.guilty] == []
    assert all(set(limits) <= set(question.guilty) for limits in compiled.limits[4:])


@pytest.mark.parametrize(("bound", "rests_on"), [(5, 2 | 4), (8, 2 | 4), (9, 1 | 2 | 4), (10, 1 | 2 | 4)])
def test_an_end_that_is_not_needed_where_it_is_rests_on_nothing(bound: int, rests_on: int) -> None:
    """x + y at most 8: with y from 9 on, x need not have been moved from 0 to 2; at most 9, it must."""
    numbers = [list(range(12)), list(range(12))]
    moved_x, moved_y = AtMost([(0, -1)], numbers, -2), AtMost([(1, -1)], numbers, -9)
    both = AtMost([(0, 1), (1, 1)], numbers, bound)
    blame = Blame({moved_x: 1, moved_y: 2, both: 4}, 2)
    masks = [(1 << 12) - 1, (1 << 12) - 1]
    for limit, variable in ((moved_x, 0), (moved_y, 1)):
        before, changed = masks.copy(), list[int]()
        assert limit.revise(masks, changed, Meter(Budget()))
        assert changed == [variable]
        blame.struck(limit, changed, [before[variable]], masks)
    assert blame.refuted(both, masks) == rests_on


WIDE = tuple(Fraction(step, 4) for step in range(200))


def possible(problem: Problem, without: Label | None) -> bool:
    """Whether the constraints but those of one label can hold together, by CP-SAT on quarters as integers."""
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    steps = {name: model.new_int_var(0, len(WIDE) - 1, name) for name in problem.variables}
    for limit in problem.constraints:
        if limit.label == without:
            continue
        if isinstance(limit, Apart):
            around, turns = model.new_int_var(0, int(4 * limit.turn) - 1, ""), model.new_int_var(-5, 5, "")
            model.add(steps[limit.first] - steps[limit.second] == around + int(4 * limit.turn) * turns)
            model.add_linear_constraint(around, int(4 * limit.least), int(4 * (limit.turn - limit.least)))
        elif isinstance(limit, Linear):
            total = sum(int(c) * steps[name] for name, c in limit.terms.items())
            bound = int(4 * limit.bound)
            model.add(total <= bound if limit.op == "<=" else total >= bound)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    status = solver.solve(model)
    assert status in (cp_model.OPTIMAL, cp_model.FEASIBLE, cp_model.INFEASIBLE)
    return status != cp_model.INFEASIBLE


@pytest.mark.parametrize("seed", range(40))
def test_conflicts_of_wide_domains_are_minimal_by_an_independent_solver(seed: int) -> None:
    """Six variables of 200 values around limits that miss each other narrowly."""
    draw = random.Random(seed)
    names = "abcdef"
    near = {name: draw.choice(WIDE) for name in names}
    limits: list[Constraint] = []
    for number in range(16):
        label = Label(f"limit-{number}")
        if number % 4 == 3:
            first_angle, second_angle = draw.sample(names, 2)
            limits.append(Apart(first_angle, second_angle, Fraction(draw.choice([9, 14, 19])), label, Fraction(45)))
            continue
        terms = {name: Fraction(draw.choice([-3, -2, -1, 1, 2, 3])) for name in draw.sample(names, draw.randint(2, 4))}
        at = sum((c * near[name] for name, c in terms.items()), Fraction(0)) + Fraction(draw.randint(-24, 24), 4)
        limits.append(Linear(terms, draw.choice(["<=", ">="]), at, label))
    problem = Problem(dict.fromkeys(names, WIDE), tuple(limits))
    answer = first(problem)
    if not isinstance(answer, NoSolution):
        assert possible(problem, None)
        return
    assert answer.minimal
    assert answer.conflict
    kept = Problem(problem.variables, tuple(limit for limit in limits if limit.label in answer.conflict))
    assert not possible(kept, None)
    assert all(possible(kept, label) for label in answer.conflict)

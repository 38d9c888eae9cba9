"""Answers to random small problems, beside plain enumeration and an independent solver (OR-Tools CP-SAT)."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from itertools import product

from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec import structs

from ringcut.fit.answers import NoSolution, Remaining, Solution
from ringcut.fit.problem import (
    Apart,
    Constraint,
    Domain,
    Holds,
    Label,
    Linear,
    Preference,
    Problem,
    Table,
    Value,
)
from ringcut.fit.solve import best, first, remaining

NUMBERS = ("a", "b", "c", "d")
WORD = "w"
COEFFICIENT = st.integers(-3, 3).map(Fraction)
TESTS: tuple[Callable[[Fraction, str], bool], ...] = (
    lambda number, word: (number > 2) == (word == "bar"),
    lambda number, word: word != "strap" or number.denominator == 1,
    lambda number, word: number + len(word) < 7,
)


@st.composite
def problems(draw: st.DrawFn) -> Problem:
    """Up to four numbers on odd grids and a word, under up to six constraints, one in five background."""
    variables: dict[str, Domain] = {}
    for name in draw(st.sampled_from([NUMBERS[:2], NUMBERS[:3], NUMBERS])):
        values = draw(st.sets(st.builds(Fraction, st.integers(-6, 24), st.just(3)), min_size=1, max_size=6))
        variables[name] = tuple(sorted(values))
    variables[WORD] = draw(st.sampled_from([("bar",), ("strap", "bar"), ("bar", "wire", "strap")]))
    count = draw(st.integers(0, 6))
    return Problem(variables, tuple(draw(constraint(variables, number)) for number in range(count)))


@st.composite
def constraint(draw: st.DrawFn, variables: dict[str, Domain], number: int) -> Constraint:
    label = None if draw(st.integers(0, 4)) == 0 else Label(f"limit-{number}")
    numbers = [name for name in variables if name != WORD]
    pair = draw(st.permutations(numbers))[:2]
    kind = draw(st.sampled_from(["linear", "linear", "apart", "table", "holds"]))
    if kind == "linear":
        names = draw(st.lists(st.sampled_from(numbers), min_size=1, unique=True))
        terms = {name: draw(COEFFICIENT) for name in names}
        bound = Fraction(draw(st.integers(-12, 24)), draw(st.sampled_from([1, 2, 3])))
        return Linear(terms, draw(st.sampled_from(["<=", "<", "=", ">=", ">"])), bound, label)
    if kind == "apart":
        least = Fraction(draw(st.integers(0, 9)), 2)
        return Apart(pair[0], pair[1], least, label, turn=Fraction(draw(st.sampled_from([5, 7, 8]))))
    scope = (pair[0], WORD)
    if kind == "table":
        every = list(product(variables[pair[0]], variables[WORD]))
        return Table(scope, tuple(draw(st.lists(st.sampled_from(every), max_size=6))), label)
    return Holds(scope, draw(st.sampled_from(TESTS)), label)


def solutions(problem: Problem) -> list[dict[str, Value]]:
    """Every solution, by trying every choice."""
    domains: list[tuple[Value, ...]] = [tuple(domain) for domain in problem.variables.values()]
    every = (dict(zip(problem.variables, choice, strict=True)) for choice in product(*domains))
    return [choice for choice in every if all(limit.holds(choice) for limit in problem.constraints)]


def without(problem: Problem, kept: set[Label]) -> Problem:
    """The problem with the background and the constraints of some labels only."""
    chosen = tuple(c for c in problem.constraints if c.label is None or c.label in kept)
    return structs.replace(problem, constraints=chosen)


def assert_minimal(problem: Problem, answer: NoSolution) -> None:
    """The conflict cannot hold, and can as soon as any one member is out."""
    members = set(answer.conflict)
    assert answer.minimal
    assert members <= set(problem.labels())
    assert solutions(without(problem, members)) == []
    for member in members:
        assert solutions(without(problem, members - {member})), f"{member} is needless"


@given(problems())
@settings(max_examples=150)
def test_a_first_choice_is_a_solution_or_there_is_none(problem: Problem) -> None:
    answer = first(problem)
    if isinstance(answer, Solution):
        assert answer.values in solutions(problem)
    else:
        assert isinstance(answer, NoSolution)
        assert_minimal(problem, answer)


@given(problems(), st.lists(st.dictionaries(st.sampled_from(NUMBERS[:2]), COEFFICIENT), min_size=1, max_size=2))
@settings(max_examples=150)
def test_the_best_choice_is_the_least_of_all(problem: Problem, wishes: list[dict[str, Fraction]]) -> None:
    preferences = [Preference(wish) for wish in wishes]
    every = solutions(problem)
    answer = best(problem, preferences)
    if not every:
        assert isinstance(answer, NoSolution)
        return
    assert isinstance(answer, Solution)
    assert answer.values in every
    assert answer.worth == min(tuple(p.worth(choice) for p in preferences) for choice in every)
    assert answer.worth == tuple(p.worth(answer.values) for p in preferences)


def assert_left(problem: Problem) -> None:
    """The values left are those that some solution has."""
    every = solutions(problem)
    answer = remaining(problem)
    if not every:
        assert isinstance(answer, NoSolution)
        return
    assert isinstance(answer, Remaining)
    for name, domain in problem.variables.items():
        met = {choice[name] for choice in every}
        assert answer.values[name] == tuple(value for value in domain if value in met)


@given(problems())
@settings(max_examples=150)
def test_the_values_left_are_those_of_all_solutions(problem: Problem) -> None:
    assert_left(problem)


@st.composite
def longer(draw: st.DrawFn) -> Problem:
    """Three numbers of up to 14 values and a word: long enough for the ends to be looked for first."""
    grid = tuple(Fraction(step, 2) for step in range(14))
    variables: dict[str, Domain] = {"a": grid, "b": grid[2:], "c": grid[:11], WORD: ("strap", "bar")}
    count = draw(st.integers(1, 5))
    return Problem(variables, tuple(draw(constraint(variables, number)) for number in range(count)))


@given(longer())
@settings(max_examples=40)
def test_the_values_left_of_long_domains_are_those_of_all_solutions(problem: Problem) -> None:
    assert_left(problem)


@st.composite
def larger(draw: st.DrawFn) -> tuple[Problem, Preference]:
    """Five variables of forty values: too many for enumeration."""
    grid = tuple(Fraction(step, 4) for step in range(40))
    names = ("a", "b", "c", "d", "e")
    limits: list[Constraint] = []
    for number in range(draw(st.integers(3, 9))):
        label = Label(f"limit-{number}")
        chosen = draw(st.lists(st.sampled_from(names), min_size=2, max_size=3, unique=True))
        if draw(st.integers(0, 3)) == 0:
            limits.append(Apart(chosen[0], chosen[1], Fraction(draw(st.integers(1, 4))), label, turn=Fraction(10)))
        else:
            terms = {name: draw(COEFFICIENT) for name in chosen}
            op = draw(st.sampled_from(["<=", ">=", "<", ">", "="]))
            limits.append(Linear(terms, op, Fraction(draw(st.integers(-20, 30))), label))
    problem = Problem(dict.fromkeys(names, grid), tuple(limits))
    return problem, Preference({name: draw(COEFFICIENT) for name in names})


def least_by_cp_sat(problem: Problem, preference: Preference) -> Fraction | None:
    """The least worth by OR-Tools CP-SAT on quarters as integers; None if it proves that there is none."""
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    steps = {name: model.new_int_var(0, len(domain) - 1, name) for name, domain in problem.variables.items()}
    for limit in problem.constraints:
        if isinstance(limit, Apart):
            around, turns = model.new_int_var(0, 39, ""), model.new_int_var(-1, 0, "")
            model.add(steps[limit.first] - steps[limit.second] == around + 40 * turns)
            model.add(around >= int(4 * limit.least))
            model.add(40 - around >= int(4 * limit.least))
        elif isinstance(limit, Linear):
            total = sum(int(c) * steps[name] for name, c in limit.terms.items())
            low = int(4 * limit.bound) + (limit.op == ">") if limit.op in (">=", ">", "=") else -10_000
            high = int(4 * limit.bound) - (limit.op == "<") if limit.op in ("<=", "<", "=") else 10_000
            model.add_linear_constraint(total + 0 * steps["a"], low, high)
    model.minimize(sum(int(c) * steps[name] for name, c in preference.terms.items()))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    status = solver.solve(model)
    assert status in (cp_model.OPTIMAL, cp_model.INFEASIBLE)
    return Fraction(round(solver.objective_value), 4) if status == cp_model.OPTIMAL else None


@given(larger())
@settings(max_examples=60)
def test_the_best_choice_agrees_with_an_independent_solver(case: tuple[Problem, Preference]) -> None:
    problem, preference = case
    answer = best(problem, [preference])
    expected = least_by_cp_sat(problem, preference)
    if isinstance(answer, Solution):
        assert answer.worth == (expected,)
        assert all(limit.holds(answer.values) for limit in problem.constraints)
    else:
        assert isinstance(answer, NoSolution)
        assert expected is None
        for member in answer.conflict:
            kept = without(problem, set(answer.conflict) - {member})
            assert least_by_cp_sat(kept, preference) is not None, f"{member} is needless"
        assert least_by_cp_sat(without(problem, set(answer.conflict)), preference) is None

"""Contradiction and implication on random expressions and small rulebooks, against z3; cycles against enumeration."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from itertools import permutations
from typing import Any

import msgspec
import networkx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.language.ir import Rulebook
from ringcut.proof.conflicts import Jobs
from ringcut.proof.contradictions import contradictions
from ringcut.proof.linear import Linear, feasible
from ringcut.proof.reach import Known, Reach
from ringcut.proof.solving import Solver

z3 = pytest.importorskip("z3")

LENGTHS = (n.Reading("cover", "bond"), n.Reading("scrape", "bared"), n.Fact("depth"))
MOST = {"cover.bond": Fraction(40) * Fraction("0.0254"), "scrape.bared": Fraction(40) * Fraction("0.0254"),
        "depth": Fraction(30) * Fraction("0.3048")}  # fmt: skip
CHOICES = {"sheath": ("lead", "plastic"), "place": ("pole", "hole", "hall"), "wet": ("yes", "no")}

inches = st.integers(0, 12).map(lambda number: n.Const(Fraction(number) * Fraction("0.0254"), "length", "in"))
sums = st.recursive(
    st.sampled_from(LENGTHS) | inches,
    lambda inner: st.builds(n.Arithmetic, st.sampled_from(["+", "-"]), inner, inner),
    max_leaves=3,
)
compares = st.builds(n.Compare, st.sampled_from(["<", "<=", ">", ">=", "=", "!="]), sums, sums)
words = st.sampled_from(sorted(CHOICES)).flatmap(
    lambda name: st.sampled_from(CHOICES[name]).map(lambda word: n.Is(n.Fact(name), (word,)))
)
truths = st.recursive(
    compares | words | st.sampled_from([n.Condition("bare"), n.Condition("warm")]),
    lambda inner: st.builds(n.Not, inner) | st.lists(inner, min_size=2, max_size=3).map(tuple).flatmap(
        lambda items: st.sampled_from([n.And(items), n.Or(items)])),
    max_leaves=6,
)  # fmt: skip


@pytest.fixture(scope="module")
def book(with_rules: Callable[[str], Rulebook]) -> Rulebook:
    return with_rules("  []")


def exact(value: Fraction) -> Any:
    return z3.Q(value.numerator, value.denominator)


def number(node: n.Node) -> Any:
    match node:
        case n.Const(value):
            return exact(value)
        case n.Arithmetic(op, left, right):
            one, two = number(left), number(right)
            return one + two if op == "+" else one - two
        case n.Reading(step, name):
            return z3.Real(f"{step}.{name}")
        case n.Fact(name):
            return z3.Real(name)
    raise TypeError(node)


def meant(node: n.Node) -> Any:
    """The expression as z3 has it."""
    match node:
        case n.Not(item):
            return z3.Not(meant(item))
        case n.And(items):
            return z3.And(*map(meant, items))
        case n.Or(items):
            return z3.Or(*map(meant, items))
        case n.Condition(name):
            return z3.Bool(name)
        case n.Is(n.Fact(name), (word,)):
            return z3.Int(f"choice {name}") == CHOICES[name].index(word)
        case n.Compare(op, left, right):
            a, b = number(left), number(right)
            return {"<": a < b, "<=": a <= b, ">": a > b, ">=": a >= b, "=": a == b, "!=": a != b}[op]
    raise TypeError(node)


def by_z3(*demands: n.Node) -> bool:
    solver = z3.Solver()
    for name, most in MOST.items():
        solver.add(z3.Real(name) >= 0, z3.Real(name) <= exact(most))
    for name, choices in CHOICES.items():
        solver.add(z3.Int(f"choice {name}") >= 0, z3.Int(f"choice {name}") < len(choices))
    solver.add(*map(meant, demands))
    return bool(solver.check() == z3.sat)


@given(demands=st.lists(truths, min_size=1, max_size=3))
def test_what_can_hold_together_is_what_z3_says(book: Rulebook, demands: list[n.Node]) -> None:
    assert Solver(book).possible(demands) == by_z3(*demands)


@given(one=truths, two=truths)
def test_implication_is_what_z3_says(book: Rulebook, one: n.Node, two: n.Node) -> None:
    assert Solver(book).implies(one, two) == (not by_z3(one, n.Not(two)))


rows = st.builds(
    Linear, st.dictionaries(st.sampled_from("xyz"), st.integers(-3, 3).map(Fraction), max_size=3),
    st.integers(-4, 4).map(Fraction), st.booleans(),
)  # fmt: skip


@given(given_rows=st.lists(rows, max_size=8))
def test_inequalities_hold_together_where_z3_finds_values(given_rows: list[Linear]) -> None:
    solver = z3.Solver()
    for row in given_rows:
        total = z3.Sum([exact(factor) * z3.Real(name) for name, factor in row.terms.items()]) + exact(row.constant)
        solver.add(total < 0 if row.strict else total <= 0)
    assert feasible(given_rows) == (solver.check() == z3.sat)


STEPS = ("cut", "scrape", "look", "pump")
pairs = st.tuples(st.sampled_from(STEPS), st.sampled_from(STEPS)).filter(lambda pair: pair[0] != pair[1])


def ordered(book: Rulebook, links: list[tuple[str, str]]) -> Rulebook:
    rules = tuple(
        ir.Rule(f"r{number}", "", "minor", "all", ir.Order((ir.StepSet((one,), one), ir.StepSet((two,), two))))
        for number, (one, two) in enumerate(links)
    )
    return msgspec.structs.replace(book, rules=rules)


@given(links=st.lists(pairs, max_size=6))
def test_a_step_can_be_done_where_some_order_of_some_steps_does_it(
    book: Rulebook, links: list[tuple[str, str]]
) -> None:
    rules = ordered(book, links).rules
    possible = set()
    for count in range(1, len(STEPS) + 1):
        for line in permutations(STEPS, count):
            if all(one in line[: line.index(two)] for one, two in links if two in line):
                possible |= set(line)
    assert Reach(Known(book)).steps(rules) & set(STEPS) == possible


@given(links=st.lists(pairs, min_size=1, max_size=6))
def test_a_circle_is_told_with_rules_that_are_one(book: Rulebook, links: list[tuple[str, str]]) -> None:
    small = ordered(book, links)
    told = contradictions(small, Jobs(small))
    assert bool(told) == (not networkx.is_directed_acyclic_graph(networkx.DiGraph(links)))
    for remark in told:
        named = [links[int(rule[1:])] for rule in remark.rules]
        for spared in range(len(named) + 1):
            fewer = named[:spared] + named[spared + 1 :]
            assert networkx.is_directed_acyclic_graph(networkx.DiGraph(fewer)) == (spared < len(named))

"""Critical path and simple temporal networks against the published examples and plain enumeration."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise, product

import pytest
from hypothesis import given
from hypothesis import strategies as st
from networkx import DiGraph

from ringcut.fit.answers import NoSolution
from ringcut.fit.network import Between, MinimalNetwork, critical_path, minimal_network
from ringcut.fit.problem import Label


def graph_of(predecessors: dict[str, str]) -> DiGraph[str]:
    graph: DiGraph[str] = DiGraph()
    graph.add_nodes_from(predecessors)
    graph.add_edges_from((before, step) for step, befores in predecessors.items() for before in befores)
    return graph


# Hillier and Lieberman, "Reliable Construction": activities A to N in weeks.
WEEKS = dict(zip("ABCDEFGHIJKLMN", map(Fraction, [2, 4, 10, 6, 4, 5, 7, 9, 7, 8, 4, 5, 2, 6]), strict=True))
BEFORE = {"A": "", "B": "A", "C": "B", "D": "C", "E": "C", "F": "E", "G": "D", "H": "EG", "I": "C"}
BEFORE |= {"J": "FI", "K": "J", "L": "J", "M": "H", "N": "KL"}


def test_the_published_project() -> None:
    schedule = critical_path(graph_of(BEFORE), WEEKS)
    assert schedule.duration == 44
    assert schedule.critical == tuple("ABCEFJLN")
    slack = {step: times.slack for step, times in schedule.times.items() if times.slack}
    assert slack == {"D": 4, "G": 4, "H": 4, "M": 4, "I": 2, "K": 1}


def test_no_steps_take_no_time() -> None:
    assert critical_path(graph_of({}), {}).duration == 0


def test_steps_in_a_circle_are_refused() -> None:
    with pytest.raises(ValueError, match="circle"):
        critical_path(graph_of({"a": "b", "b": "a"}), {"a": Fraction(1), "b": Fraction(1)})


def test_steps_without_a_duration_are_named() -> None:
    with pytest.raises(ValueError, match="for b, c"):
        critical_path(graph_of({"a": "", "b": "", "c": ""}), {"a": Fraction(0), "c": Fraction(-1)})


@given(st.lists(st.integers(0, 9).map(Fraction), min_size=1, max_size=6), st.data())
def test_the_critical_path_is_the_longest_of_all_paths(weights: list[Fraction], data: st.DataObject) -> None:
    names = "abcdef"[: len(weights)]
    durations = dict(zip(names, weights, strict=True))
    before = {step: "".join(p for p in names[:n] if data.draw(st.booleans())) for n, step in enumerate(names)}
    schedule = critical_path(graph_of(before), durations)

    def paths(step: str) -> list[list[str]]:
        return [[*path, step] for p in before[step] for path in paths(p)] or [[step]]

    lengths = {step: max(sum(durations[s] for s in path) for path in paths(step)) for step in names}
    assert schedule.duration == max(lengths.values())
    assert {step: times.earliest_end for step, times in schedule.times.items()} == lengths
    assert sum(durations[step] for step in schedule.critical) == schedule.duration
    assert all(first in before[second] for first, second in pairwise(schedule.critical))
    assert all(schedule.times[step].slack == 0 for step in schedule.critical)
    assert all(times.slack >= 0 and times.latest_end <= schedule.duration for times in schedule.times.values())


def between(first: str, second: str, least: int | None, most: int | None) -> Between:
    low, high = (None if bound is None else Fraction(bound) for bound in (least, most))
    return Between(first, second, low, high, Label(f"{first}-{second}"))


# Dechter, Meiri and Pearl 1991: the car pool.
POINTS = ("0", "1", "2", "3", "4")
CAR_POOL = [
    between("0", "1", 10, 20),
    between("1", "2", 30, 40),
    between("3", "2", 10, 20),
    between("3", "4", 40, 50),
    between("0", "4", 60, 70),
]


def test_the_published_car_pool() -> None:
    found = minimal_network(POINTS, CAR_POOL)
    assert isinstance(found, MinimalNetwork)
    assert [[found.most[a, b] for b in POINTS] for a in POINTS] == [
        [0, 20, 50, 30, 70],
        [-10, 0, 40, 20, 60],
        [-40, -30, 0, -10, 30],
        [-20, -10, 20, 0, 50],
        [-60, -50, -20, -40, 0],
    ]
    assert found.least("0", "4") == 60


def test_a_negative_cycle_names_its_bounds_and_no_others() -> None:
    late = between("0", "2", None, 30)
    found = minimal_network(POINTS, [*CAR_POOL, late])
    assert isinstance(found, NoSolution)
    assert {label.id for label in found.conflict} == {"0-1", "1-2", "0-2"}


def test_a_bound_that_contradicts_itself_is_the_whole_conflict() -> None:
    found = minimal_network(POINTS, [*CAR_POOL, between("0", "3", 9, 8)])
    assert found == NoSolution((Label("0-3"),))


def test_points_without_a_bound_between_them_stay_unbounded() -> None:
    found = minimal_network(("a", "b", "c"), [between("a", "b", 5, None)])
    assert isinstance(found, MinimalNetwork)
    assert found.least("a", "b") == 5
    assert found.least("a", "c") is None
    assert ("a", "b") not in found.most


def test_an_unknown_point_is_refused() -> None:
    with pytest.raises(ValueError, match="unknown points: z"):
        minimal_network(("a",), [between("a", "z", 0, 1)])


@st.composite
def bounds(draw: st.DrawFn) -> list[Between]:
    found = []
    for number in range(draw(st.integers(1, 6))):
        first, second = draw(st.permutations("abc"))[:2]
        least = draw(st.integers(-4, 4))
        most = least + draw(st.integers(0, 3))
        found.append(Between(first, second, Fraction(least), Fraction(most), Label(str(number))))
    return found


def holding(limits: list[Between]) -> list[dict[str, int]]:
    """Every way to place b and c in whole units around a that keeps all bounds."""
    every = ({"a": 0, "b": b, "c": c} for b, c in product(range(-15, 16), repeat=2))
    return [at for at in every if all((m.least or 0) <= at[m.second] - at[m.first] <= (m.most or 0) for m in limits)]


@given(bounds())
def test_the_minimal_network_agrees_with_enumeration(limits: list[Between]) -> None:
    """Whole bounds have whole solutions, so counting whole places is enough."""
    found = minimal_network(("a", "b", "c"), limits)
    places = holding(limits)
    if isinstance(found, NoSolution):
        assert places == []
        members = [limit for limit in limits if limit.label in found.conflict]
        assert holding(members) == []
        for member in members:
            assert holding([limit for limit in members if limit is not member])
        return
    joined = {frozenset((limit.first, limit.second)) for limit in limits}
    for (first, second), most in found.most.items():
        assert max(at[second] - at[first] for at in places) == most
    assert joined <= {frozenset(pair) for pair in found.most}

"""Networks of time: the critical path through steps with durations, and simple temporal networks.

Both are exact and know no clock: times are rationals in the caller's unit, counted from the start. A
simple temporal network bounds differences between points in time (Dechter, Meiri and Pearl 1991); its
minimal network has for every pair the tightest bounds that follow, and a cycle of bounds that adds up to
less than zero is a minimal conflict.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import TYPE_CHECKING

import msgspec

from ringcut.fit.answers import NoSolution
from ringcut.fit.problem import Label

if TYPE_CHECKING:
    from networkx import DiGraph


class Times(msgspec.Struct, frozen=True):
    """When a step can begin at the earliest and must at the latest, so that the whole takes no longer."""

    earliest_start: Fraction
    earliest_end: Fraction
    latest_start: Fraction
    latest_end: Fraction

    @property
    def slack(self) -> Fraction:
        """How much later it may begin."""
        return self.latest_start - self.earliest_start


class Schedule(msgspec.Struct, frozen=True):
    """The times of every step, how long the whole takes, and one longest path through it."""

    times: Mapping[str, Times]
    duration: Fraction
    critical: tuple[str, ...]


def critical_path(graph: DiGraph[str], durations: Mapping[str, Fraction]) -> Schedule:
    """The schedule of steps where every edge leads from a step to one that waits for its end.

    Raises ValueError for a cycle, a step without a duration, or a duration below zero. Linear in steps
    and edges.
    """
    from networkx import is_directed_acyclic_graph, lexicographical_topological_sort

    if not is_directed_acyclic_graph(graph):
        raise ValueError("the steps wait for each other in a circle")
    wrong = [step for step in graph if durations.get(step, Fraction(-1)) < 0]
    if wrong:
        raise ValueError(f"no duration of zero or more for {', '.join(wrong)}")
    rank = {step: number for number, step in enumerate(graph)}
    order: list[str] = list(lexicographical_topological_sort(graph, key=rank.__getitem__))
    ends: dict[str, Fraction] = {}
    for step in order:
        ends[step] = max((ends[p] for p in graph.predecessors(step)), default=Fraction(0)) + durations[step]
    whole = max(ends.values(), default=Fraction(0))
    latest: dict[str, Fraction] = {}
    for step in reversed(order):
        latest[step] = min((latest[s] - durations[s] for s in graph.successors(step)), default=whole)
    times = {
        step: Times(ends[step] - durations[step], ends[step], latest[step] - durations[step], latest[step])
        for step in graph
    }
    return Schedule(times, whole, _longest(graph, order, times, whole))


def _longest(graph: DiGraph[str], order: Sequence[str], times: Mapping[str, Times], whole: Fraction) -> tuple[str, ...]:
    last = next((step for step in order if times[step].earliest_end == whole), None)
    path: list[str] = []
    while last is not None:
        path.append(last)
        begins = times[last].earliest_start
        before = [p for p in order if graph.has_edge(p, last) and times[p].earliest_end == begins]
        last = before[0] if before else None
    return tuple(reversed(path))


class Between(msgspec.Struct, frozen=True):
    """``second`` comes at least ``least`` and at most ``most`` after ``first``; None is no bound."""

    first: str
    second: str
    least: Fraction | None
    most: Fraction | None
    label: Label


class MinimalNetwork(msgspec.Struct, frozen=True):
    """The tightest bounds that follow: ``most[a, b]`` is how long after a b can be; absent is unbounded."""

    points: tuple[str, ...]
    most: Mapping[tuple[str, str], Fraction]

    def least(self, first: str, second: str) -> Fraction | None:
        """How much later than the first the second must be; None is unbounded."""
        found = self.most.get((second, first))
        return None if found is None else -found


def minimal_network(points: Sequence[str], bounds: Sequence[Between]) -> MinimalNetwork | NoSolution:
    """The minimal network (Floyd-Warshall, cubic in the points), or the bounds that form a negative cycle.

    Raises ValueError where a bound names an unknown point.
    """
    unknown = {name for b in bounds for name in (b.first, b.second)} - set(points)
    if unknown:
        raise ValueError(f"unknown points: {', '.join(sorted(unknown))}")
    arcs = [arc for bound in bounds for arc in _arcs(bound)]
    conflict = _alone(bounds) or _negative_cycle(points, arcs)
    if conflict:
        return NoSolution(conflict)
    most = {(point, point): Fraction(0) for point in points}
    for start, end, weight, _ in arcs:
        most[start, end] = min(weight, most.get((start, end), weight))
    for middle in points:
        into = [(start, most[start, middle]) for start in points if (start, middle) in most]
        onward = [(end, most[middle, end]) for end in points if (middle, end) in most]
        for start, early in into:
            for end, late in onward:
                known = most.get((start, end))
                if known is None or early + late < known:
                    most[start, end] = early + late
    return MinimalNetwork(tuple(points), most)


_Arc = tuple[str, str, Fraction, Label]


def _arcs(bound: Between) -> list[_Arc]:
    arcs: list[_Arc] = []
    if bound.most is not None:
        arcs.append((bound.first, bound.second, bound.most, bound.label))
    if bound.least is not None:
        arcs.append((bound.second, bound.first, -bound.least, bound.label))
    return arcs


def _alone(bounds: Sequence[Between]) -> tuple[Label, ...]:
    # Told first: a cycle through such a bound could have needless members.
    for b in bounds:
        if b.least is not None and b.most is not None and b.least > b.most:
            return (b.label,)
    return ()


def _negative_cycle(points: Sequence[str], arcs: Sequence[_Arc]) -> tuple[Label, ...]:
    # Bellman-Ford from everywhere at once; what improves after as many rounds as points hangs on a cycle.
    distance = dict.fromkeys(points, Fraction(0))
    came: dict[str, _Arc] = {}
    improved = ""
    for _ in points:
        improved = ""
        for arc in arcs:
            start, end, weight, _label = arc
            if distance[start] + weight < distance[end]:
                distance[end] = distance[start] + weight
                came[end] = arc
                improved = end
        if not improved:
            return ()
    if not points:
        return ()
    for _ in points:
        improved = came[improved][0]
    cycle = [came[improved]]
    while cycle[-1][0] != improved:
        cycle.append(came[cycle[-1][0]])
    return tuple(dict.fromkeys(label for _, _, _, label in reversed(cycle)))

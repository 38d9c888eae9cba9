"""Rules on plans against plain enumeration of every order that the plan allows, optional steps done or left out.

The enumeration below is written from the meaning of the forms alone: a world is one line of steps; an instance is as
bad as its worst world.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from fractions import Fraction
from itertools import combinations, pairwise, permutations

import pytest
from hypothesis import example as worked
from hypothesis import given, settings
from hypothesis import strategies as st

from ringcut.forms.instance import Context
from ringcut.forms.judging import instances
from ringcut.language.ir import Rulebook
from ringcut.reading.problems import NOWHERE
from ringcut.relations.conditions import Conditions
from ringcut.relations.procedure import Occurrence, Procedure
from ringcut.relations.search import full_order
from ringcut.relations.spans import exactly
from ringcut.relations.truth import Level
from ringcut.relations.view import View

T, L, U, F = range(4)

VOCABULARY = """
conditions:
  p: {says: one thing}
  q: {says: another thing}
  r: {says: a thing that is so at first, at-start: always}
  either: {says: one or the other, means: p or q}
  odd: {says: exactly one, means: (p and not q) or (q and not p)}
steps:
  make-p: {says: p, makes: [p], again: another}
  end-p: {says: no p, ends: [p], again: another}
  make-q: {says: q, makes: [q], again: another}
  end-q: {says: no q, ends: [q], again: another}
  change: {says: q instead of p, makes: [q], ends: [p], again: another}
  end-r: {says: no r, ends: [r], again: another}
  read-p: {says: p by a reading, sets: {p: level <= 5 in}, again: another,
    readings: {level: {kind: length, unit: in, possible: [0 in, 10 in]}}}
  judge-p: {says: p by a word, sets: {p: state is good}, again: another,
    readings: {state: {choices: [good, bad], known: planned}}}
  a: {says: the use, again: another}
  b: {says: the close, again: another, makes: [p]}
  gauge: {says: a size, again: another, readings: {size: {kind: count, known: planned}}}
  plain: {says: nothing, again: another}
"""
EFFECTS: dict[str, dict[str, int]] = {
    "make-p": {"p": T}, "end-p": {"p": F}, "make-q": {"q": T}, "end-q": {"q": F}, "change": {"q": T, "p": F},
    "end-r": {"r": F}, "read-p": {"p": L}, "judge-p": {"p": U}, "b": {"p": T},
}  # fmt: skip
START = {"p": F, "q": F, "r": T}
STEPS = ("make-p", "end-p", "make-q", "end-q", "change", "end-r", "read-p", "judge-p", "a", "b", "plain")

FORMULAS = ("p", "not p", "p and r", "p and not q", "p or q", "either", "odd", "p or not r", "not odd")

Values = dict[str, int]
Line = tuple[int, ...]


def no(value: int) -> int:
    return {T: F, F: T}.get(value, value)


def both(*values: int) -> int:
    """F over U over L over T."""
    return max(values)


def some(*values: int) -> int:
    """T over U over L over F."""
    return min(values, key=(T, U, L, F).index)


MEANINGS: dict[str, Callable[[Values], int]] = {
    "p": lambda v: v["p"],
    "not p": lambda v: no(v["p"]),
    "p and r": lambda v: both(v["p"], v["r"]),
    "p and not q": lambda v: both(v["p"], no(v["q"])),
    "p or q": lambda v: some(v["p"], v["q"]),
    "either": lambda v: some(v["p"], v["q"]),
    "odd": lambda v: some(both(v["p"], no(v["q"])), both(v["q"], no(v["p"]))),
    "p or not r": lambda v: some(v["p"], no(v["r"])),
    "not odd": lambda v: no(some(both(v["p"], no(v["q"])), both(v["q"], no(v["p"])))),
}


def rules() -> str:
    lines = []
    for number, text in enumerate(FORMULAS):
        start = "class: major, says: s, rule: "
        lines += [
            f"  - {{{start}need-{number}, need: {text}, before: a}}",
            f"  - {{{start}finally-{number}, need: {text}, before: end}}",
            f"  - {{{start}keep-{number}, keep: {text}, from: a, until: b}}",
            f"  - {{{start}first-{number}, keep: {text}, until: b}}",
            f"  - {{{start}on-{number}, keep: {text}, from: a}}",
            f"  - {{{start}while-{number}, keep: {text}, from: a, until: b, while: q}}",
        ]
    lines += [
        "  - {class: major, says: s, rule: order, order: [make-p, a]}",
        "  - {class: major, says: s, rule: order-either, order: [make-p / make-q, plain?, a]}",
        "  - {class: major, says: s, rule: exclude, exclude: plain, after: a, before: b}",
        "  - {class: major, says: s, rule: exclude-after, exclude: plain, after: a}",
        "  - {class: major, says: s, rule: exclude-before, exclude: plain, before: b}",
        "  - {class: major, says: s, rule: limit, limit: gauge.size >= 5, of: a}",
    ]
    return "\n".join(lines)


class Judge:
    """The engine's verdict on a plan by one rule; None: no instance."""

    def __init__(self, book: Rulebook) -> None:
        self.book = book

    def __call__(self, plan: Plan, name: str) -> int | None:
        rule = self.book.rule(name)
        assert rule is not None
        view = View(plan.procedure(), self.book)
        return worst([each.truth.level for each in instances(Context(rule, view, Conditions(view)))])


@pytest.fixture(scope="module")
def verdict(compiled: Callable[[str, str], Rulebook]) -> Judge:
    return Judge(compiled(VOCABULARY, rules()))


class Plan:
    """Steps by index, what must come before what, and which may be left out."""

    def __init__(self, steps: tuple[str, ...], edges: frozenset[tuple[int, int]], optional: frozenset[int]) -> None:
        self.steps, self.edges, self.optional = steps, edges, optional
        self.sizes = [(index * 7 + len(edges)) % 10 for index in range(len(steps))]

    def __repr__(self) -> str:
        return f"Plan({self.steps}, {sorted(self.edges)}, {sorted(self.optional)})"

    def worlds(self) -> Iterator[Line]:
        seen = set()
        for line in permutations(range(len(self.steps))):
            place = {step: at for at, step in enumerate(line)}
            if any(place[x] > place[y] for x, y in self.edges):
                continue
            for count in range(len(self.optional) + 1):
                for left in combinations(sorted(self.optional), count):
                    kept = tuple(step for step in line if step not in left)
                    if kept not in seen:
                        seen.add(kept)
                        yield kept

    def procedure(self) -> Procedure:
        occurrences = [
            Occurrence(i, step, ("A", "B"), NOWHERE, id=f"{step}-{i}", optional=i in self.optional, readings={})
            for i, step in enumerate(self.steps)
        ]
        for each in occurrences:
            if each.step == "gauge":
                each.readings["size", ""] = exactly(Fraction(self.sizes[each.index]))
        return Procedure(True, {}, {}, occurrences, edges=sorted(self.edges))

    def named(self, name: str, world: Line) -> list[int]:
        return [at for at, step in enumerate(world) if self.steps[step] == name]

    def values(self, world: Line) -> list[Values]:
        """The conditions before the first step, and after each."""
        found = [dict(START)]
        for step in world:
            found.append({**found[-1], **EFFECTS.get(self.steps[step], {})})
        return found


@st.composite
def plans(draw: st.DrawFn, also: tuple[str, ...] = STEPS) -> Plan:
    steps = tuple(draw(st.lists(st.sampled_from(also), min_size=1, max_size=5)))
    pairs = [(x, y) for x in range(len(steps)) for y in range(x + 1, len(steps))]
    edges = frozenset(pair for pair in pairs if draw(st.booleans()))
    optional = frozenset(index for index in range(len(steps)) if draw(st.integers(0, 4)) == 0)
    return Plan(steps, edges, optional)


def worst(levels: Sequence[int]) -> int | None:
    return max(levels, default=None)


def enumerated_need(plan: Plan, text: str) -> int | None:
    return worst([
        MEANINGS[text](plan.values(world)[at]) for world in plan.worlds() for at in plan.named("a", world)
    ])  # fmt: skip


def kept(plan: Plan, text: str, first: bool, closes: bool, q: bool = False) -> int | None:
    """The worst truth from just after each a (or from the start) until just before the next b (or to the end)."""
    levels = []
    for world in plan.worlds():
        values = plan.values(world)
        for start in [-1] if first else plan.named("a", world):
            ends = [at for at in plan.named("b", world) if at > start] if closes else []
            for at in range(start + 1, (ends[0] if ends else len(world)) + 1):
                now = MEANINGS[text](values[at])
                levels.append(some(no(values[at]["q"]), now) if q else now)
    return worst(levels)


@pytest.mark.parametrize("number", range(len(FORMULAS)))
@settings(max_examples=40)
@given(plan=plans())
@worked(plan=Plan(("make-p", "a"), frozenset(), frozenset()))
@worked(plan=Plan(("make-p", "end-p", "a"), frozenset({(0, 2), (1, 2)}), frozenset({1})))
def test_conditions_agree_with_every_order(number: int, plan: Plan, verdict: Judge) -> None:
    text = FORMULAS[number]
    assert verdict(plan, f"need-{number}") == enumerated_need(plan, text)
    finally_ = worst([MEANINGS[text](plan.values(world)[-1]) for world in plan.worlds()])
    assert verdict(plan, f"finally-{number}") == finally_
    has_a = "a" in plan.steps
    assert verdict(plan, f"keep-{number}") == (kept(plan, text, False, True) if has_a else None)
    assert verdict(plan, f"first-{number}") == kept(plan, text, True, True)
    assert verdict(plan, f"on-{number}") == (kept(plan, text, False, False) if has_a else None)
    assert verdict(plan, f"while-{number}") == (kept(plan, text, False, True, q=True) if has_a else None)


@settings(max_examples=150)
@given(plan=plans(("make-p", "make-q", "a", "plain")))
def test_order_agrees_with_every_order(plan: Plan, verdict: Judge) -> None:
    simple, either = [], []
    for world in plan.worlds():
        for at in plan.named("a", world):
            simple.append(T if [x for x in plan.named("make-p", world) if x < at] else F)
    assert verdict(plan, "order") == worst(simple)
    if any(plan.steps[index] == "plain" for index in plan.optional):
        return
    for world in plan.worlds():
        firsts = plan.named("make-p", world) + plan.named("make-q", world)
        middles = plan.named("plain", world)
        links = [(firsts, middles), (middles or firsts, plan.named("a", world))]
        either += [T if any(x < at for x in before) else F for before, ats in links for at in ats]
    assert verdict(plan, "order-either") == worst(either)


@settings(max_examples=150)
@given(plan=plans(("a", "b", "plain")))
def test_exclude_agrees_with_every_order(plan: Plan, verdict: Judge) -> None:
    cases = {"exclude": (True, True), "exclude-after": (True, False), "exclude-before": (False, True)}
    for name, (opens, closes) in cases.items():
        level = T
        for world in plan.worlds():
            for start in plan.named("a", world) if opens else [-1]:
                ends = [at for at in plan.named("b", world) if at > start] if closes else []
                window = range(start + 1, ends[0] if ends else len(world))
                level = F if any(at in window for at in plan.named("plain", world)) else level
        assert verdict(plan, name) == level, name


@settings(max_examples=150)
@given(plan=plans(("gauge", "a", "plain")))
def test_a_limit_on_a_use_agrees_with_every_order(plan: Plan, verdict: Judge) -> None:
    levels = []
    for world in plan.worlds():
        for at in plan.named("a", world):
            before = [x for x in plan.named("gauge", world) if x < at]
            levels.append((T if plan.sizes[world[before[-1]]] >= 5 else F) if before else U)
    assert verdict(plan, "limit") == worst(levels)


def example(plan: Plan, judge: Judge, name: str) -> tuple[int, ...] | None:
    """The order that the engine shows where a rule is false."""
    rule = judge.book.rule(name)
    assert rule is not None
    view = View(plan.procedure(), judge.book)
    conditions = Conditions(view)
    bad = [each for each in instances(Context(rule, view, conditions)) if each.truth.level == F]
    return full_order(conditions, bad[0].path) if bad and bad[0].path else None


@settings(max_examples=60)
@given(plan=plans(), other=plans(("make-p", "a", "b", "plain", "gauge")))
def test_the_order_that_is_shown_is_allowed_and_breaks_the_rule(plan: Plan, other: Plan, verdict: Judge) -> None:
    for each in (plan, other):
        worlds = set(each.worlds())
        for rule in verdict.book.rules:
            order = example(each, verdict, rule.id)
            if order is None:
                continue
            assert order in worlds, rule.id
            steps = tuple(each.steps[index] for index in order)
            chain = Plan(steps, frozenset(pairwise(range(len(steps)))), frozenset())
            chain.sizes = [each.sizes[index] for index in order]
            assert verdict(chain, rule.id) == F, rule.id


def test_a_step_that_may_be_left_out_shows_the_order_without_it(verdict: Judge) -> None:
    """An order rule whose only first step was optional and before its use ended in an empty list of ready steps."""
    plan = Plan(("make-p", "a"), frozenset({(0, 1)}), frozenset({0}))
    assert example(plan, verdict, "order") == (1,)


def test_the_levels_are_numbered_as_here() -> None:
    assert [Level.YES, Level.OPEN, Level.UNKNOWN, Level.NO] == [T, L, U, F]

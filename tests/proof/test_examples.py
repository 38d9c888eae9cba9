"""Smallest procedures on which two rulebooks differ, for every form; and nothing smaller where all are gone through."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator
from fractions import Fraction
from itertools import product
from typing import Any

import msgspec
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from ringcut.judge.judge import judge_procedure, level_of
from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.language.ir import Rulebook
from ringcut.proof.compare import differences
from ringcut.proof.examples import Example, examples, way
from ringcut.proof.judged import LOOSER, TIGHTER, Judged
from ringcut.proof.smallest import Size, size_of
from ringcut.reading.procedurefile import read_procedure
from ringcut.relations.conditions import Conditions
from ringcut.relations.resolve import resolve
from ringcut.relations.truth import OPEN, UNKNOWN, YES
from ringcut.relations.view import View

RULE = "  - {{rule: r, says: x, class: major, {}, reason: x, remedy: x, basis: common practice}}"
CHANGED: list[tuple[str, str, str, Size]] = [
    ("order: [scrape, cut]", "", LOOSER, Size(1, 0)),
    ("", "order: [scrape, cut]", TIGHTER, Size(1, 0)),
    ("order: [scrape, look?, cut]", "order: [scrape, look, cut]", TIGHTER, Size(2, 0)),
    ("order: [scrape, cut]", "order: [scrape, look, cut]", LOOSER, Size(4, 0)),
    ("need: tested, before: cut", "need: tested, before: cut / cover", TIGHTER, Size(1, 0)),
    ("need: dry, before: cut", "need: dry and bridged, before: cut", TIGHTER, Size(1, 1)),
    ("need: air-good, before: heat", "need: air-good or aired, before: heat", LOOSER, Size(2, 0)),
    ("need: tested, before: end", "need: tested and bridged, before: end", TIGHTER, Size(1, 0)),
    ("need: tested, before: look, judge: every", "need: tested, before: look", LOOSER, Size(2, 0)),
    ("need: bridged, before: cut, within: 5 min", "need: bridged, before: cut, within: 3 min", TIGHTER, Size(2, 2)),
    ("keep: aired, from: heat, until: cool", "keep: aired, from: heat, until: cool, while: bare", LOOSER, Size(1, 0)),
    ("keep: aired, while: warm", "keep: aired and dry, while: warm", TIGHTER, Size(2, 1)),
    ("keep: aired, while: warm, within: 4 min", "keep: aired, while: warm, within: 2 min", TIGHTER, Size(2, 2)),
    ("include: cover", "include: cover / look", LOOSER, Size(1, 0)),
    ("include: heat, count: 1..2", "include: heat, count: 1..1", TIGHTER, Size(2, 0)),
    ("exclude: heat", "exclude: heat, after: cut", LOOSER, Size(1, 0)),
    ("exclude: heat, after: cut", "exclude: heat, after: cut, before: cover", LOOSER, Size(3, 0)),
    ("elapsed: {from: sniff, to: heat, at-most: 10 min}", "elapsed: {from: sniff, to: heat, at-most: 8 min}",
     TIGHTER, Size(2, 2)),
    ("elapsed: {from: sniff, to: heat, at-least: 10 min}", "elapsed: {from: sniff, to: heat, at-least: 8 min}",
     LOOSER, Size(2, 2)),
    ("repeat: sniff, every: 10 min, while: warm", "repeat: sniff, every: 8 min, while: warm", TIGHTER, Size(2, 2)),
    ("record: [bond], of: cover", "record: [bond, layers], of: cover", TIGHTER, Size(1, 1)),
    ("limit: cover.bond >= 5 in", "limit: cover.bond >= 6 in", TIGHTER, Size(1, 1)),
    ("limit: cover.bond >= scrape.bared", "limit: cover.bond >= scrape.bared + 1 in", TIGHTER, Size(2, 2)),
    ("limit: cover.bond >= 5 in, when: sheath is lead", "limit: cover.bond >= 5 in", TIGHTER, Size(1, 2)),
    ("limit: cover.bond >= 5 in, when: wet and place is hole", "limit: cover.bond >= 5 in, when: wet or place is hole",
     TIGHTER, Size(1, 3)),
    ("limit: cover.bond >= 5 in, when: depth > 4 ft", "limit: cover.bond >= 5 in, when: depth > 6 ft",
     LOOSER, Size(1, 2)),
]  # fmt: skip


def said_by(document: dict[str, Any], book: Rulebook) -> str:
    """The rule's verdict by the ordinary judgement of the whole procedure; nothing is asked of what is not there."""
    if book.rule("r") is None:
        return "conforms"
    procedure = resolve(read_procedure(json.dumps(document).encode(), "example"), book, [])
    return judge_procedure(procedure, book, rules=["r"]).rules[0].verdict


@pytest.mark.parametrize(("before", "after", "direction", "size"), CHANGED)
def test_a_change_of_every_form_has_a_smallest_procedure(
    with_rules: Callable[[str], Rulebook], before: str, after: str, direction: str, size: Size
) -> None:
    old, new = (with_rules(RULE.format(form) if form else "  []") for form in (before, after))
    (effect,) = differences(old, new)
    shown = [each for each in effect.examples if way(each.old, each.new) == (direction, True)]
    assert [(size_of(each.document), each.smallest) for each in shown] == [(size, True)]
    assert (shown[0].old, shown[0].new) == (said_by(shown[0].document, old), said_by(shown[0].document, new))


def test_a_row_of_a_table_that_changes_is_shown(with_rules: Callable[[str], Rulebook]) -> None:
    from ringcut.language.ruletext import TableText
    from ringcut.reading.phrase import Phrase

    def with_table(least: str) -> Rulebook:
        rows = tuple(tuple(Phrase(cell) for cell in row) for row in (("lead", "4"), ("plastic", least)))
        table = TableText("bonds", keys={"kind": "exact"}, kinds={"least": "length"}, units={"least": "in"},
                          columns=("kind", "least"), rows=rows)  # fmt: skip
        cell = n.Lookup("bonds", (n.Fact("sheath"),), "least")
        form = ir.Limit(n.Compare(">=", n.Reading("cover", "bond"), cell, "length"), ir.StepSet(("cover",), "cover"))
        book = with_rules("  []")
        return msgspec.structs.replace(book, tables={"bonds": table}, rules=(ir.Rule("r", "", "major", "all", form),))

    (example,) = examples("r", Judged(with_table("5"), with_table("6")), (TIGHTER,))
    assert (example.document["job"], example.smallest) == ({"sheath": "plastic"}, True)
    assert size_of(example.document) == (1, 2)


def test_a_change_that_no_verdict_shows_has_no_example(with_rules: Callable[[str], Rulebook]) -> None:
    old, new = (
        with_rules(RULE.format(f"need: {need}, before: cut")) for need in ("bridged", "bridged and (bridged or tested)")
    )
    assert examples("r", Judged(old, new), (TIGHTER, LOOSER)) == []


# random small rules, and every small procedure

STEPS = ("cut", "cover", "bridge", "unbridge", "look", "pump")
names = st.lists(st.sampled_from(STEPS), min_size=1, max_size=2, unique=True)
step_sets = names.map(lambda chosen: ir.StepSet(tuple(chosen), " / ".join(chosen)))
atoms = st.sampled_from([n.Condition("bridged"), n.Condition("bare"), n.Condition("tested"), n.Condition("dry")])
demands = st.recursive(
    atoms | atoms.map(n.Not), lambda inner: st.tuples(inner, inner).flatmap(
        lambda pair: st.sampled_from([n.And(pair), n.Or(pair)])), max_leaves=2,
)  # fmt: skip
optional_sets = st.none() | step_sets
plain_forms: st.SearchStrategy[ir.Form] = st.one_of(
    st.lists(step_sets, min_size=2, max_size=3).map(lambda links: ir.Order(tuple(links))),
    st.builds(ir.Need, demands, step_sets),
    st.builds(ir.Keep, demands, step_sets, optional_sets),
    st.builds(ir.Include, step_sets, st.integers(1, 2)),
    st.builds(ir.Exclude, step_sets, optional_sets, optional_sets),
)
whens = st.sampled_from([None, n.Is(n.Fact("sheath"), ("lead",)), n.Not(n.Is(n.Fact("wet"), ("yes",)))])
minutes = st.integers(1, 5).map(lambda number: Fraction(60 * number))
moments = st.sampled_from([ir.StepSet((name,), name) for name in ("cut", "bridge", "look")])
timed_forms: st.SearchStrategy[ir.Form] = st.one_of(
    st.builds(ir.Elapsed, moments, moments, st.none(), minutes),
    st.builds(ir.Elapsed, moments, moments, minutes, st.none()),
    st.builds(ir.Repeat, moments, minutes, st.sampled_from([n.Condition("bare"), n.Condition("bridged")])),
    st.builds(ir.Need, atoms, moments, minutes),
)
lengths = st.integers(0, 5).map(lambda number: n.Const(Fraction(number) * Fraction("0.0254"), "length", "in"))
bond, bared = n.Reading("cover", "bond"), n.Reading("scrape", "bared")


def limit(op: str, right: n.Node) -> ir.Form:
    return ir.Limit(n.Compare(op, bond, right, "length"), ir.StepSet(("cover",), "cover"))


def limit_pairs(op: str) -> st.SearchStrategy[tuple[ir.Form, ir.Form]]:
    """A limit with one number, and with another."""
    plain = st.tuples(lengths, lengths).map(lambda pair: (limit(op, pair[0]), limit(op, pair[1])))
    beside = st.tuples(lengths, lengths).map(
        lambda pair: (limit(op, n.Arithmetic("+", bared, pair[0])), limit(op, n.Arithmetic("+", bared, pair[1])))
    )
    return plain | beside


WRITTEN = dict.fromkeys(("need", "keep", "limit", "repeat", "while"), "as written")
"""How the forms are written, which findings repeat."""


def rule(form: ir.Form, when: n.Node | None) -> tuple[ir.Rule, ...]:
    return (ir.Rule("r", "", "major", "all", form, when, text=WRITTEN),)


def rules(forms: st.SearchStrategy[ir.Form]) -> st.SearchStrategy[tuple[ir.Rule, ...]]:
    made = st.builds(rule, forms, whens)
    return made | made | made | st.just(())


Shelf = list[tuple[Size, View, Conditions]]
"""Small procedures on the vocabulary, ready to be judged, smallest first."""


def read(documents: Iterable[dict[str, Any]], book: Rulebook) -> Shelf:
    """Documents with their sizes, smallest first."""
    found = []
    for each in documents:
        view = View(resolve(read_procedure(json.dumps(each).encode(), "each"), book, []), book)
        found.append((size_of(each), view, Conditions(view)))
    return sorted(found, key=lambda each: each[0])


@pytest.fixture(scope="module")
def book(with_rules: Callable[[str], Rulebook]) -> Rulebook:
    return with_rules("  []")


@pytest.fixture(scope="module")
def plans(book: Rulebook) -> Shelf:
    """Every plan of at most two of the vocabulary's steps with at most one of the facts that the rules ask for."""
    jobs = [{}, {"sheath": "lead"}, {"sheath": "plastic"}, {"wet": "yes"}, {"wet": "no"}]
    lines = [*product(book.steps, repeat=1), *product((*STEPS, "scrape"), repeat=2)]
    return read(({"procedure": "plan", "job": job, "steps": [*line]} for line in lines for job in jobs), book)


@pytest.fixture(scope="module")
def logs(book: Rulebook) -> Shelf:
    """Every log of at most two of three steps, with or without times up to six minutes apart."""

    def entries(name: str) -> Iterator[Any]:
        yield name
        yield from ({"do": name, "at": f"10:0{minute}"} for minute in range(7))

    steps = [each for name in ("cut", "bridge", "look") for each in entries(name)]
    jobs = [{}, {"sheath": "lead"}, {"wet": "no"}]
    lines = [*product(steps, repeat=1), *(line for line in product(steps, repeat=2) if _in_order(line))]
    return read(({"procedure": "log", "job": job, "steps": [*line]} for line in lines for job in jobs), book)


def _in_order(line: tuple[Any, ...]) -> bool:
    times = [each["at"] for each in line if isinstance(each, dict)]
    return times == sorted(times) and (not times or times[0] == "10:00")


@pytest.fixture(scope="module")
def covers(book: Rulebook) -> Shelf:
    """Every plan of at most two of the steps that have lengths, by whole inches."""

    def entries(name: str, reading: str) -> Iterator[Any]:
        yield name
        yield from ({"do": name, reading: f"{half / 2:g} in"} for half in range(0, 13, 2))

    steps = [*entries("cover", "bond"), *entries("scrape", "bared")]
    jobs = [{}, {"sheath": "lead"}, {"wet": "no"}]
    lines = [*product(steps, repeat=1), *product(steps, repeat=2)]
    return read(({"procedure": "plan", "job": job, "steps": [*line]} for line in lines for job in jobs), book)


def check(one: tuple[ir.Rule, ...], two: tuple[ir.Rule, ...], book: Rulebook, shelf: Shelf, most: int) -> None:
    """Nothing on the shelf is a smaller example, and where the shelf has one there is one."""
    old, new = (msgspec.structs.replace(book, rules=each) for each in (one, two))
    by_shelf = {direction: size for (direction, clear), size in _smallest(shelf, old, new).items() if clear}
    found = {way(each.old, each.new): each for each in examples("r", Judged(old, new), tuple(by_shelf), most)}
    for direction, size in by_shelf.items():
        assert (direction, True) in found
        assert size_of(found[direction, True].document) <= size
        _confirmed(found[direction, True], old, new)


def _confirmed(shown: Example, old: Rulebook, new: Rulebook) -> None:
    assert (shown.old, shown.new) == (said_by(shown.document, old), said_by(shown.document, new))


def _smallest(shelf: Shelf, old: Rulebook, new: Rulebook) -> dict[tuple[str, bool], Size]:
    found: dict[tuple[str, bool], Size] = {}
    for size, view, conditions in shelf:
        said = [_said(each, view, conditions) for each in (old, new)]
        found.setdefault(way(*said), size)
        if (TIGHTER, True) in found and (LOOSER, True) in found:
            break
    return found


def _said(book: Rulebook, view: View, conditions: Conditions) -> str:
    levels = [level_of(rule, view, conditions) for rule in book.rules]
    worst = max((level for level in levels if level is not None), default=YES)
    return "conforms" if worst <= OPEN else "undetermined" if worst == UNKNOWN else "nonconforming"


few = settings(max_examples=20, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)


@few
@given(one=rules(plain_forms), two=rules(plain_forms))
def test_no_small_plan_shows_it_with_less(
    one: tuple[ir.Rule, ...], two: tuple[ir.Rule, ...], book: Rulebook, plans: Shelf
) -> None:
    check(one, two, book, plans, 500)


@few
@given(one=rules(timed_forms), two=rules(timed_forms))
def test_no_small_log_shows_it_with_less(
    one: tuple[ir.Rule, ...], two: tuple[ir.Rule, ...], book: Rulebook, logs: Shelf
) -> None:
    check(one, two, book, logs, 800)


@settings(few, max_examples=8)
@given(forms=st.sampled_from(["<", "<=", ">", ">=", "="]).flatmap(limit_pairs), one=whens, two=whens)
def test_no_small_plan_with_lengths_shows_it_with_less(
    forms: tuple[ir.Form, ir.Form], one: n.Node | None, two: n.Node | None, book: Rulebook, covers: Shelf
) -> None:
    check(rule(forms[0], one), rule(forms[1], two), book, covers, 1500)

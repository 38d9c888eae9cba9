"""Places in an order and what putting a step there means, against enumeration of small graphs."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

from hypothesis import given
from hypothesis import strategies as st

from ringcut.correct.graph import Gap, Graph, Labels, graph_of
from ringcut.language.ir import Rulebook
from ringcut.reading.phrase import Phrase
from ringcut.reading.problems import Place
from ringcut.reading.procedurefile import read_procedure
from ringcut.reading.raw import RawStep
from ringcut.reading.suggest import canonical
from ringcut.relations.order import plan_order
from ringcut.relations.resolve import resolve

Relation = frozenset[tuple[int, int]]


@st.composite
def graphs(draw: st.DrawFn) -> Graph:
    """Up to six steps, each waiting for some that are listed before it."""
    count = draw(st.integers(1, 6))
    waits = [sum(1 << each for each in draw(st.sets(st.integers(0, at - 1)))) if at else 0 for at in range(count)]
    steps = {at: RawStep(Phrase(f"s{at}"), place=Place("", at + 1)) for at in range(count)}
    return Graph(steps, tuple(waits), (1 << count) - 1, 1 << count - 1)


def relation(graph: Graph) -> Relation:
    """(earlier, later) pairs, by walking."""
    pairs = {(x, y) for y, mask in enumerate(graph.waits) for x in range(len(graph.waits)) if mask >> x & 1}
    while more := {(x, z) for x, y in pairs for w, z in pairs if y == w} - pairs:
        pairs |= more
    return frozenset(pairs)


def put_anywhere(order: Relation, others: list[int], at: int) -> Iterator[Relation]:
    """Every order in which a step stands behind some and before others, nothing else changed."""
    for choice in product("<> ", repeat=len(others)):
        earlier = {each for each, sign in zip(others, choice, strict=True) if sign == "<"}
        later = {each for each, sign in zip(others, choice, strict=True) if sign == ">"}
        if not all((x, y) in order for x in earlier for y in later):
            continue
        whole = set(order) | {(x, at) for x in earlier} | {(at, y) for y in later}
        whole |= {(x, at) for x, y in order if y in earlier} | {(at, y) for x, y in order if x in later}
        yield frozenset(whole)


@given(graphs(), st.integers(0, 5))
def test_every_place_for_a_step_lies_in_a_gap(graph: Graph, which: int) -> None:
    """Nothing is lost by trying gaps alone: any other place demands less of the same steps."""
    at = which % len(graph.waits)
    without = graph.without(at)
    order = relation(without)
    assert order == frozenset(pair for pair in relation(graph) if at not in pair)
    gaps = [relation(without.put(at, gap)) for gap in without.gaps()]
    for narrow in gaps:
        assert frozenset(pair for pair in narrow if at not in pair) == order
    others = [each for each in range(len(graph.waits)) if each != at]
    for loose in put_anywhere(order, others, at):
        assert any(loose <= narrow for narrow in gaps)


@given(graphs())
def test_a_line_has_one_gap_more_than_steps(graph: Graph) -> None:
    line = tuple(1 << at - 1 if at else 0 for at in range(len(graph.waits)))
    gaps = list(Graph(graph.steps, line, graph.present).gaps())
    assert len(gaps) == len(line) + 1
    assert Gap(0, graph.present) in gaps


@given(graphs(), st.integers(0, 5))
def test_a_step_can_wait_for_all_that_do_not_come_after_it(graph: Graph, which: int) -> None:
    at = which % len(graph.waits)
    free = graph.free_to_precede(at)
    order = relation(graph)
    assert {each for each in range(len(graph.waits)) if free >> each & 1} == {
        each for each in range(len(graph.waits)) if each != at and (at, each) not in order
    }
    assert not graph.waiting(at, free).is_circle()


def test_a_circle_is_seen() -> None:
    steps = {at: RawStep(Phrase("s"), place=Place("", at + 1)) for at in range(3)}
    assert Graph(steps, (0b100, 0b001, 0b010), 0b111).is_circle()


TEXT = """procedure: plan
job: {}
steps:
  - guard-work-area
  - {do: open-manhole, id: cover}
  - any-order:
      - [identify-cable, {do: check-foreign-voltage, after: [guard-work-area]}]
      - clean-lead
  - {do: scuff-lead, after: [cover, identify-cable]}
  - wipe-lead
  - {do: test-atmosphere, after: []}
"""


def test_the_order_is_that_of_the_reader(book: Rulebook) -> None:
    raw = read_procedure(TEXT.encode(), "plan")
    graph = graph_of(raw.steps, {}, Labels(raw.steps, lambda text: book.synonyms.get(canonical(text), canonical(text))))
    names = {at: step.do.text for at, step in graph.steps.items()}
    read = resolve(raw, book, [])
    order = plan_order(len(read.occurrences), read.edges)
    meant = {
        (x.step, y.step) for x in read.occurrences for y in read.occurrences if order.before(x.index, y.index)
    }  # fmt: skip
    assert {(names[x], names[y]) for x, y in relation(graph)} == meant
    assert names[graph.ends.bit_length() - 1] == "test-atmosphere"
    assert {names[at] for at in range(len(names)) if graph.lost() >> at & 1} == {
        step for step in names.values() if step not in {x for x, _ in meant} | {"test-atmosphere"}
    }

"""One meaning: a plan and a log with the same order get the same verdicts, one line or steps that overlap."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ringcut.judge.judge import judge_procedure
from ringcut.language.ir import Rulebook
from ringcut.reading.problems import NOWHERE
from ringcut.relations.procedure import Occurrence, Procedure
from ringcut.relations.spans import exactly

WORDS = """
conditions:
  p: {says: one thing}
  q: {says: another thing}
  s: {says: a thing on each side, per: side}
  either: {says: one or the other, means: p or q}
steps:
  make-p: {says: p, makes: [p], again: another}
  end-p: {says: no p, ends: [p], again: another}
  make-q: {says: q, makes: [q], ends: [p], again: another}
  end-q: {says: no q, ends: [q], again: another}
  set-p: {says: p by a size, sets: {p: size >= 5}, again: another,
    readings: {size: {kind: count, known: planned}}}
  make-s: {says: s, makes: [s], per: side}
  use: {says: a use, again: another}
  close: {says: a close, again: another}
  layer: {says: a layer, per: side, readings: {size: {kind: count, known: planned}}}
"""
RULES = """
  - {rule: r1, says: s, class: minor, order: [make-p, use]}
  - {rule: r2, says: s, class: minor, order: [make-p / make-q, close?, layer]}
  - {rule: r3, says: s, class: minor, need: p, before: use}
  - {rule: r4, says: s, class: minor, need: either, before: layer, judge: every}
  - {rule: r5, says: s, class: minor, need: s and not q, before: layer}
  - {rule: r6, says: s, class: minor, need: p, before: end}
  - {rule: r7, says: s, class: minor, keep: either, from: use, until: close}
  - {rule: r8, says: s, class: minor, keep: p, while: q}
  - {rule: r9, says: s, class: minor, keep: s, from: layer}
  - {rule: r10, says: s, class: minor, include: layer}
  - {rule: r11, says: s, class: minor, exclude: end-p, after: use, before: close}
  - {rule: r12, says: s, class: minor, limit: layer.size >= 5}
  - {rule: r13, says: s, class: minor, limit: set-p.size >= 5, of: use}
  - {rule: r14, says: s, class: minor, limit: layer.size >= set-p.size, of: use}
"""
NAMES = ("make-p", "end-p", "make-q", "end-q", "set-p", "make-s", "use", "close", "layer")
SIDES = (("A", "B"), ("A", "B"), ("A",), ("B",))

Entry = tuple[str, int, tuple[str, ...], int, int]
ENTRIES = st.lists(
    st.tuples(
        st.sampled_from(NAMES), st.sampled_from((4, 5, 6)), st.sampled_from(SIDES), st.integers(0, 8), st.integers(0, 2)
    ),
    min_size=1,
    max_size=7,
)


class Twins:
    """The verdicts of every rule on a plan and on a log with the same entries."""

    def __init__(self, book: Rulebook) -> None:
        self.book = book

    def occurrences(self, entries: list[Entry], timed: bool) -> list[Occurrence]:
        found = []
        for index, (step, size, sides, begin, length) in enumerate(entries):
            each = Occurrence(index, step, sides, NOWHERE, readings={})
            if step in ("set-p", "layer"):
                each.readings["size", ""] = exactly(Fraction(size))
            if timed:
                each.begin, each.finish = Fraction(begin), Fraction(begin + length)
            found.append(each)
        return found

    def verdicts(self, entries: list[Entry], edges: list[tuple[int, int]] | None, timed: bool) -> dict[str, str]:
        procedure = Procedure(edges is not None, {}, {}, self.occurrences(entries, timed), edges=edges or [])
        return {each.rule: each.verdict for each in judge_procedure(procedure, self.book).rules}


@pytest.fixture(scope="module")
def twins(compiled: Callable[[str, str], Rulebook]) -> Twins:
    return Twins(compiled(WORDS, RULES))


@settings(max_examples=80)
@given(entries=ENTRIES)
def test_one_line(entries: list[Entry], twins: Twins) -> None:
    chain = [(index, index + 1) for index in range(len(entries) - 1)]
    plan = twins.verdicts(entries, chain, timed=False)
    assert plan == twins.verdicts(entries, None, timed=False)
    in_time = [(*entry[:3], 10 * place, 0) for place, entry in enumerate(entries)]
    assert plan == twins.verdicts(in_time, None, timed=True)


@settings(max_examples=80)
@given(entries=ENTRIES)
def test_overlaps_are_steps_in_any_order(entries: list[Entry], twins: Twins) -> None:
    """The plan has an edge where the language says that one entry of the log comes before another.

    The rows are listed by their begin: times against the list leave undetermined what hangs on them.
    """
    entries = sorted(entries, key=lambda entry: entry[3])
    spans = [(begin, begin + length, index) for index, (_, _, _, begin, length) in enumerate(entries)]
    edges = [
        (x[2], y[2])
        for x in spans
        for y in spans
        if x[2] != y[2] and (x[1] < y[0] or x[1] == y[0] and (x[0] < y[0] or x[2] < y[2]))
    ]
    assert twins.verdicts(entries, edges, timed=False) == twins.verdicts(entries, None, timed=True)

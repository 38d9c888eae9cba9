"""Steps that a rule takes for one of several are seen as one letter: no verdict of the reference may change by that."""

from __future__ import annotations

import json
from collections.abc import Callable
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.bulk.comparing import differences

from ringcut.bulk.judging import Bulk
from ringcut.language.ir import Rulebook

WORDS = """
conditions:
  up: {says: it is up}
  hung: {per: side, says: a side is hung}
  "on": {per: person, says: a person is on}
  dirty: {per: person, says: a person is dirty}
  fresh: {lapses: 5 min, says: it is fresh}
steps:
  raise: {says: raise, makes: up}
  lower: {says: lower, ends: up}
  hang: {says: hang, again: another, makes: hung}
  board: {says: board, makes: ["on", fresh]}
  alight: {says: alight, ends: "on"}
  smear: {says: smear, makes: dirty}
  wash: {says: wash, ends: dirty}
  cut: {says: cut}
  scrape: {says: scrape, again: another}
  wipe: {says: wipe, again: redo}
  look: {says: look}
"""
RULES = "".join(
    f"  - {{rule: {name}, says: a, class: major, {form}, reason: r, basis: common practice}}\n"
    for name, form in {
        "up-first": "need: up, before: cut / scrape / wipe / look",
        "up-for-each": "need: up, before: cut / wipe, judge: every",
        "hung-first": "need: hung, before: cut / scrape",
        "aboard": 'need: "on", before: cut / scrape / wipe',
        "washed": "need: not dirty, before: look / wipe",
        "fresh-first": "need: fresh, before: cut / look",
        "up-soon": "need: up, before: cut / wipe, within: 3 min",
        "in-order": "order: [cut / scrape, wipe / look?, lower / alight]",
        "kept": "keep: up, from: cut / scrape, until: wipe / look",
        "kept-in-time": "keep: up, from: cut / look, until: wipe, within: 2 min",
    }.items()
)
STEPS = ("raise", "lower", "hang", "board", "alight", "smear", "wash", "cut", "scrape", "wipe", "look")
entries = st.tuples(
    st.sampled_from(STEPS),
    st.sampled_from(["", "", "", "A", "B"]),
    st.sampled_from(["P. Example", "P. Example", "Q. Example"]),
    st.sampled_from(["done", "done", "done", "done", "not-done", "not-recorded"]),
    st.sampled_from([0, 1, 1, 2, 4]),
)


def line(done: list[tuple[str, str, str, str, int]], finished: bool) -> bytes:
    """A log of some entries, each so many minutes after the one before."""
    steps, minutes = [], 0
    for step, side, by, status, gap in done:
        minutes += gap
        entry = {"do": step, "at": f"2026-03-02T08:{minutes:02}:00Z", "by": by}
        if side:
            entry["side"] = side
        if status != "done":
            entry |= {"status": status, "reason": "said"}
        steps.append(entry)
    log = {"procedure": "log", "job": {}, "steps": steps} | ({} if finished else {"finished": "no"})
    return json.dumps(log, separators=(",", ":")).encode()


@pytest.fixture(scope="module")
def learnt(small_book: Callable[..., Rulebook]) -> Bulk:
    """What has been learnt goes on from example to example."""
    return Bulk(small_book(WORDS, RULES))


@given(st.lists(entries, min_size=1, max_size=9), st.booleans())
@settings(max_examples=600, deadline=None)
def test_logs_that_differ_only_in_steps_of_one_role_get_the_verdicts_of_the_reference(
    learnt: Bulk, done: list[tuple[str, str, str, str, int]], finished: bool
) -> None:
    told = differences(line(done, finished), learnt, learnt.book)
    assert told == ([] if any(status == "done" for *_, status, _ in done) else None)


def test_who_did_what_is_seen_whatever_others_did_between(learnt: Bulk) -> None:
    """All logs of three entries by two persons; each rule looks at some of these steps only."""
    each = list(product(("smear", "wash", "board", "cut", "look"), ("P. Example", "Q. Example")))
    for chosen in product(each, repeat=3):
        done = [(step, "", by, "done", 1) for step, by in chosen]
        assert differences(line(done, True), learnt, learnt.book) == []

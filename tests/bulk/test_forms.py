"""Rules of every form on all short logs of a few steps: what a bulk has learnt of one log holds for no other one."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import product

import msgspec
import pytest
from tests.bulk.shortlogs import HAND, log, parted, rules

from ringcut.bulk.judging import Bulk
from ringcut.language.ir import Rulebook

WORDS = """
conditions:
  up: {says: it is up}
  safe: {says: safe, at-start: always}
  wet: {per: person, lapses: 4 min, says: a person is wet}
steps:
  raise: {says: raise, makes: up}
  lower: {says: lower, ends: [up, safe]}
  board: {says: board, makes: wet}
  test: {says: test}
  cut: {says: cut}
  look: {says: look}
"""
Small = Callable[..., Rulebook]


def timed(steps: tuple[str, ...], most: int, gaps: tuple[int, ...]) -> Iterator[bytes]:
    """All logs of at most so many entries, with all of some gaps in seconds between them."""
    for size in range(1, most + 1):
        for done, waits in product(product(steps, repeat=size), product(gaps, repeat=size - 1)):
            yield log({"do": step, "after": wait} for step, wait in zip(done, (0, *waits), strict=True))


def test_from_the_start_to_the_end_is_a_length_of_time(small_book: Small) -> None:
    """Such a rule names no step, so that whatever the first log took was taken for the length of all."""
    book = small_book(WORDS, rules(whole="elapsed: {from: start, to: end, at-most: 5 min}"))
    assert list(parted(timed(("cut", "look"), 3, (60, 240, 241)), book)) == []


def test_a_length_that_is_both_the_least_and_the_most_is_compared_both_ways(small_book: Small) -> None:
    book = small_book(WORDS, rules(exact="elapsed: {from: raise, to: cut, at-least: 5 min, at-most: 5 min}"))
    assert list(parted(timed(("raise", "cut"), 3, (120, 300, 301)), book)) == []


def test_a_grace_from_the_start_is_counted_from_the_first_entry(small_book: Small) -> None:
    """Only what stood between two entries of the rule was compared with the grace."""
    forms = rules(soon_up="keep: up, until: cut, within: 3 min", up="keep: up, within: 3 min")
    assert list(parted(timed(("raise", "lower", "cut", "look"), 3, (60, 180, 181)), small_book(WORDS, forms))) == []


@pytest.mark.parametrize("records", ["every-step", "milestones"])
def test_a_log_in_which_nothing_was_done_is_unlike_one_in_which_something_was(records: str, small_book: Small) -> None:
    """A rule that looks at none of the entries may still ask whether anything was done."""
    forms = rules(
        tested="repeat: test, every: 5 min, while: safe",
        whole="elapsed: {from: start, to: end, at-most: 5 min}",
        soon_up="keep: up, within: 3 min",
        up="keep: up",
        safe="need: safe, before: end",
    )
    each = [{"do": step, **said} for step in ("cut", "look", "test") for said in ({}, {"status": "not-done"})]
    lines = (log(done, records=records) for size in (1, 2) for done in product(each, repeat=size))
    assert list(parted(lines, small_book(WORDS, forms))) == []


def test_a_condition_of_persons_that_lapses_may_be_kept(small_book: Small) -> None:
    """Every entry may be the moment at which it has lapsed, whoever did it: this ended in a KeyError."""
    book = small_book(WORDS, rules(kept="keep: wet, from: board, until: cut"))
    bulk = Bulk(book)
    assert list(parted(timed(("board", "cut", "look"), 3, (60, 240, 241)), book, bulk)) == []
    each = [{"do": step, "by": by, "after": 130} for step in ("board", "cut", "look") for by in (HAND, "Q. Example")]
    assert list(parted((log(done) for done in product(each, repeat=3)), book, bulk)) == []


MONTHS = """
facts:
  month: {kind: choice, choices: ["2", "3"], says: the month}
steps:
  cut: {says: cut}
  look: {says: look}
"""


def test_the_month_is_that_of_the_first_doing(small_book: Small) -> None:
    """Not of a first entry that says that something was not done."""
    book = small_book(MONTHS, rules(looked="include: look, when: month is 3"))
    clocks = ["2026-02-27T23:00:00Z", "2026-02-28T23:00:00Z", "2026-03-01T01:00:00Z", "2026-03-31T23:00:00Z"]
    nights = [(one, two) for one, two in product(clocks, [*clocks, "2026-04-01T01:00:00Z"]) if one <= two]
    lines = [
        log([{"do": "cut", "at": one, **said}, {"do": "cut", "at": two}])
        for (one, two), said in product(nights, ({}, {"status": "not-done"}))
    ]
    book = small_book(MONTHS, rules(looked="include: look, when: month is 3"))
    bulk = Bulk(book)
    assert list(parted(lines * 3, book, bulk)) == []
    assert sum(bulk.judge(line) is None for line in lines) < len(lines) / 2


GUARDED = """
conditions:
  good: {says: it is good, at-start: always}
steps:
  cut:
    says: cut
    readings: {a: {kind: length, unit: in}, b: {kind: length, unit: in}, c: {kind: count}}
    sets: {good: {where: a / b > c, to: never, unread: keeps}}
  look: {says: look}
"""


def test_a_guard_is_unread_only_for_want_of_readings(small_book: Small) -> None:
    """A division by zero is unknown as well, and then the condition is not what it was."""
    said = [{"a": a, "b": b, "c": c} for a, b, c in product(("1 in", "0 in", ""), ("1 in", "0 in", ""), ("1", "3", ""))]
    read = [{name: text for name, text in each.items() if text} for each in said]
    lines = [log([{"do": "cut", **each}, {"do": "look"}]) for each in read]
    book = small_book(GUARDED, rules(good="need: good, before: look", kept="keep: good"))
    bulk = Bulk(book)
    assert [found for _ in range(3) for found in parted(lines, book, bulk)] == []


@pytest.mark.parametrize("lapses", ["", ", lapses: 5 min"])
@pytest.mark.parametrize("inside", ["means: aboard or beside", "means: aboard or place is pit", "at-start: always"])
def test_who_is_inside_is_asked_of_all_that_it_follows_from(lapses: str, inside: str, small_book: Small) -> None:
    """Of a condition that follows from others, or lapses, the look at work in a manhole saw nothing."""
    direct = inside.startswith("at-start")
    words = f"""
facts:
  place: {{kind: choice, choices: [pit, pole], says: where}}
conditions:
  {"inside" if direct else "aboard"}: {{says: a{lapses}}}
  beside: {{per: person, says: b}}
{"" if direct else f"  inside: {{says: in, {inside}}}"}
steps:
  enter: {{says: e, makes: {"inside" if direct else "aboard"}}}
  leave: {{says: l, ends: {"inside" if direct else "aboard"}}}
  come: {{says: c, makes: beside}}
  go: {{says: g, ends: beside}}
  work: {{says: w, traits: [in-manhole]}}
"""
    book = small_book(words, rules(look="pattern: in-manhole-after-leaving"))
    bulk = Bulk(book)
    steps = ("enter", "leave", "come", "go", "work") if "beside" in inside else ("enter", "leave", "work")
    assert list(parted(timed(steps, 3, (60, 301)), book, bulk)) == []
    once = [{"do": step} for step in ("enter", "leave", "work")]
    lines = (log(done, {"place": place}) for done in product(once, repeat=3) for place in ("pit", "pole"))
    assert list(parted(lines, book, bulk)) == []


PLACES = """
facts:
  place: {kind: choice, choices: [pit, pole], says: where}
steps:
  raise: {says: raise}
  cut: {says: cut}
"""


def test_a_rule_that_is_another_for_some_jobs_keeps_both_its_values(small_book: Small) -> None:
    """A local practice makes two rules of one name of it: both were asked for what the second looks at."""
    within = {"pit": 3, "pole": 5}
    forms = {
        place: f"elapsed: {{from: raise, to: cut, at-most: {limit} min}}, when: place is {place}"
        for place, limit in within.items()
    }
    one = small_book(PLACES, rules(**forms, raised="order: [raise, cut]"))
    named = [msgspec.structs.replace(rule, id="soon") if rule.id in within else rule for rule in one.rules]
    book = msgspec.structs.replace(one, rules=tuple(named))
    bulk = Bulk(book)
    lines = [
        log([{"do": "raise"}, {"do": "cut", "after": gap}], {"place": place} if place else {})
        for gap, place in product((60, 180, 181, 300, 301), ("pit", "pole", ""))
    ]
    assert list(parted(lines, book, bulk)) == []
    assert bulk.rules == (("soon", "major"), ("raised", "major"))

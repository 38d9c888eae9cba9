"""Lines that are nearly those that a bulk has met: what the reference refuses is never judged by what was learnt."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import product
from typing import Any

import pytest
from tests.bulk.comparing import differences
from tests.bulk.shortlogs import HAND, log, parted, rules

from ringcut.bulk.judging import Bulk
from ringcut.language.ir import Rulebook

Small = Callable[..., Rulebook]
WORDS = """
facts:
  one: {kind: yes-no, otherwise: "yes", says: one}
  two: {kind: yes-no, says: two}
  contractor: {kind: choice, choices: [North, South], says: who was hired}
  reference: {kind: text, says: which job it is}
impossible:
  - {when: one is yes and two is no, reason: so it is}
conditions:
  "on": {per: person, says: a person is on}
steps:
  board: {says: board, makes: "on"}
  cut: {says: cut, readings: {wide: {kind: length, unit: in}}}
  look: {says: look}
"""
RULES = rules(
    aboard='need: "on", before: cut',
    soon="elapsed: {from: board, to: cut, at-most: 5 min}",
    looked="include: look, when: two is yes",
    looked_twice="include: look, when: reference is twice",
)
DONE = [{"do": "board"}, {"do": "cut", "wide": "2 in"}]
GOOD = log(DONE, {"reference": "N-1", "two": "yes"})


@pytest.fixture
def book(small_book: Small) -> Rulebook:
    """A rulebook that asks for persons, times and facts."""
    return small_book(WORDS, RULES)


@pytest.fixture
def bulk(book: Rulebook) -> Bulk:
    """A bulk that knows the good line by its pieces."""
    bulk = Bulk(book)
    assert [differences(GOOD, bulk, book) for _ in range(3)] == [[], [], []]
    return bulk


def spoilt() -> Iterator[bytes]:
    """The good line, with one byte left out, put in or changed."""
    for place in range(len(GOOD)):
        yield GOOD[:place] + GOOD[place + 1 :]
        for byte in (b'"', b"\\", b"\xff", b" "):
            yield GOOD[:place] + byte + GOOD[place:]
            yield GOOD[:place] + byte + GOOD[place + 1 :]


def test_a_byte_that_is_wrong_is_seen_wherever_it_stands(bulk: Bulk, book: Rulebook) -> None:
    """Anything passed for the T between date and clock, even a quote or a byte that is no text."""
    found = {line: differences(line, bulk, book) for line in spoilt()}
    assert [(line, said) for line, said in found.items() if said] == []
    assert sum(said == [] for said in found.values()) > 50, "most lines are left"


@pytest.mark.parametrize("sep", ["X", "t", " ", "0", "T "])
def test_what_parts_date_and_clock_is_looked_at(sep: str, bulk: Bulk, book: Rulebook) -> None:
    assert differences(GOOD.replace(b"02T", f"02{sep}".encode()), bulk, book) in (None, [])


@pytest.mark.parametrize("more", ["\x1c", "\x1f", "\x85", "\xa0", "\u2028", "\u3000", " \r\n", "x", "}"])
def test_what_stands_behind_a_line_is_looked_at(more: str, bulk: Bulk, book: Rulebook) -> None:
    """White space that is none of JSON was cut off."""
    assert not differences(GOOD + more.encode(), bulk, book)


@pytest.mark.parametrize("hand", ["", " ", "A\ufffeB", "\\u0080", "A\x81", "\\u0041"])
def test_a_hand_is_who_it_is(hand: str, bulk: Bulk, book: Rulebook) -> None:
    """Without a name it is the crew, of which nobody in particular is on."""
    for times in (1, 2):
        assert not differences(GOOD.replace(HAND.encode(), hand.encode(), times), bulk, book)


@pytest.mark.parametrize(
    "by", ['["\\u0080"]', '["\\u0080","Q. Example"]', '["P. Example"]', "[]", '[""]', '"P. Example "']
)
def test_a_list_of_hands_is_who_they_are(by: str, bulk: Bulk, book: Rulebook) -> None:
    """The character that stands for the first hand was taken for that hand in a list."""
    line = GOOD.replace(b'"by":"P. Example","wide"', f'"by":{by},"wide"'.encode())
    assert line != GOOD
    assert not differences(line, bulk, book)


def test_a_text_that_no_file_may_hold_is_left(bulk: Bulk, book: Rulebook) -> None:
    for wrong in ("\ufffe", "\uffff", "\x81", "\x9f"):
        noted = log([{**DONE[0], "note": "so"}, DONE[1]]).replace(b'"so"', f'"{wrong}"'.encode())
        assert not differences(noted, bulk, book)


def test_facts_that_cannot_stand_together_are_seen_where_one_is_assumed(bulk: Bulk, book: Rulebook) -> None:
    """A job with both facts given showed the rules the same as one that gives only the second."""
    for job in ({"one": "no", "two": "no"}, {"two": "no"}, {"one": "yes", "two": "no"}, {"two": "no"}):
        assert not differences(log(DONE, job), bulk, book)


def test_a_fact_of_every_job_holds_what_the_vocabulary_says(bulk: Bulk, book: Rulebook) -> None:
    """It was taken for any text, and the reference was cut out although a rule asks for it."""
    for job in ({"contractor": "South"}, {"contractor": "East"}, {"reference": "twice"}, {"reference": "N-1"}):
        for _ in range(3):
            assert not differences(log(DONE, job), bulk, book)


def test_a_comparison_of_both_sides_is_found_for_both(small_book: Small) -> None:
    """It was remembered for what one side says: 1 and 9 inches together were no more than 1 and 2."""
    words = """
facts:
  wide: {kind: length, unit: in, per: side, says: how wide}
steps:
  cut: {says: cut}
  look: {says: look}
"""
    forms = rules(
        sum="include: look, when: both(wide) > 5 in",
        least="include: look, when: least(wide) > 2 in",
        each="order: [look, cut], when: wide > 2 in",
    )
    jobs: list[dict[str, Any]] = [{"wide": "3 in"}, {"wide": {"A": "9 in"}}, {}]
    jobs += [{"wide": {"A": f"{a} in", "B": f"{b} in"}} for a, b in product((1, 2, 3, 9), repeat=2)]
    lines = [log([{"do": "cut"}], job) for job in jobs]
    assert list(parted(lines * 2, small_book(words, forms))) == []

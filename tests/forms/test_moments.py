"""What is kept is looked at only where its truth can change: as if it were looked at before and after every entry."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.bulk.test_roles import line

from ringcut.forms import keep
from ringcut.forms.instance import Context
from ringcut.judge.judge import judge_procedure
from ringcut.language.ir import Rulebook
from ringcut.reading.problems import Problem
from ringcut.reading.procedurefile import read_jsonl_line
from ringcut.relations.conditions import Moment
from ringcut.relations.formula import Formula
from ringcut.relations.resolve import resolve

WORDS = """
conditions:
  wet: {per: side, lapses: 3 min, says: a side is wet}
  aired: {lapses: 2 min, says: air is blown in}
  shut: {says: it is shut}
steps:
  pour: {says: pour, again: another, makes: wet}
  dry: {says: dry, again: another, ends: wet}
  blow: {says: blow, again: another, makes: aired}
  close: {says: close, again: another, makes: shut}
  open: {says: open, again: another, ends: [shut, aired]}
  rest: {says: rest, again: another}
"""
RULES = "".join(
    f"  - {{rule: r{number}, says: a, class: major, {form}, reason: r, basis: common practice}}\n"
    for number, form in enumerate(
        (
            "keep: aired, while: wet",
            "keep: aired, while: wet, within: 2 min",
            "keep: shut or aired, from: pour, until: dry",
            "keep: not wet, from: close, until: open, within: 1 min",
            "keep: wet, from: pour",
            "keep: not wet or shut",
        )
    )
)
ENTRIES = st.tuples(
    st.sampled_from(["pour", "dry", "blow", "close", "open", "rest", "rest"]),
    st.sampled_from(["", "", "A", "B"]),
    st.just("P. Example"),
    st.sampled_from(["done", "done", "done", "not-recorded"]),
    st.sampled_from([0, 1, 1, 2, 3, 4]),
)


@pytest.fixture(scope="module")
def tiny(small_book: Callable[..., Rulebook]) -> Rulebook:
    return small_book(WORDS, RULES)


def every_moment(context: Context, item: Formula, start: int | None, end: Moment) -> Iterator[Moment]:
    """Before and after each entry of a window."""
    order = context.order
    first = 0 if start is None else order.rank[start]
    last = order.n if end.step is None else order.rank[end.step]
    for index in order.line[first:last]:
        yield Moment(index, index == start)
        yield Moment(index, True)


@given(st.lists(ENTRIES, min_size=1, max_size=8), st.booleans())
@settings(max_examples=400)
def test_what_is_kept_is_told_as_if_every_moment_were_looked_at(
    tiny: Rulebook, done: list[tuple[str, str, str, str, int]], finished: bool
) -> None:
    problems: list[Problem] = []
    log = resolve(read_jsonl_line(line(done, finished), "", 1), tiny, problems)
    assert problems == []
    found = judge_procedure(log, tiny)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(keep, "_moments", every_moment)
        assert judge_procedure(log, tiny) == found

"""Counts over many logs, and the intervals beside the shares."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringcut.archive import summary
from ringcut.archive.results import LogReport
from ringcut.archive.summary import wilson
from ringcut.checking import check
from ringcut.language.ir import Rulebook


# R. G. Newcombe, Statistics in Medicine 17:857 (1998), table I, method 3 (from memory)
@pytest.mark.parametrize(
    ("hits", "of", "low", "high"),
    [
        (81, 263, 0.2553, 0.3662),
        (15, 148, 0.0624, 0.1605),
        (0, 20, 0.0000, 0.1611),
        (1, 29, 0.0061, 0.1718),
    ],
)
def test_wilson_interval(hits: int, of: int, low: float, high: float) -> None:
    assert wilson(hits, of) == pytest.approx((low, high), abs=5e-5)


@given(st.integers(1, 10_000).flatmap(lambda of: st.tuples(st.integers(0, of), st.just(of))))
def test_its_ends_are_where_the_score_test_just_does_not_reject(pair: tuple[int, int]) -> None:
    hits, of = pair
    low, high = wilson(hits, of)
    assert 0 <= low <= hits / of <= high <= 1
    for end in (low, high):
        if 0 < end < 1:
            score = (hits / of - end) / math.sqrt(end * (1 - end) / of)
            assert abs(score) == pytest.approx(1.959964, abs=1e-4)


def test_nothing_is_known_of_no_logs() -> None:
    assert wilson(0, 0) == (0.0, 1.0)


def test_groups_that_come_late_are_counted_together(monkeypatch: pytest.MonkeyPatch, book: Rulebook) -> None:
    """A million manholes need not be held by name; nothing goes uncounted."""
    monkeypatch.setattr(summary, "MOST_GROUPS", 2)
    log = b"procedure: log\nsteps: [open-sheath]\n"
    report = check(log, "l.yaml", book, "2026-04-01")
    fields = {name: getattr(report, name) for name in report.__struct_fields__}
    tally = summary.Tally()
    for place in ("MH 1", "MH 2", "MH 3", "MH 1", "MH 4"):
        tally.add(LogReport(**fields, where=place))
    assert [(each.name, each.logs) for each in tally.summary().by_place] == [
        (summary.OTHERS, 2), ("MH 1", 2), ("MH 2", 1),
    ]  # fmt: skip

"""Order checks on a log that nobody here wrote: 1391 cases in 21 variants.

van der Aalst, Process Mining, 2nd edition, 2016 (value from memory; it reproduces the published fitness of its nets).
The counts were made by hand; graphlib gives a second opinion on what comes before what.
"""

from __future__ import annotations

from collections.abc import Callable
from graphlib import TopologicalSorter

import pytest

from ringcut.checking import check
from ringcut.judge.findings import Report
from ringcut.language.ir import Rulebook

VARIANTS = {
    "acdeh": 455, "abdeg": 191, "adceh": 177, "abdeh": 144, "acdeg": 111, "adceg": 82, "adbeh": 56, "acdefdbeh": 47,
    "adbeg": 38, "acdefbdeh": 33, "acdefbdeg": 14, "acdefdbeg": 11, "adcefcdeh": 9, "adcefdbeh": 8, "adcefbdeg": 5,
    "acdefbdefdbeg": 3, "adcefdbeg": 2, "adcefbdefbdeg": 2, "adcefdbefbdeh": 1, "adbefbdefdbeg": 1,
    "adcefdbefcdefdbeg": 1,
}  # fmt: skip

WORDS = """
conditions:
  just-a: {says: a was the step before}
  had-b: {says: b was done}
  had-c: {says: c was done}
  had-bc: {says: both were done, means: had-b and had-c}
steps:
  a: {says: register, makes: [just-a], again: another}
  b: {says: examine thoroughly, makes: [had-b], ends: [just-a], again: another}
  c: {says: examine casually, makes: [had-c], ends: [just-a], again: another}
  d: {says: check ticket, ends: [just-a], again: another}
  e: {says: decide, ends: [just-a], again: another}
  f: {says: again, ends: [just-a], again: another}
  g: {says: pay, ends: [just-a], again: another}
  h: {says: reject, ends: [just-a], again: another}
"""
RULES = """
  - {rule: no-f, says: never f, class: minor, exclude: f}
  - {rule: d-after, says: no d before the first of b and c, class: minor, exclude: d, before: b / c}
  - {rule: ends-in-g, says: g, class: minor, include: g}
  - {rule: ends-in-h, says: h, class: minor, include: h}
  - {rule: not-both, says: not both, class: minor, need: not had-bc, before: end}
  - {rule: a-then-c, says: a just before each c, class: minor, need: just-a, before: c}
  - {rule: e-after, says: e comes after an examination, class: minor, order: [b / c, e]}
  - {rule: a-first, says: a comes before all, class: minor, order: [a, b / c / d]}
  - {rule: d-each-time, says: a check between two decisions, class: minor, exclude: e, after: e, before: d}
"""


@pytest.fixture(scope="module")
def reports(compiled: Callable[[str, str], Rulebook]) -> dict[str, Report]:
    book = compiled(WORDS, RULES)
    texts = {variant: f"{{procedure: log, steps: [{', '.join(variant)}]}}" for variant in VARIANTS}
    return {variant: check(text.encode(), f"{variant}.yaml", book) for variant, text in texts.items()}


def counted(reports: dict[str, Report], rule: str, verdict: str) -> int:
    return sum(
        VARIANTS[variant]
        for variant, report in reports.items()
        if any(each.rule == rule and each.verdict == verdict for each in report.rules)
    )


def test_the_log_is_the_published_one() -> None:
    assert sum(VARIANTS.values()) == 1391
    assert sum(len(variant) * count for variant, count in VARIANTS.items()) == 7539


@pytest.mark.parametrize(
    ("rule", "verdict", "expected"),
    [
        ("no-f", "nonconforming", 137),
        ("d-after", "nonconforming", 382),
        ("ends-in-h", "conforms", 930),
        ("ends-in-g", "conforms", 461),
        ("not-both", "nonconforming", 127),
        ("e-after", "conforms", 1391),
        ("a-first", "conforms", 1391),
        ("d-each-time", "conforms", 1391),
    ],
)
def test_counts_made_by_hand(reports: dict[str, Report], rule: str, verdict: str, expected: int) -> None:
    assert counted(reports, rule, verdict) == expected


def test_c_right_after_a(compiled: Callable[[str, str], Rulebook]) -> None:
    """674 cases: a condition that a makes and every other step ends is true just before some c."""
    book = compiled(WORDS, "  - {rule: never, says: s, class: minor, need: not just-a, before: c}")
    bad = [
        count
        for variant, count in VARIANTS.items()
        if check(f"{{procedure: log, steps: [{', '.join(variant)}]}}".encode(), "x.yaml", book).findings
    ]
    assert sum(bad) == 674


def test_a_reversed_log_is_told_by_graphlib_too(compiled: Callable[[str, str], Rulebook]) -> None:
    """a before each b, c, d: true where graphlib accepts the pairs beside the line of the log."""
    book = compiled(WORDS, RULES)
    for variant in VARIANTS:
        for line in (variant, variant[::-1], variant[1:] + variant[0]):
            sorter: TopologicalSorter[int] = TopologicalSorter()
            for place in range(1, len(line)):
                sorter.add(place, place - 1)
            rank = {place: at for at, place in enumerate(sorter.static_order())}
            first = [rank[place] for place, step in enumerate(line) if step == "a"]
            expected = all(min(first) < rank[place] for place, step in enumerate(line) if step in "bcd")
            report = check(f"{{procedure: log, steps: [{', '.join(line)}]}}".encode(), "x.yaml", book)
            verdict = next(each.verdict for each in report.rules if each.rule == "a-first")
            assert (verdict == "conforms") == expected, line

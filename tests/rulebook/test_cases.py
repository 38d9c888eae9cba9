"""The cases that stand beside the rules: all pass, and they stand on both sides of every limit."""

from __future__ import annotations

import re

import pytest

from ringcut.judge.cases import CaseResult, run_cases
from ringcut.judge.findings import CONFORMS, NONCONFORMING
from ringcut.language import ir
from ringcut.language.nodes import Compare, walk
from ringcut.rulebookfiles import builtin_rulebook

from .nearby import turned

IDS = builtin_rulebook() / "rules" / "ids.txt"


NO_OTHER_SIDE = {
    "insulation-house-limit": "its value is 0 megohm, and no resistance is below nothing",
}
"""Limits for which no case can stand on the bad side, and why."""


@pytest.fixture(scope="session")
def results(book: ir.Rulebook) -> list[CaseResult]:
    return list(run_cases(book))


def test_every_case_passes(results: list[CaseResult]) -> None:
    failed = [
        (each.rule, each.number, each.expected, each.verdict, each.message, *map(str, each.problems))
        for each in results
        if not each.passed
    ]
    assert failed == []


def of_one_log(book: ir.Rulebook) -> list[ir.Rule]:
    """The rules that cases can show: all but the looks at stamps and copies, which have tests of their own."""
    return [rule for rule in book.rules if not isinstance(rule.form, ir.Pattern)]


@pytest.mark.parametrize("verdict", [CONFORMS, NONCONFORMING])
def test_every_rule_has_a_case_with(verdict: str, book: ir.Rulebook, results: list[CaseResult]) -> None:
    shown = {each.rule for each in results if each.verdict == verdict} | set(NO_OTHER_SIDE)
    assert [rule.id for rule in of_one_log(book) if rule.id not in shown] == [], f"no case is {verdict}"


def numeric_limits(book: ir.Rulebook) -> list[ir.Rule]:
    """The rules with a limit that compares quantities, whose cases must stand next to it."""
    return [
        rule
        for rule in book.rules
        if isinstance(rule.form, ir.Limit) and any(isinstance(each, Compare) for each in walk(rule.form.what))
    ]


@pytest.mark.parametrize("verdict", [CONFORMS, NONCONFORMING])
def test_every_limit_has_a_case_one_step_of_resolution_from_the_other_side(verdict: str, book: ir.Rulebook) -> None:
    far = [rule.id for rule in numeric_limits(book) if not turned(rule, book, verdict)]
    assert far == list(NO_OTHER_SIDE)


def test_ids_are_sorted_unique_and_hold_every_rule(book: ir.Rulebook) -> None:
    """A name stays on the list for good: one that is no longer in force says so after a colon."""
    lines = [line.partition(":") for line in IDS.read_text(encoding="utf-8").split()]
    ids = [name for name, _, _ in lines]
    withdrawn = {name for name, _, said in lines if said == "withdrawn"}
    assert {said for _, _, said in lines} <= {"", "withdrawn"}
    assert not withdrawn & {rule.id for rule in book.rules}
    assert ids == sorted(set(ids))
    assert {rule.id for rule in book.rules} <= set(ids)


def test_every_rule_says_why_what_to_do_and_where_from(book: ir.Rulebook) -> None:
    silent = [rule.id for rule in book.rules if not (rule.says and rule.reason and rule.remedy)]
    assert silent == []


def test_every_value_has_a_basis_and_every_name_in_a_sentence_is_a_value(book: ir.Rulebook) -> None:
    words = re.compile(r"\{([a-z0-9-]+)\}")
    missing = [
        (rule.id, name)
        for rule in book.rules
        for name in words.findall(rule.says)
        if name not in rule.values and name not in book.values
    ]
    assert missing == []

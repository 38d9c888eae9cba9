"""The engine with the built-in rulebook against the oracle, which knows the practice and nothing of either.

A fast slice of what ``tests/benchmarks/agreement.py`` runs in full. The seed is fixed; all procedures are invented.
"""

from __future__ import annotations

from collections import Counter

import pytest
from tests.oracle import judge
from tests.oracle.words import USUAL

from ringcut.language.ir import Rulebook

from .comparing import APART, BASES, FORMS, FOUND, QUIET, compared, mutated
from .rowrules import RULES

SEED, EACH = 20260304, 100


@pytest.mark.parametrize(("name", "form"), BASES)
def test_good_procedures_conform_to_both(name: str, form: str, book: Rulebook) -> None:
    found = compared(name, "", "", FORMS[form](name), book)
    assert found.verdict == QUIET


@pytest.mark.parametrize(("name", "form"), BASES)
def test_every_mutation_is_judged_alike(name: str, form: str, book: Rulebook) -> None:
    found = list(mutated(name, form, SEED, EACH, book))
    apart = [f"{each.verdict}: {each.words}; {each.broken}" for each in found if each.verdict in APART]
    assert apart == []
    assert Counter(each.verdict for each in found)[FOUND] > EACH // 5


@pytest.mark.parametrize(("name", "form"), BASES)
def test_what_breaks_a_row_breaks_a_rule_that_carries_it(name: str, form: str, book: Rulebook) -> None:
    """Row by row: not any finding will do, it has to be one of the rules that carry the row."""
    lost = []
    for each in mutated(name, form, SEED + 1, EACH // 2, book):
        said = {*each.nonconforming, *each.unwritten, *each.undetermined}
        rows = [row for row in each.broken if row in RULES and not each.refused]
        lost += [f"{row}: {each.words}; {sorted(said)}" for row in rows if not said & RULES[row]]
    assert lost == []


def test_rows_are_carried_by_rules_that_exist(book: Rulebook) -> None:
    known = {rule.id for rule in book.rules}
    rows = set(judge(FORMS["log"]("lead opening")))
    assert {rule for rules in RULES.values() for rule in rules} - known == set()
    assert set(RULES) - rows == set()


def test_usual_minutes_are_those_of_the_rulebook(book: Rulebook) -> None:
    """House values that the practice leaves open: the two have to mean the same minutes."""
    theirs = {name: book.steps[name].takes for name in USUAL}
    assert {name: takes / 60 if takes is not None else None for name, takes in theirs.items()} == USUAL

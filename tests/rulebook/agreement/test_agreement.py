"""The engine with the built-in rulebook against the oracle, which knows the practice and nothing of either.

A fast slice of what ``tests/benchmarks/agreement.py`` runs in full. The seed is fixed; all procedures are invented.
"""

from __future__ import annotations

from collections import Counter
from itertools import permutations

import pytest
from tests.oracle import judge
from tests.oracle.words import USUAL

from ringcut.language.ir import Rulebook

from .adapter import Raw
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


ZEROES = ("bleed-pressure", "core", "outer")
SAID = ("yes", "")
"""What a job may say of the two volumes of a dam; nothing is the commonest."""


TIMES = {"started", "at"}


def dam(form: str, said: str, before_cut: tuple[str, ...], before_shrinking: tuple[str, ...]) -> Raw:
    """A dam whose bleeding and readings of zero are done in another order, or left out."""
    procedure = FORMS[form]("dam")
    procedure["job"] = {name: value for name, value in procedure["job"].items() if name != "two-volumes"}
    procedure["job"] |= {"two-volumes": said} if said else {}
    steps = [each for each in procedure["steps"] if each["do"] in ("bleed-pressure", "confirm-zero")]
    bleed, core, outer = ({name: step[name] for name in step if name not in TIMES} for step in steps[:3])
    done = {"bleed-pressure": bleed, "core": core, "outer": outer, "bleed-outer": bleed | {"volume": "outer"}}
    order = [*before_cut, *[""] * (3 - len(before_cut)), *before_shrinking, *[""] * (2 - len(before_shrinking))]
    for step, name in zip(steps, order, strict=True):
        times = {each: step[each] for each in step if each in TIMES}
        step.clear()
        step.update(done.get(name, {}), **times)
    procedure["steps"] = [each for each in procedure["steps"] if "do" in each]
    return procedure


@pytest.mark.parametrize("said", SAID)
@pytest.mark.parametrize("form", FORMS)
def test_the_space_may_be_bled_after_the_core_was_read(form: str, said: str, book: Rulebook) -> None:
    """Its bleeding names it; one that does not lets out both."""
    for order, loud in ((("core", "bleed-outer", "outer"), False), (("core", "bleed-pressure", "outer"), True)):
        raw = dam(form, said, order, ("core", "outer"))
        found = compared("dam", f"{order}", said, raw, book)
        assert found.verdict not in APART, found.broken
        assert (found.verdict != QUIET) == loud


@pytest.mark.parametrize("said", SAID)
@pytest.mark.parametrize("form", FORMS)
def test_a_dam_reads_its_core_since_it_was_bled(form: str, said: str, book: Rulebook) -> None:
    """A dam that read the core before bleeding and only the space after it conformed where no two volumes were said."""
    orders = [order for length in (2, 3) for order in permutations(ZEROES, length)]
    found = [
        compared("dam", f"{order}, then {again}", said, dam(form, said, order, again), book)
        for order in orders
        for again in [("core", "outer"), ("outer", "core"), ("core",), ("outer",)]
    ]
    assert [f"{each.verdict}: {each.kind}; {each.broken}" for each in found if each.verdict in APART] == []
    assert {each.kind for each in found if each.verdict == QUIET} == {  # the space as it was last read
        f"{order}, then {again}"
        for order in permutations(ZEROES)
        if order.index("bleed-pressure") < order.index("core")
        for again in [("core", "outer"), ("outer", "core"), ("core",)]
    }


def test_rows_are_carried_by_rules_that_exist(book: Rulebook) -> None:
    known = {rule.id for rule in book.rules}
    rows = set(judge(FORMS["log"]("lead opening")))
    assert {rule for rules in RULES.values() for rule in rules} - known == set()
    assert set(RULES) - rows == set()


def test_usual_minutes_are_those_of_the_rulebook(book: Rulebook) -> None:
    """House values that the practice leaves open: the two have to mean the same minutes."""
    theirs = {name: book.steps[name].takes for name in USUAL}
    assert {name: takes / 60 if takes is not None else None for name, takes in theirs.items()} == USUAL

"""Every rule fires, and fires alone: a good plan or log is damaged so that only it, and what follows from it, objects.

Most damages are found, not written: a planned reading moved across its limit by one step of its resolution, a step left
out, moved or done where it should not be, a reading not written down, time that passes. ``byhand`` has the rest.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import islice

import pytest

from ringcut.draft.models import Model
from ringcut.judge.findings import CONFORMS, NOT_APPLICABLE
from ringcut.language.compile import compile_rulebook
from ringcut.language.ir import Rulebook
from ringcut.language.sources import read_sources
from ringcut.reading.raw import RawProcedure
from ringcut.rulebookfiles import builtin_rulebook

from .bases import BASES, REPLACED, plans
from .breaking import beside, breaks_rule, damages, flagged, followers, is_meant
from .byhand import BY_HAND
from .goodwork import done, judged

BEST_BASE = {
    "lead-scuffed-length": "least lengths on lead",
    "permanent-bond-wire": "bond of wire",
    "poly-scuffed-length": "repair",
    "auxiliary-poly-scuffed-length": "little aluminum on an auxiliary",
    "torch-out-at-end": "building",
    "sleeve-shrunk": "building",
    "bond-path-kept": "polyethylene opening",
    "dam-both-volumes-zero": "dam of one volume",
    "dam-clamp-tape-reach": "short tape on a dam",
}
"""Where a rule is broken alone at once, to save looking at other bases first."""

TRIES = 12
"""Damages of one base that are looked at before the next base is taken."""

NEVER_ALONE = {
    "dam-inner-free": "with 7 in taken off and at most 1 in of tape on each side 5 in stay free",
}
"""Rules that others imply, so that nothing breaks them alone; they are told under those."""

NOT_IN_ONE_PROCEDURE = {
    "copied-readings": "it compares several jobs of one crew",
    "sides-swapped": "it compares a log with its plan or with other jobs",
    "insulation-house-limit": "no district has set a limit: its value is 0 megohm",
}
"""Rules that no plan or log alone can break, and why."""

RULES = [rule.id for rule in compile_rulebook(read_sources(builtin_rulebook())).rules]


@pytest.fixture(scope="module")
def good_plans(models: list[Model], book: Rulebook) -> dict[str, RawProcedure]:
    return plans(models, book)


@pytest.fixture(scope="module")
def judges(good_plans: dict[str, RawProcedure], book: Rulebook) -> Callable[[str], set[str]]:
    """The rules that have something to say of a base, as a plan or as a log."""
    known: dict[str, set[str]] = {}

    def judges(name: str) -> set[str]:
        if name not in known:
            plan = good_plans[name]
            reports = (judged(plan, book), judged(done(plan, book), book))
            known[name] = {each.rule for report in reports for each in report.rules if each.verdict != NOT_APPLICABLE}
        return known[name]

    return judges


@pytest.mark.parametrize("name", [*BASES, REPLACED])
@pytest.mark.parametrize("form", ["plan", "log"])
def test_what_is_damaged_was_good(name: str, form: str, good_plans: dict[str, RawProcedure], book: Rulebook) -> None:
    raw = good_plans[name] if form == "plan" else done(good_plans[name], book)
    report = judged(raw, book)
    assert [(each.rule, each.message) for each in report.findings] == []
    assert report.verdict == CONFORMS


@pytest.mark.parametrize("rule", [rule for rule in RULES if rule not in NOT_IN_ONE_PROCEDURE])
def test_rule_fires_alone(
    rule: str, good_plans: dict[str, RawProcedure], judges: Callable[[str], set[str]], book: Rulebook
) -> None:
    found = alone(rule, good_plans, judges, book)
    assert not isinstance(found, list), f"never alone; nearest: {found}"


def alone(
    name: str, good_plans: dict[str, RawProcedure], judges: Callable[[str], set[str]], book: Rulebook
) -> str | list[str]:
    """The damage that breaks a rule alone, in words; else what came nearest to it."""
    rule = book.rule(name)
    assert rule is not None
    if name in BY_HAND:
        hand = BY_HAND[name]
        report = judged(hand.broken(good_plans[hand.base], book), book)
        extra = sorted(beside(name, report, book))
        return "by hand" if name in flagged(report) and not extra else [f"flagged {name in flagged(report)}", *extra]
    nearest: list[str] = ["nothing broke it"]
    implying = followers_of_causes(name, book) if name in NEVER_ALONE else set()
    with_it = [base for base in good_plans if is_meant(rule, good_plans[base], book)]
    breaks = breaks_rule(rule, book)
    for base in sorted(with_it, key=lambda each: (each != BEST_BASE.get(name), name not in judges(each))):
        for damage in islice(damages(good_plans[base], rule, book, breaks), TRIES):
            report = judged(damage.raw, book)
            extra = sorted(beside(name, report, book) - implying)
            if not extra:
                assert name in flagged(report)
                return f"{base}: {damage.words}"
            if nearest == ["nothing broke it"] or len(extra) + 2 < len(nearest):
                nearest = [base, damage.words, *extra]
    return nearest


def followers_of_causes(name: str, book: Rulebook) -> set[str]:
    """The rules that a rule follows from, at any distance."""
    return {rule.id for rule in book.rules if name in followers(rule.id, book)}


def test_tables_name_rules_that_exist() -> None:
    assert {*BY_HAND, *BEST_BASE, *NEVER_ALONE, *NOT_IN_ONE_PROCEDURE} <= set(RULES)


def test_a_rule_that_is_never_alone_follows_from_another(book: Rulebook) -> None:
    for name in NEVER_ALONE:
        rule = book.rule(name)
        assert rule is not None
        assert rule.follows_from

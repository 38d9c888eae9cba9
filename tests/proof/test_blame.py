"""What a house rulebook breaks below is told at the house's own line, with the line below beside it."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from ringcut.proof.proofread import Proof

HEAD = """\
rulebook: north
edition: "1"
based-on: base-practice
in-force-from: 2026-03-01
may-approve: {critical: [R. Example], major: [R. Example], minor: [R. Example]}
"""
Proved = Callable[[str, str | None], Proof]


@pytest.mark.parametrize(("change", "kind", "there"), [
    ("{rule: bond-long-enough, shortest: 41 in}", "limit-never", "41 in"),
    ("{rule: bared-enough, when: sheath is plastic, least: 7 in}", "dead-when", "sheath is plastic"),
    ("{rule: looked-at, class: major, when: sheath is lead and sheath is plastic}", "dead-when", "sheath is lead"),
])  # fmt: skip
def test_a_rule_below_that_a_change_breaks_is_told_at_the_change(
    proved: Proved, change: str, kind: str, there: str
) -> None:
    proof = proved(f"{HEAD}change:\n  - {{rule: covered, class: critical}}\n  - {change}\n", None)
    (remark,) = [each for each in proof.mistakes if each.kind == kind]
    assert (remark.place.file, remark.place.line, remark.place.column) == (
        "house.yaml",
        8,
        f"  - {change}".index(there) + 1,
    )


def test_the_line_below_stands_beside_it(proved: Proved) -> None:
    (remark,) = proved(f"{HEAD}change:\n  - {{rule: bond-long-enough, shortest: 41 in}}\n", None).mistakes
    assert [(each.file.rpartition("/")[2], each.line) for each in remark.related] == [("all.yaml", 7)]


def test_a_new_rule_that_conflicts_names_the_line_of_the_other(proved: Proved) -> None:
    text = (
        HEAD
        + """\
rules:
  - rule: never-covered
    says: It is never covered.
    class: major
    exclude: cover
    reason: x
    remedy: x
    basis: common practice
    cases: [{steps: [cut], verdict: conforms}, {steps: [cover], verdict: nonconforming}]
"""
    )
    (remark,) = [each for each in proved(text, None).mistakes if each.kind == "no-procedure"]
    assert (remark.place.file, remark.place.line) == ("house.yaml", 7)
    assert [each.file.rpartition("/")[2] for each in remark.related] == ["all.yaml"]


def test_a_name_that_a_rule_below_uses_for_a_value_is_told_where_the_house_gives_it(proved: Proved) -> None:
    (problem,) = proved(f"{HEAD}facts: {{shortest: {{choices: [x, z], says: y}}}}\n", None).problems
    assert (problem.place.file, problem.place.line) == ("house.yaml", 6)
    assert "see " in problem.hint and "all.yaml:6" in problem.hint


def test_a_class_that_asks_for_more_is_told_at_the_change(proved: Proved) -> None:
    (problem,) = proved(f"{HEAD}change:\n  - {{rule: bond-long-enough, class: critical}}\n", None).problems
    assert (problem.place.file, problem.place.line) == ("house.yaml", 7)
    assert "judge: every" in problem.expected and "all.yaml:" in problem.hint


def test_a_word_defined_again_is_one_problem_and_the_first_holds(proved: Proved) -> None:
    """It took the place of the word below, and every use of that was told as a problem of its own."""
    proof = proved(f"{HEAD}facts: {{work: {{choices: [x, z], says: y}}}}\n", None)
    assert [each.found for each in proof.problems] == ["work is defined twice"]


def test_a_value_that_cannot_be_read_is_not_told_as_loosening_too(proved: Proved) -> None:
    """Its guards were gone, so that every rule on the condition seemed to be loosened by nobody."""
    proof = proved(f"{HEAD}change:\n  - {{value: gas-limit, to: 5 psi}}\n", None)
    assert [(each.place.line, each.found) for each in proof.problems] == [(7, "5 psi is a gauge pressure")]
    assert proof.remarks == ()


def test_a_step_of_the_house_that_loosens_is_told_where_it_stands(proved: Proved) -> None:
    proof = proved(f"{HEAD}steps:\n  fan: {{says: fan it, makes: [air-good]}}\n", None)
    assert [(each.kind, each.place.line) for each in proof.refused] == [("loosening", 7)]


def test_a_value_that_stays_for_other_jobs_is_still_the_layer_belows(proved: Proved) -> None:
    """The page of a rule named the district for a value that the district had not touched."""
    book = proved(f"{HEAD}change:\n  - {{rule: bond-long-enough, when: wet, shortest: 6 in}}\n", None).book
    assert book is not None
    values = [rule.values["shortest"] for rule in book.rules if rule.id == "bond-long-enough"]
    assert [(value.text, value.origin) for value in values] == [("5 in", "base-practice"), ("6 in", "north")]


def test_a_value_of_a_rule_of_the_house_is_its_own(proved: Proved) -> None:
    text = (
        HEAD
        + """\
rules:
  - rule: bond-longer
    says: x
    class: minor
    values: {shortest: {value: 7 in, basis: common practice}}
    limit: cover.bond >= shortest
    reason: x
    remedy: x
    basis: common practice
    cases: [{steps: [{do: cover, bond: 7 in}], verdict: conforms}]
"""
    )
    book = proved(text, None).book
    assert book is not None
    assert [rule.values["shortest"].origin for rule in book.rules if rule.id == "bond-longer"] == ["north"]

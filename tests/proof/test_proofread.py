"""Proofreading as an author meets it: the file of the issue, the shipped rulebook, and a small clean one."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from ringcut.proof.proofread import Proof, proofread
from ringcut.rulebookfiles import builtin_rulebook

DATA = Path(__file__).parent / "data"


@pytest.fixture(scope="module")
def as_typed() -> Proof:
    return proofread(DATA / "house-as-typed.yaml", builtin_rulebook(), "2026-06-01")


def test_a_house_file_as_typed_is_told_its_eight_places(as_typed: Proof) -> None:
    places = {(each.place.line, each.place.column) for each in as_typed.problems}
    assert places == {(11, 26), (2, 10), (4, 16), (6, 44), (6, 61), (8, 95), (13, 11), (17, 12)}
    assert len(as_typed.problems) == 8
    assert not as_typed.in_force


@pytest.mark.parametrize(
    ("line", "column", "words"),
    [
        (2, 10, 'write "1.10"'),
        (4, 16, "2026-03-01"),
        (4, 16, "1 March or 3 January"),
        (6, 44, "6 what? in, ft, mm or cm"),
        (6, 61, "comma cut"),
        (8, 95, "expires; write 2027-06-30"),
        (11, 26, "quotes"),
        (13, 11, "location is manhole"),
        (17, 12, 'who decided it, and where is it written'),
    ],
)  # fmt: skip
def test_each_place_says_what_to_write_instead(as_typed: Proof, line: int, column: int, words: str) -> None:
    told = [str(each) for each in as_typed.problems if (each.place.line, each.place.column) == (line, column)]
    assert any(words in each for each in told), told


def test_what_reads_well_and_is_not_meant_is_advice(as_typed: Proof) -> None:
    assert [(each.place.line, each.kind) for each in as_typed.remarks] == [(7, "loosening"), (14, "every-doing")]
    looser, every = as_typed.remarks
    assert "10 min to 15 min" in looser.said and "gives no number" in looser.said
    assert "foreman" in looser.instead and "not a name" in looser.instead
    assert "first bad one" in every.said
    assert "need:" in every.instead and "before: light-torch" in every.instead


def test_on_for_based_on_is_read_and_said(as_typed: Proof) -> None:
    assert as_typed.read_as == ("line 3: on is read as based-on",)


def test_the_shipped_rulebook_is_clean() -> None:
    proof = proofread(builtin_rulebook(), builtin_rulebook(), "2026-06-01")
    assert [str(each) for each in (*proof.problems, *proof.remarks)] == []


def test_the_small_rulebook_is_clean(base: Path) -> None:
    proof = proofread(base, base)
    assert [str(each) for each in (*proof.problems, *proof.remarks)] == []


def test_an_empty_house_file_is_told(proved: Callable[..., Proof]) -> None:
    proof = proved("")
    assert not proof.in_force
    assert "empty" in proof.problems[0].found


def test_what_an_allowed_change_does_is_said(proved: Callable[..., Proof]) -> None:
    proof = proved(
        'rulebook: north\nedition: "1"\nbased-on: base-practice\nin-force-from: 2026-03-01\n'
        "change:\n  - {rule: bond-long-enough, shortest: 4 in, reason: old stock, approved-by: R. Example}\n"
    )
    assert proof.in_force
    assert proof.remarks == ()
    assert proof.changes == ("bond-long-enough: shortest 5 in to 4 in (loosens), approved by R. Example",)


@pytest.mark.parametrize("name", ["northfield", "millbrook"])
def test_two_sample_house_rulebooks_are_clean(name: str) -> None:
    proof = proofread(DATA / f"{name}.yaml", builtin_rulebook(), "2026-06-01")
    assert [str(each) for each in (*proof.problems, *proof.remarks)] == []
    assert proof.in_force and proof.changes


BROKEN = """\
rulebook: north
edition: "1"
based-on: base-practice
in-force-from: 2026-03-01
may-approve: {major: [R. Example]}
change:
  - {rule: bond-long-enough, shortest: 4 in}
  - {rule: covered, withdraw: yes, approved-by: foreman}
rules:
  - rule: north-one
    says: x
    class: minor
    need: air-goood
    before: cover
    reason: x
    remedy: x
    basis: common practice
    cases: [{steps: [cover], verdict: nonconforming}]
"""


def test_a_change_that_is_refused_is_told_once_and_apart_from_advice(proved: Callable[..., Proof]) -> None:
    """Symptom: a loosening stood under advice, for its reason and again for its approval, in a file not in force."""
    proof = proved(BROKEN)
    assert [(each.place.line, each.kind) for each in proof.refused] == [(7, "loosening"), (8, "loosening")]
    one, two = proof.refused
    assert "reason: why, approved-by: R. Example" in one.instead
    assert "foreman" in two.instead and "reason: why" in two.instead
    assert proof.advice == () and not proof.in_force


def test_ids_are_told_beside_a_typo(proved: Callable[..., Proof]) -> None:
    """Symptom: the list of ids was looked at only when the last misspelt name was gone."""
    proof = proved(BROKEN, "north-two\n")
    assert [each.place.line for each in proof.problems] == [13]
    assert {(each.kind, each.rules) for each in proof.mistakes} == {
        ("id-unlisted", ("north-one",)),
        ("id-gone", ("north-two",)),
    }


def test_an_id_whose_rule_cannot_be_read_is_not_gone(proved: Callable[..., Proof]) -> None:
    for wrong in ("class: [small]", "class: small", "klass: minor"):
        proof = proved(BROKEN.replace("class: minor", wrong), "north-one\n")
        assert proof.problems
        assert "id-gone" not in {each.kind for each in proof.remarks}


@pytest.mark.parametrize(
    ("word", "found", "hint"),
    [
        ("conditions: {lit: {says: x, at-start: no}}", "at-start: no", "leave it out"),
        ("conditions: {lit: {says: x, at-start: yes}}", "at-start: yes", "write always"),
        (
            "steps: {hang: {says: x, readings: {high: {kind: length, unit: in, plausible: 12 in to 96 in}}}}",
            "a range of 1", "write [12 in, 96 in]",
        ),
    ],
)  # fmt: skip
def test_a_word_written_as_people_do_is_told_how_to_write_it(
    proved: Callable[..., Proof], word: str, found: str, hint: str
) -> None:
    head = 'rulebook: north\nedition: "1"\nbased-on: base-practice\nin-force-from: 2026-03-01\n'
    (problem,) = proved(f"{head}{word}\n").problems
    assert problem.found == found and hint in problem.hint

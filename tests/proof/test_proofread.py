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

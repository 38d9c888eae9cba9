"""Values that no case would notice."""

from __future__ import annotations

from pathlib import Path

import pytest

from ringcut.language.compile import compile_rulebook
from ringcut.language.sources import read_sources
from ringcut.proof.boundaries import DOWN, UP, stepped, unnoticed
from ringcut.rulebookfiles import builtin_rulebook


@pytest.mark.parametrize(
    ("text", "up", "down"),
    [
        ("5 in", "5-1/8 in", "4-7/8 in"),
        ("3/4 in", "7/8 in", "5/8 in"),
        ("10 min", "11 min", "9 min"),
        ("0.1 psi", "0.2 psi", "0 psi"),
        ("2", "3", "1"),
        ("30 %", "31 %", "29 %"),
        ("6 AWG", "7 AWG", "5 AWG"),
        ("0 psi", "1 psi", None),
    ],
)
def test_a_value_moves_by_what_people_can_read(text: str, up: str, down: str | None) -> None:
    assert (stepped(text, UP, None), stepped(text, DOWN, None)) == (up, down)


def test_what_is_no_number_stays() -> None:
    assert stepped("half", UP, None) is None


def test_only_values_that_no_case_meets_are_told(base: Path) -> None:
    sources = read_sources(base)
    book = compile_rulebook(sources)
    told = {(each.rule, each.value, each.new) for each in unnoticed(book, sources)}
    # the value of dry-before-cut is not used at all; every other stands between its two cases
    assert told == {("dry-before-cut", "level", "3-1/8 in"), ("dry-before-cut", "level", "2-7/8 in")}


def test_a_moved_value_is_told_at_its_place(base: Path) -> None:
    sources = read_sources(base)
    found = next(iter(unnoticed(compile_rulebook(sources), sources, ["dry-before-cut"])))
    assert found.place.file.endswith("rules/all.yaml")
    assert "no case would notice" in str(found)


def test_no_value_of_the_rulebook_could_be_another_without_a_case_that_notices() -> None:
    sources = read_sources(builtin_rulebook())
    assert [str(each) for each in unnoticed(compile_rulebook(sources), sources)] == []

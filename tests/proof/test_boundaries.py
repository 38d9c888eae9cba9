"""Numbers that no case would notice."""

from __future__ import annotations

from pathlib import Path

import pytest

from ringcut.language.compile import compile_rulebook
from ringcut.language.layering import load_layers
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


WRITTEN = """\
rulebook: north
edition: "1"
based-on: base-practice
in-force-from: 2026-03-01
rules:
  - rule: north-bond-band
    says: x
    class: minor
    when: depth < 5 ft
    values: {low: {value: 3 in, basis: common practice}}
    limit: "low <= cover.bond and cover.bond <= 2 * 4 in"
    reason: x
    remedy: x
    basis: common practice
    cases:
      - {steps: [{do: cover, bond: 3 in}], verdict: conforms}
      - {steps: [{do: cover, bond: 2-7/8 in}], verdict: nonconforming}
      - {job: {depth: 4 ft}, steps: [{do: cover, bond: 8 in}], verdict: conforms}
      - {job: {depth: 5 ft}, steps: [{do: cover, bond: 1 in}], verdict: not-applicable}
  - rule: north-heat-short
    says: x
    class: minor
    elapsed: {from: heat, to: cool, at-most: 20 min}
    reason: x
    remedy: x
    basis: common practice
    cases:
      - {log: [{do: heat, at: "10:00"}, {do: cool, started: "10:19", at: "10:40"}], verdict: conforms}
      - {log: [{do: heat, at: "10:00"}, {do: cool, started: "10:21", at: "10:40"}], verdict: nonconforming}
  - rule: north-two-looks
    says: x
    class: minor
    include: sniff
    count: 2..4
    reason: x
    remedy: x
    basis: common practice
    cases:
      - {steps: [sniff, sniff], verdict: conforms}
      - {steps: [sniff], verdict: nonconforming}
"""


def test_a_number_in_a_formula_is_moved_as_a_value_is(base: Path, tmp_path: Path) -> None:
    """Symptom: a limit whose number stood in the formula had no case on its other side, and nobody was told."""
    file = tmp_path / "house.yaml"
    file.write_text(WRITTEN, encoding="utf-8")
    found = load_layers(file, base)
    assert found.sources is not None
    own = [rule.id for rule in found.book.rules if rule.id.startswith("north-")]
    told = {(each.rule, each.value, each.old, each.new) for each in unnoticed(found.book, found.sources, own)}
    assert told == {
        ("north-bond-band", "limit", "2", "3"),  # nothing stands over 8 in
        ("north-bond-band", "limit", "4 in", "4-1/8 in"),
        ("north-heat-short", "at-most", "20 min", "19 min"),  # one of the two cases is a minute off
        ("north-two-looks", "count", "4", "5"),
        ("north-two-looks", "count", "4", "3"),
    }


def test_a_number_in_a_formula_is_told_where_it_stands(base: Path, tmp_path: Path) -> None:
    file = tmp_path / "house.yaml"
    file.write_text(WRITTEN.replace('"low <=', "low <=").replace('4 in"', "4 in"), encoding="utf-8")
    found = load_layers(file, base)
    assert found.sources is not None
    (two, four) = sorted(unnoticed(found.book, found.sources, ["north-bond-band"]))
    lines = file.read_text(encoding="utf-8").splitlines()
    assert [lines[each.place.line - 1][each.place.column - 1 :] for each in (two, four)] == ["2 * 4 in", "4 in"]
    assert str(four) == "north-bond-band: limit 4 in could be 4-1/8 in, and no case would notice"

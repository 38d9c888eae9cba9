"""Every row and sentence of the practice is carried by rules that exist, or says why not; no rule is left over."""

from __future__ import annotations

import pytest

from ringcut.language.ir import Rulebook

from .practice import ALL, OWN

ROWS = [(part, row, text) for part, rows in ALL.items() for row, text in rows.items()]
LEAST_REASON = 20
"""Letters below which a reason is none."""


def rules_of(text: str) -> list[str]:
    """The rules that carry a row; none where a reason stands in brackets."""
    return [] if text.startswith("(") else text.split()


@pytest.mark.parametrize(("part", "row", "text"), ROWS)
def test_a_row_is_carried_by_rules_or_says_why_not(part: str, row: str, text: str, book: Rulebook) -> None:
    rules = rules_of(text)
    assert rules or (text.endswith(")") and len(text) > LEAST_REASON)
    assert [name for name in rules if book.rule(name) is None] == []
    assert len(set(rules)) == len(rules)


def test_every_rule_carries_something(book: Rulebook) -> None:
    named = {name for _, _, text in ROWS for name in rules_of(text)}
    assert [rule.id for rule in book.rules if rule.id not in named] == []


def test_few_rules_are_our_own() -> None:
    assert sum(len(rules_of(text)) for text in OWN.values()) < 10


CLASSES = {
    "critical": "cable-identified voltage-before-hands zero-before-opening cool-before-load restoring-pressure "
    "gas-before-entry gas-test-before-flame gas-test-hourly oxygen-before-entry toxic-gas-before-entry "
    "air-supply-with-flame opening-guarded first-aid-near tank-only-in-use torch-hose-tested bond-path-kept "
    "water-below-cable bond-before-inside-work closure-cool-at-end",
    "major": "section-isolated-first zero-again-after-night adhesive-bond-length channel-away-from-bar "
    "lead-tape-layers lead-tape-covers-bar lead-scuffed-length lead-preheated desiccant-on-paper core-tape-layers "
    "opening-tape-layers aluminum-width dam-section-length inner-flame-time dam-bar-kind dam-pads-number "
    "dam-clamp-tape-reach auxiliary-lead-scuffed-length poly-scuffed-around sleeve-slips-over sleeve-long-enough "
    "sleeve-inspected "
    "hold-fall desk-reads-in-time pairs-clear-before-closing ladder-where-deep temporary-bond-wire "
    "shield-resistance bend-radius scuffed-damp-by-hand",
    "minor": "sleeve-allowance lead-tape-overlap clamp-tape-layers dam-vinyl-laps dam-tie-laps insulation-read-before",
}
"""The class that the practice gives to a row -> rules that carry it."""


@pytest.mark.parametrize("name", CLASSES)
def test_rules_have_the_class_of_their_row(name: str, book: Rulebook) -> None:
    found = {rule: book.rule(rule) for rule in CLASSES[name].split()}
    assert {rule: each.class_ for rule, each in found.items() if each is not None and each.class_ != name} == {}
    assert None not in found.values()


VALUES = {
    "adhesive-bond-length.shortest": "5 in",
    "sleeve-allowance.allowance": "1/2 in",
    "channel-away-from-bar.closest": "90 deg",
    "lead-scuffed-length.shortest-scuff": "6 in",
    "restoring-pressure.highest": "10 psi",
    "desk-reads-in-time.days": "3 days",
    "gas-test-before-flame.at-most": "10 min",
    "bond-path-kept.at-once": "10 min",
    "gauge-fine-enough.finest": "0.1 psi",
    "fire-watch-long-enough.watch": "30 min",
    "temporary-bond-wire.lightest": "6 AWG",
    "permanent-bond-section.least-section": "13.3 mm2",
    "shield-resistance.spread": "30 %",
    "bend-radius.times": "10",
    "long-repair-overlap-length.shortest-overlap": "5 in",
    "sides-protected.deep": "5 ft",
    "way-out-of-pit.deep": "4 ft",
}
"""House defaults and values of the practice, by rule and value."""


@pytest.mark.parametrize("name", VALUES)
def test_values_are_those_of_the_practice(name: str, book: Rulebook) -> None:
    rule, value = name.split(".")
    found = book.rule(rule)
    assert found is not None
    assert found.values[value].text == VALUES[name]


SHARED = {
    "gas-limit": "10 %LFL", "oxygen-least": "19.5 %", "oxygen-most": "23.5 %", "ac-stop": "50 V", "dc-stop": "60 V",
    "zero": "0 psi", "cool-minutes": "30 min", "dry-time": "5 min", "flame-wait": "15 min",
}  # fmt: skip


@pytest.mark.parametrize("name", SHARED)
def test_values_of_the_vocabulary_are_those_of_the_practice(name: str, book: Rulebook) -> None:
    assert book.values[name].text == SHARED[name]

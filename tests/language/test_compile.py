"""A broken rulebook is told whole, at its places, before anything is judged."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from ringcut.language import ir
from ringcut.language.ir import Rulebook
from ringcut.reading.problems import Unreadable

WORDS = """
facts:
  deep: {kind: yes-no}
  hole: {kind: length, unit: in}
conditions: {safe: {says: safe}}
quantities: {twice: {means: hole * 2}}
values: {limit-of-all: 5 in}
steps:
  use: {says: a use, again: another, traits: [handling], makes: [safe], also: [use it]}
  wrap: {says: a layer, per: side, readings: {width: {kind: length, known: planned}, depth: {kind: length}}}
  close: {says: a close}
"""


def told(compiled: Callable[[str, str], Rulebook], vocabulary: str, *rules: str) -> str:
    with pytest.raises(Unreadable) as caught:
        told = [f"  - {{rule: r{i}, says: s, class: minor, {rule}}}" for i, rule in enumerate(rules)]
        compiled(vocabulary, "\n".join(told) or "  []")
    return str(caught.value)


RULES = [
    ("order: [use]", "at least two"),
    ("order: [use, klose]", "did you mean close?"),
    ("order: [use, any handeling]", "did you mean handling?"),
    ("need: safe", "before"),
    ("need: saef, before: use", "did you mean safe?"),
    ("need: safe, before: start", "no step start"),
    ("need: wrap.width >= 1 in, before: use", "wrap"),
    ("keep: safe, from: end", "no step end"),
    ("include: use, count: many", "count: many"),
    ("include: use, exclude: close", "2 forms"),
    ("says: x", "forms"),
    ("include: use, within: 5 min", "within does not go with include"),
    ("exclude: use, count: 2", "count does not go with exclude"),
    ("limit: safe", "safe"),
    ("limit: wrap.width >= 5", "5 what?"),
    ("limit: wrap.width >= shortest, values: {shortest: 5}", "5 what?"),
    ("limit: wrap.width >= hole, values: {hole: 5 in}", "hole is also a fact"),
    ("limit: wrap.width >= 1 in, when: safe", "safe"),
    ("elapsed: {from: use, to: close}", "at-least or at-most"),
    ("elapsed: {from: use, to: close, at-most: 5}", "5"),
    ("elapsed: {from: use, to: close, at-most: soon}", "soon"),
    ("repeat: use, every: 5 min", "while"),
    ("repeat: use, while: safe", "every"),
    ("record: [width]", "of"),
    ("record: [widht], of: wrap", "did you mean width?"),
    ("pattern: times-al-equal", "did you mean times-all-equal?"),
    ("include: use, follows-from: [r9]", "no rule r9"),
]


@pytest.mark.parametrize(("rule", "said"), RULES)
def test_a_broken_rule(compiled: Callable[[str, str], Rulebook], rule: str, said: str) -> None:
    message = told(compiled, WORDS, rule.removeprefix("says: x"))
    assert said in message
    assert "rules/all.yaml:3:" in message


def test_every_broken_rule_is_told_at_once(compiled: Callable[[str, str], Rulebook]) -> None:
    rules = [rule for rule, _ in RULES[:2]] + [rule for rule, _ in RULES[3:9]]
    message = told(compiled, WORDS, *rules)
    assert [f"all.yaml:{line}:" in message for line in range(3, 3 + len(rules))] == [True] * len(rules)


def test_a_critical_rule_on_a_step_that_is_done_again_says_which(compiled: Callable[[str, str], Rulebook]) -> None:
    rule = "  - {rule: it, says: s, class: critical, need: safe, before: wrap}"
    with pytest.raises(Unreadable, match="judge: every, or judge: latest"):
        compiled(WORDS, rule)
    for judge in ("every", "latest"):
        assert compiled(WORDS, rule.replace("need:", f"judge: {judge}, need:")).rules


def test_a_rule_is_defined_once(compiled: Callable[[str, str], Rulebook]) -> None:
    rule = "  - {rule: it, says: s, class: minor, include: use}"
    with pytest.raises(Unreadable, match="it is defined twice"):
        compiled(WORDS, f"{rule}\n{rule}")


VOCABULARIES = [
    ("facts: {safe: {kind: yes-no}}\nconditions: {safe: {says: s}}", "safe is a condition and a fact"),
    ("facts: {x: {kind: lenght}}", "did you mean length?"),
    ("facts: {x: {says: nothing}}", "x has no kind"),
    ("facts: {x: {kind: length, possible: [5 in, 1 in]}}", "over the most"),
    ("facts: {x: {kind: length, possible: [5 psi, 6 psi]}}", "5 psi"),
    ("conditions: {x: {says: s, means: x or y}, y: {says: s}}", "derived from itself"),
    ("conditions: {x: {says: s, means: y}, y: {says: s, means: x}}", "derived from itself"),
    ("conditions: {x: {says: s, means: y}, y: {says: s}}\nsteps: {a: {says: a, makes: [x]}}", "derived, and a sets it"),
    ("steps: {a: {says: a, protects: b / c}, c: {says: c}}", "no step b"),
    ("steps: {a: {says: a, protects: any hold}, c: {says: c, traits: [holds]}}", "did you mean holds?"),
    ("steps: {a: {says: a, makes: [saef]}}\nconditions: {safe: {says: s}}", "did you mean safe?"),
    ("steps: {a: {says: a, also: [same]}, b: {says: b, also: [same]}}", "means b and a"),
    ("quantities: {x: {means: y + 1 in}, y: {means: x + 1 in}}", "uses itself"),
    ("steps: {a: {says: a, sets: {x: y}}}\nconditions: {x: {says: s}, y: {says: s}}", "y"),  # effects on conditions
    ("conditions: {x: {says: s, lapses: soon}}", "soon"),
]


@pytest.mark.parametrize(("vocabulary", "said"), VOCABULARIES)
def test_a_broken_vocabulary(compiled: Callable[[str, str], Rulebook], vocabulary: str, said: str) -> None:
    assert said in told(compiled, vocabulary)


def test_words_of_steps(compiled: Callable[[str, str], Rulebook]) -> None:
    rule = "  - {rule: it, says: s, class: minor, order: [any handling, wrap / close?]}"
    form = compiled(WORDS, rule).rules[0].form
    assert isinstance(form, ir.Order)
    assert [(link.names, link.optional) for link in form.links] == [(("use",), False), (("wrap", "close"), True)]


def test_a_rule_is_judged_side_by_side_where_anything_in_it_differs_by_side(
    compiled: Callable[[str, str], Rulebook],
) -> None:
    forms = {
        "limit: wrap.width >= 1 in": True, "limit: both(wrap.width) >= 1 in": False, "include: wrap": True,
        "include: use": False, "order: [use, wrap]": True, "need: safe, before: wrap": False,
    }  # fmt: skip
    rules = "\n".join(f"  - {{rule: r{i}, says: s, class: minor, {form}}}" for i, form in enumerate(forms))
    book = compiled(WORDS, rules)
    # a reading of a step that is done a side differs by side, unless it joins the sides
    assert [rule.sided for rule in book.rules] == list(forms.values())


def test_values_are_filled_into_what_is_said(compiled: Callable[[str, str], Rulebook]) -> None:
    rule = '  - {rule: it, says: "At least {least}.", class: minor, values: {least: 5 in}, limit: wrap.width >= least}'
    assert compiled(WORDS, rule).rules[0].says == "At least 5 in."
    with pytest.raises(Unreadable, match="names no value"):
        compiled(WORDS, rule.replace("{least}", "{most}"))

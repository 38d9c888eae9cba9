"""What a house rulebook says of its own rules, and what its author is told of tables, two editions and slips."""

from __future__ import annotations

from pathlib import Path

import pytest

from ringcut.language.editions import Shelf, editions
from ringcut.language.layering import Layered, load_layers
from ringcut.proof.proofread import proofread
from ringcut.reading.problems import Unreadable
from ringcut.rulebookfiles import builtin_rulebook

HEAD = 'rulebook: north\nedition: "{edition}"\nbased-on: base-practice\nin-force-from: {day}\n'


def house(folder: Path, text: str = "", day: str = "2026-03-01", name: str = "north.yaml") -> Path:
    file = folder / name
    file.write_text(HEAD.format(edition=name, day=day) + text, encoding="utf-8")
    return file


def laid(folder: Path, text: str) -> Layered:
    return load_layers(house(folder, text), builtin_rulebook(), "2026-06-01")


def test_two_files_in_force_from_one_day_are_told_and_none_is_chosen(tmp_path: Path) -> None:
    """Symptom: of a house file and a copy of it the one that came last in the folder judged, without a word."""
    first, copy = house(tmp_path), house(tmp_path, name="north-copy.yaml")
    for path in (first, copy):
        with pytest.raises(Unreadable, match="edition of the same rulebook, in force from 2026-03-01 too"):
            Shelf(path, builtin_rulebook())
        assert any("another folder" in each.hint for each in proofread(path, builtin_rulebook()).problems)
    house(tmp_path, day="2026-09-01", name="north-copy.yaml")
    assert [each.in_force_from for each in editions(first)] == ["2026-03-01", "2026-09-01"]


def test_an_edition_beside_it_that_cannot_be_read_is_told(tmp_path: Path) -> None:
    """Symptom: a slip in the newer edition, and the older one judged on."""
    first = house(tmp_path)
    house(tmp_path, "change: [{rul: x}]\n", day="2026-09-01", name="north-2.yaml")
    with pytest.raises(Unreadable, match=r"north-2\.yaml:5"):
        Shelf(first, builtin_rulebook())


def test_what_only_a_slip_loosens_is_not_told_beside_the_slip(tmp_path: Path) -> None:
    """Symptom: one value without a unit, and eleven rules were told as loosened in line 1."""
    with pytest.raises(Unreadable) as error:
        laid(tmp_path, "change:\n  - {value: cool-minutes, to: 45}\n")
    assert [(each.place.line, each.found) for each in error.value.problems] == [(6, "45 is a count")]


def test_one_change_is_one_line_with_the_rules_it_touches(tmp_path: Path) -> None:
    """Symptom: each of eleven rules had a line, which named a condition and not the value that was changed."""
    told = laid(tmp_path, "change:\n  - {value: cool-minutes, to: 45 min}\n").book.aloud
    assert [each.partition(":")[0] for each in told] == ["cool-minutes 30 min to 45 min (tightens)"]
    assert "closure-cool-at-end" in told[0]


@pytest.mark.parametrize(("basis", "shown"), [("", "house: north"), ("basis: common practice,", "common practice")])
def test_a_rule_and_a_value_without_a_basis_rest_on_the_house(tmp_path: Path, basis: str, shown: str) -> None:
    """Symptom: a rule that a district had made up was reported as common practice."""
    text = f"rules: [{{rule: n-1, says: x, class: minor, {basis} values: {{n: 2}}, limit: soap-test.leaks <= n}}]\n"
    book = laid(tmp_path, text + "values: {own: 3 in}\n").book
    rule = book.rule("n-1")
    assert rule is not None
    assert str(rule.basis) == str(rule.values["n"].basis) == shown
    assert book.values["own"].basis.house == "north"


@pytest.mark.parametrize(("text", "told"), [
    ("tables: [{table: stock-list}]", "--stock FILE takes your own"),
    ("change: [{rule: stock-list, size: M}]", "--stock FILE takes your own"),
    ("change: [{rule: xyzzy, size: M}]", "ringcut rules list"),
    ("change: [{value: xyzzy, to: 1 in}]", "cool-minutes"),
    ("steps: {weigh: {says: weigh, readings: {mass: {kind: mass}}}}", "kind: with one of length, time"),
    ("steps: {weigh: {says: weigh, readings: {mass: {kind: yesno}}}}", "no kind yesno. did you mean yes-no?"),
    ("steps: {weigh: {says: weigh, makes: xyzzy}}", "write it under conditions: {xyzzy: {says:"),
    ("rules: [{rule: n-1, says: x, class: minor, need: xyzzy, before: end}]", "stands under conditions:"),
    ("rules: [{rule: n-1, says: x, class: minor, repeat: soap-test, every: often, while: inside}]", "no value often"),
    ("rules: [{rule: n-1, says: x, class: minor, limit: soap-test.leaks <= 5 in, told-at: sop-test}]", "soap-test?"),
])  # fmt: skip
def test_what_there_is_not_is_told_with_what_there_is(tmp_path: Path, text: str, told: str) -> None:
    with pytest.raises(Unreadable) as error:
        laid(tmp_path, text + "\n")
    assert told in str(error.value)


def test_only_keys_that_a_file_may_have_are_offered(tmp_path: Path) -> None:
    """Symptom: read-as, which no file has, stood among the keys."""
    with pytest.raises(Unreadable) as error:
        laid(tmp_path, "xyzzy: 1\n")
    assert "read-as" not in str(error.value) and "jurisdiction" in str(error.value)


def test_a_rule_that_others_follow_from_can_be_withdrawn(tmp_path: Path) -> None:
    """Symptom: two rules of the layer below were told to follow from no rule, which no author could mend."""
    text = "change: [{rule: hold-tested, withdraw: yes, reason: x, approved-by: R. Example}]\n"
    book = laid(tmp_path, text).book
    assert book.rule("hold-tested") is None
    assert not any("hold-tested" in rule.follows_from for rule in book.rules)


def test_an_id_is_found_however_it_is_spelt(tmp_path: Path) -> None:
    """Symptom: a rule called Soap Twice could not be shown, changed or conceded as soap-twice."""
    rule = "rules: [{rule: North Soap, says: x, class: minor, include: soap-test, cases: [CASES]}]\n"
    cases = "{steps: [soap-test], verdict: conforms}, {steps: [shrink-sleeve], verdict: nonconforming}"
    book = laid(tmp_path, rule.replace("CASES", cases)).book
    assert book.rule("north-soap") is not None
    (tmp_path / "north.ids.txt").write_text("North Soap\n", encoding="utf-8")
    assert proofread(tmp_path / "north.yaml", builtin_rulebook()).mistakes == ()


def test_a_verdict_of_a_case_that_there_is_not_is_told_with_the_one_that_is_meant(tmp_path: Path) -> None:
    """Symptom: a case that said «conform» was told to have no verdict."""
    case = "{steps: [soap-test], verdict: conform}"
    house(tmp_path, f"rules: [{{rule: n-1, says: x, class: minor, include: soap-test, cases: [{case}]}}]\n")
    found = proofread(tmp_path / "north.yaml", builtin_rulebook()).mistakes
    assert any("has the verdict conform" in each.said and "did you mean conforms?" in each.instead for each in found)


def test_a_day_that_can_be_read_two_ways_is_told_in_both(tmp_path: Path) -> None:
    with pytest.raises(Unreadable, match="write 2026-01-03 or 2026-03-01"):
        load_layers(house(tmp_path, day="01/03/2026"), builtin_rulebook())


@pytest.mark.parametrize(("may", "told"), [
    ("{critical: [R. Example], major: [S. Example]}", "name one person under may-approve for critical, major"),
    ("{critical: [R. Example, T. Example], major: [S. Example, T. Example]}", "approved-by: T. Example"),
])  # fmt: skip
def test_whoever_may_approve_all_that_a_change_loosens_is_named(tmp_path: Path, may: str, told: str) -> None:
    """Symptom: the one who may approve its major rules was asked for, and then may not approve its critical ones."""
    change = "{value: cool-minutes, to: 20 min, reason: x, approved-by: R. Example}"
    text = f"may-approve: {may}\nchange: [{change}]\n"
    with pytest.raises(Unreadable) as error:
        laid(tmp_path, text)
    assert told in str(error.value) and "approved-by: S. Example" not in str(error.value)
    assert all(told in each.instead for each in proofread(tmp_path / "north.yaml", builtin_rulebook()).refused)

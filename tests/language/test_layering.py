"""House rulebooks on a layer below: what changes, what is refused, editions by date. All invented."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from ringcut.language.editions import Shelf, editions
from ringcut.language.layering import Layered, load_layers
from ringcut.language.sense import Sense
from ringcut.reading.problems import Unreadable

VOCABULARY = """\
facts:
  place: {choices: [pole, hole], says: where}
  wet: {kind: yes-no, says: water}
conditions: {dry: {at-start: not wet, says: no water}, safe: {says: the air is good}, seen: {says: gas was read},
  path: {means: bridged or whole, says: a path}, bridged: {says: a bridge}, whole: {says: uncut}}
values:
  gas-limit: {value: 10 %LFL, basis: {regulation: 29 CFR 1910.146(b), binds: invented}, bound: 10 %LFL}
  dry-time: {value: 5 min, basis: {house: invented}}
steps:
  pump: {says: pump, makes: [dry]}
  cut: {says: cut}
  cover: {says: cover, readings: {bond: {kind: length, unit: in, known: planned, says: bond}}}
  sniff: {says: test, again: another, sets: {safe: gas <= gas-limit, seen: {where: gas > gas-limit, to: always}},
    readings: {gas: {kind: lfl, unit: "%LFL", says: gas}}}
  hold: {says: hold, readings: {lasted: {kind: time, unit: min, says: how long}}}
"""
RULES = """\
subject: all
rules:
  - {rule: bond, says: "At least {shortest}.", class: major, values: {shortest: {value: 5 in, basis: common practice}},
     limit: cover.bond >= shortest}
  - {rule: dry-first, says: Dry first., class: critical, judge: every, need: dry, before: cut}
  - {rule: safe-first, says: Safe first., class: critical, judge: every, need: safe, before: cut,
     basis: {regulation: 29 CFR 1910.268, binds: invented}}
  - {rule: held, says: "At least {least}.", class: minor, limit: hold.lasted >= least, values: {least: {value: 3 min,
     basis: {regulation: 29 CFR 1910.146, binds: invented}, bound: 2 min}}}
  - {rule: path-first, says: Path first., class: major, need: path, before: cut}
  - {rule: nothing-seen, says: Nothing seen., class: major, need: not seen, before: cut}
  - {rule: covered, says: Covered., class: minor, include: cover}
"""
TITLE = """\
rulebook: base-practice
edition: "1"
in-force-from: 2000-01-01
jurisdiction: [29 CFR 1910]
subjects: {all: {says: everything}}
"""
HEAD = 'rulebook: north\nedition: "1"\nbased-on: base-practice\nin-force-from: 2026-03-01\n'


@pytest.fixture(scope="module")
def base(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("layers") / "base-practice"
    for name, text in (("vocabulary", VOCABULARY), ("rules", RULES)):
        (folder / name).mkdir(parents=True)
        (folder / name / "all.yaml").write_text(text, encoding="utf-8")
    (folder / "rulebook.yaml").write_text(TITLE, encoding="utf-8")
    return folder


Laid = Callable[[str], Layered]


@pytest.fixture
def laid(base: Path, tmp_path: Path) -> Laid:
    def laid(text: str) -> Layered:
        file = tmp_path / "north.yaml"
        file.write_text(HEAD + text, encoding="utf-8")
        return load_layers(file, base, "2026-06-01")

    return laid


def refused(laid: Laid, text: str) -> str:
    with pytest.raises(Unreadable) as error:
        laid(text)
    return str(error.value)


def test_a_changed_value_knows_where_it_comes_from(laid: Laid) -> None:
    found = laid("change:\n  - {rule: bond, shortest: 6 in}\n")
    rule = found.book.rule("bond")
    assert rule is not None
    value = rule.values["shortest"]
    assert (value.text, value.origin, value.place.file, value.place.line) == ("6 in", "north", "north.yaml", 6)
    assert rule.says == "At least 6 in."
    assert found.book.layers == ("base-practice", "north")


@pytest.mark.parametrize(
    ("change", "rule", "sense"),
    [
        ("{rule: bond, shortest: 6 in}", "bond", Sense.TIGHTENS),
        ("{rule: bond, shortest: 4 in, reason: x, approved-by: R. Example}", "bond", Sense.LOOSENS),
        ("{rule: bond, class: critical, judge: latest}", "bond", Sense.TIGHTENS),
        ("{rule: bond, class: minor, reason: x, approved-by: R. Example}", "bond", Sense.LOOSENS),
        ("{rule: bond, withdraw: yes, reason: x, approved-by: R. Example}", "bond", Sense.LOOSENS),
        ("{rule: bond, withdraw: yes, when: place is pole, reason: x, approved-by: R. Example}", "bond", Sense.LOOSENS),
        ("{rule: bond, when: place is pole, shortest: 6 in}", "bond", Sense.TIGHTENS),
        ("{value: gas-limit, to: 5 %LFL}", "safe-first", Sense.TIGHTENS),
        ("{rule: held, least: 4 min}", "held", Sense.TIGHTENS),
        ("{rule: held, least: 2 min, reason: x, approved-by: R. Example}", "held", Sense.LOOSENS),
    ],
)
def test_the_tool_finds_by_itself_which_way_a_change_goes(laid: Laid, change: str, rule: str, sense: Sense) -> None:
    found = {effect.rule: effect.sense for _, effect in laid(f"change:\n  - {change}\n").effects}
    assert found.pop("nothing-seen", sense) == sense
    assert found == {rule: sense}


def test_a_change_with_when_leaves_the_rule_as_it_is_elsewhere(laid: Laid) -> None:
    book = laid("change:\n  - {rule: bond, when: place is pole, shortest: 6 in}\n").book
    values = {rule.text["when"]: rule.values["shortest"].text for rule in book.rules if rule.id == "bond"}
    assert values == {"not (place is pole)": "5 in", "place is pole": "6 in"}


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ("{rule: bond, shortest: 4 in}", "reason: why"),
        ("{rule: bond, shortest: 4 in, reason: x}", "approved-by"),
        ("{rule: bond, shortest: 4 in, reason: x, approved-by: foreman}", "not a name"),
        ("{value: gas-limit, to: 11 %LFL, reason: x, approved-by: R. Example}", "the clause itself fixes"),
        ("{rule: held, least: 1 min, reason: x, approved-by: R. Example}", "the clause itself fixes"),
        ("{rule: bnd, shortest: 4 in}", "did you mean bond?"),
        ("{rule: bond, shortst: 6 in}", "did you mean shortest?"),
        ("{rule: bond, shortest: 6}", "6 what?"),
        ("{shortest: 6 in}", "names no rule"),
        ("{value: gas-limitt, to: 5 %LFL}", "did you mean gas-limit?"),
        ("{step: cutt, takes: 5 min}", "did you mean cut?"),
        ("{step: cut, says: other}", "not changed here"),
        ("{rule: bond, class: grave}", "critical, major or minor"),
    ],
)
def test_what_may_not_be_is_refused_with_the_reason(laid: Laid, change: str, words: str) -> None:
    assert words in refused(laid, f"change:\n  - {change}\n")


def test_only_named_persons_may_approve_their_classes(laid: Laid) -> None:
    may = "may-approve: {critical: [R. Example], major: [S. Example]}\nchange:\n  - "
    layered = laid(may + "{rule: bond, shortest: 4 in, reason: x, approved-by: S. Example}\n")
    assert layered.effects
    assert layered.book.may_approve == {"critical": ("R. Example",), "major": ("S. Example",)}
    said = refused(laid, may + "{rule: bond, shortest: 4 in, reason: x, approved-by: R. Example}\n")
    assert "R. Example may not approve major rules" in said


def test_coming_back_to_the_law_is_allowed_and_going_beyond_it_in_two_layers_is_not(base: Path, tmp_path: Path) -> None:
    approved = "reason: x, approved-by: R. Example"
    (tmp_path / "one.yaml").write_text(
        HEAD + f"change:\n  - {{rule: held, least: 2 min, {approved}}}\n", encoding="utf-8"
    )
    two = HEAD.replace("base-practice", "one").replace("north", "two")
    (tmp_path / "two.yaml").write_text(
        two + f"change:\n  - {{rule: held, least: 1 min, {approved}}}\n", encoding="utf-8"
    )
    assert load_layers(tmp_path / "one.yaml", base).effects
    with pytest.raises(Unreadable, match="the clause itself fixes"):
        load_layers(tmp_path / "two.yaml", base)


def test_a_new_step_that_makes_a_condition_loosens_the_rules_that_need_it(laid: Laid) -> None:
    word = "steps: {look: {says: look, makes: [dry]}}\n"
    said = refused(laid, word)
    assert "dry-first" in said and "add {step: look, reason: why" in said
    approved = "change:\n  - {step: look, reason: x, approved-by: R. Example}\n"
    (effect,) = [effect for _, effect in laid(word + approved).effects]
    assert (effect.rule, effect.sense) == ("dry-first", Sense.LOOSENS)


def test_a_maker_of_what_a_derived_condition_means_loosens_the_rules_that_need_it(laid: Laid) -> None:
    said = refused(laid, "steps: {tie: {says: tie, makes: [bridged]}}\n")
    assert "path-first is loosened" in said


def test_each_of_several_changed_values_answers_for_itself(laid: Laid) -> None:
    one = "{value: dry-time, to: 4 min, reason: x, approved-by: R. Example}"
    said = refused(laid, f"change:\n  - {one}\n  - {{value: gas-limit, to: 12 %LFL}}\n")
    assert "the clause itself fixes" in said and "north.yaml:7" in said


def test_an_expired_change_leaves_the_layer_below_and_says_so(laid: Laid) -> None:
    book = laid("change:\n  - {rule: bond, shortest: 6 in, expires: 2026-05-31}\n").book
    rule = book.rule("bond")
    assert rule is not None and rule.values["shortest"].text == "5 in"
    assert any("expired on 2026-05-31" in each for each in book.aloud)
    rule = laid("change:\n  - {rule: bond, shortest: 6 in, expires: 2026-06-01}\n").book.rule("bond")
    assert rule is not None and rule.values["shortest"].text == "6 in"


def test_rulebooks_based_on_each_other_are_told(base: Path, tmp_path: Path) -> None:
    for one, two in (("one", "two"), ("two", "one")):
        (tmp_path / f"{one}.yaml").write_text(HEAD.replace("base-practice", two), encoding="utf-8")
    with pytest.raises(Unreadable, match="based on each other"):
        load_layers(tmp_path / "one.yaml", base)


def test_the_edition_in_force_is_that_of_the_day(base: Path, tmp_path: Path) -> None:
    for number, day, value in (("1", "2026-03-01", "6 in"), ("2", "2026-09-01", "7 in")):
        text = HEAD.replace('"1"', f'"{number}"').replace("2026-03-01", day)
        (tmp_path / f"north-{number}.yaml").write_text(
            text + f"change:\n  - {{rule: bond, shortest: {value}}}\n", encoding="utf-8"
        )
    assert [each.edition for each in editions(tmp_path / "north-2.yaml")] == ["1", "2"]
    shelf = Shelf(tmp_path / "north-1.yaml", base)
    found = {}
    for day in ("2026-02-28", "2026-03-01", "2026-08-31", "2026-09-01"):
        rule = shelf.on(day).rule("bond")
        assert rule is not None
        found[day] = rule.values["shortest"].text
    assert found == {"2026-02-28": "5 in", "2026-03-01": "6 in", "2026-08-31": "6 in", "2026-09-01": "7 in"}
    assert any("in force only from 2026-03-01" in each for each in shelf.on("2026-02-28").aloud)


def test_a_rulebook_folder_is_read_anew_when_a_file_of_it_changes(base: Path, tmp_path: Path) -> None:
    folder = tmp_path / "copy"
    shutil.copytree(base, folder)
    first = load_layers(folder, folder)
    assert load_layers(folder, folder) is first
    title = folder / "rulebook.yaml"
    title.write_text(title.read_text(encoding="utf-8").replace('edition: "1"', 'edition: "2"'), encoding="utf-8")
    assert (first.book.edition, load_layers(folder, folder).book.edition) == ("1", "2")

"""Nodes into typed structs: forgiving names, every problem at its place, nothing guessed."""

from __future__ import annotations

import typing
from typing import Any, Literal

import msgspec
import pytest

from ringcut.reading.decode import decode, decode_fields
from ringcut.reading.phrase import Phrase
from ringcut.reading.problems import NOWHERE, Place, Problem
from ringcut.reading.yamltext import Map, Node, Scalar, Seq, load


class Word(msgspec.Struct, frozen=True):
    source: str


class Reading(msgspec.Struct, frozen=True, rename="kebab"):
    kind: str = ""
    choices: tuple[str, ...] = ()
    place: Place = NOWHERE


class Step(msgspec.Struct, frozen=True, rename="kebab"):
    says: str
    class_: Literal["critical", "major", "DANGER"] = msgspec.field(name="class")
    follows_from: tuple[str, ...] = ()
    lasting: bool = False
    layers: int | None = None
    when: Phrase | None = None
    basis: Word | None = None
    readings: dict[str, Reading] = {}
    rows: tuple[tuple[Phrase, ...], ...] = ()
    cases: tuple[Any, ...] = ()
    node: Node | None = None
    place: Place = NOWHERE


GOOD = """\
Says: it is done
class: danger
follows from: one
LASTING: yes
layers: 010
when: work is x
readings:
  Bond Length: {kind: length}
rows: [[a, "1"], b]
cases:
  - {steps: [{do: x, n: 1}, y], none: }
"""


def node_of(text: str) -> Node:
    problems: list[Problem] = []
    root = load(text, "f.yaml", problems)
    assert root is not None and problems == []
    return root


def told(text: str, wanted: type = Step, **more: Any) -> list[tuple[int, int, str, str, str]]:
    problems: list[Problem] = []
    assert decode(node_of(text), wanted, problems, **more) is None
    return [(each.place.line, each.place.column, each.found, each.expected, each.hint) for each in sorted(problems)]


def test_a_struct_with_everything_in_it() -> None:
    problems: list[Problem] = []
    step = decode(node_of(GOOD), Step, problems)
    assert problems == []
    assert step == Step(
        says="it is done",
        class_="DANGER",
        follows_from=("one",),
        lasting=True,
        layers=10,
        when=Phrase("work is x", Place("f.yaml", 6, 7)),
        readings={"bond-length": Reading(kind="length", place=Place("f.yaml", 8, 16))},
        rows=(
            (Phrase("a", Place("f.yaml", 9, 9)), Phrase("1", Place("f.yaml", 9, 12), plain=False)),
            (Phrase("b", Place("f.yaml", 9, 18)),),
        ),
        cases=({"steps": [{"do": "x", "n": "1"}, "y"], "none": None},),
        place=Place("f.yaml", 1, 1),
    )


@pytest.mark.parametrize(
    ("text", "value"),
    [("yes", True), ("True", True), ("NO", False), ('"false"', False)],
)
def test_yes_and_no(text: str, value: bool) -> None:
    """YAML 1.2 core leaves yes and no as text; where a yes or no is expected they mean what they say."""
    step = decode(node_of(f"says: x\nclass: major\nlasting: {text}"), Step, [])
    assert step is not None and step.lasting is value


@pytest.mark.parametrize(
    ("text", "value"), [("010", 10), ("-3", -3), ("+4", 4), ('"5"', 5), ("null", None), ("~", None)]
)
def test_whole_numbers(text: str, value: int | None) -> None:
    """YAML 1.2 core schema, 10.3.2: 010 is ten."""
    step = decode(node_of(f"says: x\nclass: major\nlayers: {text}"), Step, [])
    assert step is not None and step.layers == value


START = "says: x\nclass: major\n"


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("- a", (1, 1, "found a list", "a mapping (key: value)", "")),
        ("a", (1, 1, "found a text", "a mapping (key: value)", "")),
        (START + "lasting: maybe", (3, 10, "found maybe", "yes or no", "")),
        (START + "lasting: [yes]", (3, 10, "found a list", "yes or no", "")),
        (START + "layers: 1.5", (3, 9, "found 1.5", "a whole number", "")),
        (START + "layers: " + "9" * 30, (3, 9, "found " + "9" * 30, "a whole number", "")),
        (START + "layers: {a: 1}", (3, 9, "found a mapping", "a whole number", "")),
        (START + "layers:", (3, 8, "empty", "a whole number", "write it, or delete the key")),
        (START + "when:", (3, 6, "empty", "a text", "write it, or delete the key")),
        (START + "when: [a]", (3, 7, "found a list", "a text", "")),
        (START + "follows-from: {a: b}", (3, 15, "found a mapping", "a list", "")),
        (START + "follows-from:", (3, 14, "empty", "a list", "write it, or delete the key")),
        (START + "follows-from: [a, [b]]", (3, 19, "found a list", "a text", "")),
        (START + "readings: [a]", (3, 11, "found a list", "a mapping (key: value)", "")),
        (START + "readings: {a: x}", (3, 15, "found a text", "a mapping (key: value)", "")),
        (START + "readings: {a: {kind: [x]}}", (3, 22, "found a list", "a text", "")),
        (START + "rows: [[a, {b: c}]]", (3, 12, "found a mapping", "a text", "")),
        ("says: x\nclass: majr", (2, 8, "majr", "one of critical, major, DANGER", "did you mean major?")),
        ("says: x\nclass: [major]", (2, 8, "found a list", "one of critical, major, DANGER", "")),
        ("says: x", (1, 1, "the key class is missing", "class: and its value", "")),
        ("says: x\nclas: major", (2, 1, "clas is not a key here", "", "did you mean class?")),
        (START + "follow: x", (3, 1, "follow is not a key here", "", "did you mean follows-from?")),
        ("says: 1.10\nclass: major", (1, 7, "found 1.10", "a text", 'would be the number 1.1. Write "1.10"')),
        ("says: 010\nclass: major", (1, 7, "found 010", "a text", 'would be the number 10. Write "010"')),
    ],
)
def test_what_is_wrong_is_told_once_at_its_place(text: str, problem: tuple[int, int, str, str, str]) -> None:
    assert told(text) == [problem]


def test_a_key_that_nobody_knows_is_answered_with_those_there_are() -> None:
    ((_, _, found, expected, hint),) = told(START + "colour: red")
    assert found == "colour is not a key here" and "follows-from" in expected and "place" not in expected
    assert hint == ""


def test_words_people_write_for_a_key() -> None:
    ((_, _, _, _, hint),) = told(START + "provided: x", synonyms={"provided": "when"})
    assert hint == "did you mean when?"


def test_a_number_that_reads_the_same_is_a_text() -> None:
    assert decode(node_of("source: 3"), Word, []) == Word("3")
    assert decode(node_of('source: "1.10"'), Word, []) == Word("1.10")
    assert decode(node_of("source: 29 CFR 1910.10"), Word, []) == Word("29 CFR 1910.10")


def test_all_problems_come_at_once() -> None:
    text = "class: x\nlasting: 1\nlayers: y\nreadings: {a: {knd: b}, c: d}\nrows: [[[a]]]\nfoo: 1"
    assert [line for line, *_ in told(text)] == [1, 1, 2, 3, 4, 4, 5, 6]


SHAPES = {"text": "word", "list": "[word]", "mapping": "{word: other}", "nothing": ""}
TAKEN = {
    "says": {"text"},
    "class": set(),
    "follows-from": {"text", "list"},
    "lasting": set(),
    "layers": set(),
    "when": {"text"},
    "basis": set(),
    "readings": set(),
    "rows": {"text", "list"},
    "cases": {"text", "list"},
    "node": {"text", "list", "mapping", "nothing"},
}


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("key", TAKEN)
def test_every_shape_at_every_key_is_taken_or_told_there(key: str, shape: str) -> None:
    """``word`` is neither a choice, a yes or no nor a number, and no struct has a key of that name."""
    lines = {"says": "says: x", "class": "class: major"}
    lines[key] = f"{key}: {SHAPES[shape]}"
    problems: list[Problem] = []
    found = decode(node_of("\n".join(lines.values())), Step, problems)
    if shape in TAKEN[key]:
        assert problems == [] and found is not None
    else:
        assert found is None
        line = list(lines).index(key) + 1
        assert problems and all(each.place.line == line and each.found for each in problems)


def word(node: Node, problems: list[Problem]) -> object:
    if isinstance(node, Scalar):
        if node.text == "common practice":
            return Word("practice")
        problems.append(Problem(node.place, "who decided it?"))
        return None
    return decode_fields(node, Word, problems, hooks={Word: word})


def test_a_hook_reads_the_shapes_of_its_type() -> None:
    bare = decode(node_of(START + "basis: common practice"), Step, [], hooks={Word: word})
    full = decode(node_of(START + "basis: {source: x}"), Step, [], hooks={Word: word})
    assert bare is not None and bare.basis == Word("practice")
    assert full is not None and full.basis == Word("x")
    assert told(START + "basis: house", hooks={Word: word}) == [(3, 8, "who decided it?", "", "")]


def test_what_is_right_in_a_broken_file_can_be_looked_at_too() -> None:
    text = START + "layers: x\nrows: [[a, [b]], c]\nreadings: {a: {kind: length}, b: {knd: x}, c: d}\nfoo: 1"
    problems: list[Problem] = []
    step = decode(node_of(text), Step, problems, partial=True)
    assert [each.place.line for each in sorted(problems)] == [3, 4, 5, 5, 6]
    assert step is not None and step.says == "x" and step.layers is None
    assert [[cell.text for cell in row] for row in step.rows] == [["a"], ["c"]]
    assert {name: reading.kind for name, reading in step.readings.items()} == {"a": "length", "b": ""}
    assert decode(node_of("says: x"), Step, problems, partial=True) is None, "a required key has no default"


def test_a_node_can_be_asked_for() -> None:
    step = decode(node_of(START + "node: [a]"), Step, [])
    assert step is not None and isinstance(step.node, Seq)
    assert isinstance(decode(node_of("a: 1"), typing.cast(type[Any], Any), []), dict)


def test_a_type_that_no_yaml_can_give_is_a_mistake_of_the_program() -> None:
    for wanted in (float, tuple[int, int], str | int, Map | None | str):
        with pytest.raises(TypeError, match="cannot be read from YAML"):
            decode(Scalar("1"), typing.cast(type[Any], wanted), [])

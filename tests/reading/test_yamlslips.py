"""What YAML swallows silently or stops at, each told at its place and how to write it, all at once."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

from ringcut.reading import yamlbuild, yamltext
from ringcut.reading.decode import plain_data
from ringcut.reading.problems import Problem
from ringcut.reading.yamlslips import comments_with_numbers, quoted
from ringcut.reading.yamlsource import LOADER
from ringcut.reading.yamltext import Map, Seq, load

DATA = Path(__file__).parent / "data"


def read(text: bytes | str) -> tuple[object, list[Problem]]:
    problems: list[Problem] = []
    root = load(text, "f.yaml", problems)
    return (None if root is None else plain_data(root)), sorted(problems)


def told(text: bytes | str) -> list[tuple[int, int, str, str]]:
    _, problems = read(text)
    return [(each.place.line, each.place.column, each.found, each.hint) for each in problems]


def test_a_house_rulebook_as_typed() -> None:
    assert told((DATA / "house-as-typed.yaml").read_bytes()) == [
        (6, 61, "wind is not a key. A comma cut the text short", 'put it in quotes: reason: "cold, wind"'),
        (11, 26, "two colons", "put the text in quotes"),
    ]


def test_a_plan_as_typed() -> None:
    data = (DATA / "plan-as-typed.yaml").read_bytes()
    assert told(data) == [
        (
            19,
            21,
            "conductor-size: empty. In YAML everything after # is a comment",
            'write 6 AWG, or "#6"',
        ),
        (29, 15, 'A:1", B:1": a blank is missing after the colon', 'write {A: 1", B: 1"}'),
    ]
    assert [(str(each.place), each.text) for each in comments_with_numbers(data, "plan")] == [
        ("plan:30:25", '6" both sides')
    ]


# What was typed, where the slip is, a piece of what is told, and what is read on with.
SLIPS = [
    # swallowed silently by YAML
    ("a: #6\nb: 1", 1, 4, "everything after # is a comment", {"b": "1"}),
    ("a:\n- #6\n- x", 2, 3, "everything after # is a comment", {"a": ["x"]}),
    ("a: {A:1 in}", 1, 5, "a blank is missing after the colon", {"a": {"A": "1 in"}}),
    ("a: {A: 1 in, B:1 in}", 1, 14, "write {A: 1 in, B: 1 in}", {"a": {"A": "1 in", "B": "1 in"}}),
    ("a: {why: cold, wind}", 1, 16, 'why: "cold, wind"', {"a": {"why": "cold, wind"}}),
    ("a: {cut: 28,5 in, b: 1}", 1, 10, "write 28.5 in", {"a": {"cut": "28.5 in", "b": "1"}}),
    ("a: {cut: 28, 5 in}", 1, 14, "A comma cut the text short", {"a": {"cut": "28, 5 in"}}),
    ("a: {why: cold, wind, ice}", 1, 16, "A comma cut the text short", {"a": {"why": "cold, wind, ice"}}),
    ("a: {wind}", 1, 5, "wind has no value", {"a": {}}),
    ("a: >5\nb: 1", 1, 4, 'write ">5"', {"a": "", "b": "1"}),
    ("a: 1\nb: 2\na: 3", 3, 1, "a stands here twice, first in line 1", {"a": "1", "b": "2"}),
    ("bond length: 1\nBond_Length: 2", 2, 1, "Bond_Length stands here twice", {"bond length": "1"}),
    # errors of syntax
    ("a:\n  says: Carbon: 25 ppm\nb: 1", 2, 15, "two colons", {"a": {"says": "Carbon: 25 ppm"}, "b": "1"}),
    ("- says: a: b: c\n- d", 1, 10, "two colons", [{"says": "a: b: c"}, "d"]),
    ("a: {why: cold: wind, x: 1}", 1, 14, "two colons", {"a": {"why": "cold: wind", "x": "1"}}),
    ("a: {x: 1 in\n    y: 2 in}", 1, 12, "a comma is missing", {"a": {"x": "1 in", "y": "2 in"}}),
    (
        "- do: a\n    b: 2\n    c: 3\n- d",
        2,
        5,
        "begin it in column 3",
        [{"do": "a", "b": "2", "c": "3"}, "d"],
    ),
    ("- do: a\n  b: 2\n   c: 3\n- d", 3, 4, "further than line 2", [{"do": "a", "b": "2", "c": "3"}, "d"]),
    ("- do: a\n b: 2\n- d", 2, 2, "does not fit under the lines above", [{"do": "a"}, "d"]),
    ("- do: a\n  b:2\n- d", 2, 4, "write b: 2", [{"do": "a", "b": "2"}, "d"]),
    ("- do:a\n  b: 2\n- d", 1, 5, "write do: a", [{"do": "a", "b": "2"}, "d"]),
    ("- do: a\n  b 2\n  c: 3", 2, 3, "b 2: no colon", [{"do": "a", "c": "3"}]),
    ("a:\n  - b\n  -c\n  - d", 3, 3, "write - c", {"a": ["b", "c", "d"]}),
    ('- n: "he said\n- d', 1, 6, "the quote is not closed", [{"n": '"he said'}, "d"]),
    ('- n: "he said\n- d\n- n: "ok"', 1, 6, "the quote is not closed", [{"n": '"he said'}, "d", {"n": "ok"}]),
    (
        "- n: 'he said\n- at: 6 o'clock",
        1,
        6,
        "the quote is not closed",
        [{"n": "'he said"}, {"at": "6 o'clock"}],
    ),
    ('- s: "6" AWG\n- d', 1, 10, 'text behind "', [{"s": '"6" AWG'}, "d"]),
    ("- n: [see photo] wet\n- d", 1, 18, 'in quotes: "[see photo] wet"', [{"n": "[see photo] wet"}, "d"]),
    ("- o: {A: 1, B: 2\n- d", 1, 6, "the { is not closed", ["d"]),
    ("- o: [A, B\n  x: 1\n- d", 1, 6, "the [ is not closed", ["d"]),
    ("- do: x\n  o: [A, B\n  y: 1\n- d", 2, 6, "write ] at its end", [{"do": "x", "y": "1"}, "d"]),
    ("- {do: a, size: #6}\n- d", 1, 17, 'put the text in quotes: "#6"', [{"do": "a", "size": "#6"}, "d"]),
    ("- o: {A: 1}}\n- d", 1, 12, "a } too many", [{"o": {"A": "1"}}, "d"]),
    ("a:\n\t- b\n\t- c", 2, 1, "(also in line 3)", {"a": ["b", "c"]}),
    ("- do: a\n\tb: 2", 2, 1, "write two for each tab", [{"do": "a", "b": "2"}]),
    ("- r: >1000 megohm\n- d", 1, 6, 'quotes: ">1000 megohm"', [{"r": ">1000 megohm"}, "d"]),
    ("- r: %LFL\n- d", 1, 6, "cannot begin with %", [{"r": "%LFL"}, "d"]),
    ("- by: @joe\n- d", 1, 7, "cannot begin with @", [{"by": "@joe"}, "d"]),
    ("- by: **joe**\n- d", 1, 7, "cannot begin with *", [{"by": "**joe**"}, "d"]),
    ("a: - b\nc: 1", 1, 4, "a line of its own", {"a": "- b", "c": "1"}),
    ('a: "C:\\dir"\nb: 1', 1, 7, "a backslash in double quotes", {"a": "C:\\dir", "b": "1"}),
    ("a: b\n- c\nd: 1", 2, 1, "the line was not read", {"a": "b", "d": "1"}),
]


@pytest.mark.parametrize("loader", [LOADER, yaml.BaseLoader], ids=["libyaml", "python"])
@pytest.mark.parametrize(("text", "line", "column", "piece", "data"), SLIPS)
def test_a_slip_is_told_once_and_the_rest_is_read(
    text: str,
    line: int,
    column: int,
    piece: str,
    data: object,
    loader: object,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(yamlbuild, "LOADER", loader)
    found, problems = read(text)
    places = [(problem.place.line, problem.place.column) for problem in problems]
    assert piece in str(problems[0])
    assert found == data
    assert places[0] == (line, column)
    assert len(places) == 1 or "ice" in text, "the same slip is not told under two names"


def test_all_slips_of_a_file_come_at_once() -> None:
    pieces = [text for text, *_ in SLIPS if text.startswith("- ") and "tab" not in text and "\t" not in text]
    text = "\n".join(pieces)
    lines = {problem.place.line for problem in read(text)[1]}
    assert len(lines) >= len(pieces) * 2 // 3


def test_columns_behind_a_mended_blank_are_those_of_the_file() -> None:
    problems: list[Problem] = []
    root = load("- do: a\n  b:x\n", "f.yaml", problems)
    assert isinstance(root, Seq) and isinstance(root.items[0], Map)
    assert [str(value.place) for _, value in root.items[0].entries] == ["f.yaml:1:7", "f.yaml:2:5"]
    problems = []
    load("a:\n\tb: 1\n\tb: 2\n", "f.yaml", problems)
    assert [str(problem.place) for problem in sorted(problems)] == ["f.yaml:2:1", "f.yaml:3:2"]


def test_with_too_many_errors_the_rest_is_said_to_be_unread(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(yamltext, "_MOST_REPAIRS", 20)
    data, problems = read("".join(f"k{n}: a: b\n" for n in range(40)))
    assert data is None
    assert [problem.place.line for problem in problems] == [*range(1, 21), 20]
    assert "from here on the file was not read" in {problem.found for problem in problems}


@pytest.mark.parametrize(
    "text",
    [
        "gauge-pressure: <1 psi",
        "a: # a comment\n  - b",
        "a:   # to be measured",
        "a: x#6",
        "a: http://x/y",
        "a: {b: http://x/y}",
        "a: {b: }",
        "a: [b, c]",
        'a: "#6"',
        "a: 12:30",
        "a: {b: 12:30}",
        "a: 'don''t: #6, {'",
        'a: "over\n  two lines"\nb: 1',
        "a: &x [1]\nb: *x",
        "a: >\n  folded",
        "a: 6 o'clock",
        'a: 14"',
        "a:\t1",
        '{\n\t"a": 1\n}',
    ],
)
def test_what_is_no_slip_is_left_alone(text: str) -> None:
    assert told(text) == []


def test_comments_with_a_number_behind_a_value() -> None:
    assert comments_with_numbers("a: 1\n- # 2", "f") == (), "a file that cannot be parsed has none"
    text = "# 1 of 2\na: 1 # see 3\nb: 'x # 4' # five\nc: d # 6\ne: #7\n"
    assert [str(each.place) for each in comments_with_numbers(text, "f")] == ["f:2:6", "f:4:6"]


@pytest.mark.parametrize("text", ["#6", 'a "b"', "it's", "a\\b", "x: y"])
def test_quoted_text_is_read_back(text: str) -> None:
    assert read(f"a: {quoted(text)}") == ({"a": text}, [])

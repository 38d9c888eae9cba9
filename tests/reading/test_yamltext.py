"""YAML 1.2 as nodes with places, compared with PyYAML's own marks; limits; random bytes."""

from __future__ import annotations

import json
from collections.abc import Iterator

import pytest
import yaml
from hypothesis import example, given
from hypothesis import strategies as st

from ringcut.reading import yamlbuild
from ringcut.reading.decode import plain_data
from ringcut.reading.problems import Place, Problem
from ringcut.reading.yamlsource import LOADER
from ringcut.reading.yamltext import Map, Node, Scalar, Seq, load

RICH = """\
# a plan
procedure: plan
job: {reference: "HV-2031", sheath: {A: lead, B: 'polyethylene'},
      location: manhole}
steps:
- guard-work-area      # first
-   do: wrap-rubber-tape
    after: [tape, "b c"]
    note: |
      two
      lines
    says: >-
      folded
      text
- any-order:
  - [a, b]
  - - c
    - d: é½ x
plain over: one
  two
"""


def read(text: bytes | str) -> tuple[Node | None, list[Problem]]:
    problems: list[Problem] = []
    return load(text, "f.yaml", problems), problems


def good(text: bytes | str) -> Node:
    root, problems = read(text)
    assert problems == [] and root is not None
    return root


def walk(node: Node) -> Iterator[Node]:
    yield node
    if isinstance(node, Seq):
        for item in node.items:
            yield from walk(item)
    elif isinstance(node, Map):
        for key, value in node.entries:
            yield key
            yield from walk(value)


def composed(node: yaml.Node) -> Iterator[yaml.Node]:
    yield node
    if isinstance(node, yaml.SequenceNode):
        for item in node.value:
            yield from composed(item)
    elif isinstance(node, yaml.MappingNode):
        for key, value in node.value:
            yield key
            yield from composed(value)


def agrees(text: str, root: Node) -> bool:
    other = yaml.compose(text, Loader=yaml.BaseLoader)
    assert other is not None
    marks = [
        (node.start_mark.line + 1, node.start_mark.column + 1, getattr(node, "value", None)) for node in composed(other)
    ]
    places = [
        (node.place.line, node.place.column, node.text if isinstance(node, Scalar) else None) for node in walk(root)
    ]
    return [(a, b, text if isinstance(text, str) else None) for a, b, text in marks] == places


@pytest.mark.parametrize("loader", [LOADER, yaml.BaseLoader], ids=["libyaml", "python"])
def test_texts_and_places_agree_with_the_composer_of_pyyaml(loader: object, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(yamlbuild, "LOADER", loader)
    assert agrees(RICH, good(RICH))


names = st.text("abcdefgh", min_size=1, max_size=6)
scalars = st.text("abcdefgh é½'\"#:-,[]{}<>%\n", max_size=12)
values = st.recursive(scalars, lambda inner: st.lists(inner, max_size=4) | st.dictionaries(names, inner, max_size=4))


@given(st.dictionaries(names, values, min_size=1, max_size=5), st.booleans())
def test_what_pyyaml_writes_is_read_back_with_its_places(data: dict[str, object], flow: bool) -> None:
    text = yaml.safe_dump(data, allow_unicode=True, default_flow_style=flow, sort_keys=False)
    root = good(text)
    assert plain_data(root) == data
    assert agrees(text, root)


@given(st.dictionaries(names, values, min_size=1, max_size=5), st.sampled_from([None, 2, "\t"]))
def test_json_is_yaml(data: dict[str, object], indent: int | str | None) -> None:
    assert plain_data(good(json.dumps(data, indent=indent, ensure_ascii=False))) == data


@pytest.mark.parametrize("text", ["yes", "no", "on", "off", "12:30", "010", "0o10", "1.10", "2026-03-01", "<1 psi"])
def test_a_scalar_is_the_text_that_was_typed(text: str) -> None:
    """YAML 1.2 core schema, 10.3.2: yes, no, on, off and 12:30 are text; in 1.1 they are booleans and 750."""
    assert good(f"a: {text}") == Map(
        [(Scalar("a", True, Place("f.yaml", 1, 1)), Scalar(text, True, Place("f.yaml", 1, 4)))],
        Place("f.yaml", 1, 1),
    )


@pytest.mark.parametrize("text", ["", "~", "null", "Null", "NULL"])
def test_nothing_is_null_unless_it_is_quoted(text: str) -> None:
    """YAML 1.2 core schema, 10.3.2."""
    root, quoted = good(f"a: {text}"), good(f'a: "{text}"')
    assert isinstance(root, Map) and isinstance(quoted, Map)
    (_, value), (_, other) = root.entries[0], quoted.entries[0]
    assert isinstance(value, Scalar) and value.null
    assert isinstance(other, Scalar) and not other.null


def test_a_line_separator_inside_a_text_is_no_line_break() -> None:
    """YAML 1.2, 5.4: only CR and LF break lines, so the numbers agree with every editor."""
    root = good("a: x\u2028y\x85z\nb: 1\n")
    assert isinstance(root, Map)
    assert plain_data(root) == {"a": "x\u2028y\x85z", "b": "1"}
    assert root.entries[1][0].place == Place("f.yaml", 2, 1)


def test_aliases_stand_for_what_they_name() -> None:
    assert plain_data(good("a: &x {b: 1}\nc: [*x, *x]\n")) == {"a": {"b": "1"}, "c": [{"b": "1"}] * 2}


def told(text: bytes | str) -> list[tuple[int, int, str]]:
    _, problems = read(text)
    return [(problem.place.line, problem.place.column, problem.found) for problem in problems]


def test_aliases_that_explode_are_stopped_at_a_place() -> None:
    lines = ["a0: &a0 [x, x, x, x, x, x, x, x, x, x]"]
    lines += [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 10)}]" for n in range(1, 12)]
    ((line, _, found),) = told("\n".join(lines))
    assert line == 6
    assert "aliases" in found


@pytest.mark.parametrize(
    ("text", "line", "column", "found"),
    [
        ("a: &x [1, *x]", 1, 11, "*x stands within itself"),
        ("a: *urgent", 1, 4, "*urgent is an alias in YAML, without anchor"),
        ("a: &co Smith", 1, 4, "&co is an anchor in YAML and no part of the text"),
        ("a: !joe x", 1, 4, "!joe is a tag in YAML"),
        (
            "a: !!python/object:os.system x",
            1,
            4,
            "tag:yaml.org,2002:python/object:os.system is a tag in YAML",
        ),
        ("a: !x [1]", 1, 4, "!x is a tag in YAML"),
        ("a: 1\n---\nb: 2", 2, 1, "a second document begins here"),
        ("a: 1\n? [x, y]\n: 2", 2, 3, "a list or mapping as a key"),
        ("a: {? : 2}", 1, 7, "a key is empty"),
        ("", 1, 0, "the file is empty"),
        (" \n\n", 1, 0, "the file is empty"),
        ("# nothing\n", 1, 0, "the file is empty"),
        ("---\n", 1, 0, "the file is empty"),
        ("a: " + "[" * 60, 1, 53, "more than 50 levels of lists and mappings"),
    ],
)
def test_what_is_refused_is_told_at_its_place(text: str, line: int, column: int, found: str) -> None:
    assert told(text)[-1] == (line, column, found)


def test_depth_counts_what_an_alias_stands_for() -> None:
    deep = "[" * 30 + "]" * 30
    assert told(f"a: &x {deep}\nb: {'[' * 25}*x{']' * 25}") == [(2, 29, "more than 50 levels of lists and mappings")]


@given(st.binary(max_size=60))
@example(b"\xff\xfe")
@example(b"\xef\xbb\xbf")
def test_any_bytes_give_a_root_or_a_problem(data: bytes) -> None:
    root, problems = read(data)
    assert root is not None or problems


@given(st.text(" \t\n-:,#'\"[]{}&*!|>%@?\\ab1\u2028\x85", max_size=80))
@example("{'\n?*\x85\t*`]}#\u2028%{}&é\x85\"&:é")
@example('a: "\nb: {')
def test_any_text_gives_problems_that_lie_in_it(text: str) -> None:
    root, problems = read(text)
    assert root is not None or problems
    lines = text.split("\n")
    for problem in problems:
        assert problem.place.line <= len(lines)
        assert problem.place.column <= len(lines[problem.place.line - 1]) + 1
        assert not any("\ue000" <= letter <= "\uf8ff" for letter in str(problem))


def test_a_list_inside_an_expression_does_not_end_it() -> None:
    problems: list[Problem] = []
    line = "change: [{rule: a, when: location is aerial and month in [11, 12, 1, 2], shortest: 6 in}]"
    root = load(line, "f", problems)
    assert not problems
    assert isinstance(root, Map)
    change = root.entries[0][1]
    assert isinstance(change, Seq)
    entry = change.items[0]
    assert isinstance(entry, Map)
    texts = {key.text: value.text for key, value in entry.entries if isinstance(value, Scalar)}
    assert texts == {"rule": "a", "when": "location is aerial and month in [11, 12, 1, 2]", "shortest": "6 in"}
    assert entry.entries[2][0].place.column == line.index("shortest") + 1

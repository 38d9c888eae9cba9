"""Reads a column file, with every mistake in it at its place: unknown keys, roles, steps, readings, units."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any, TypeVar, get_args

import msgspec

from ringcut.archive.columnchecks import check_columns
from ringcut.archive.columns import Column, ColumnFile, Label, NamedColumns, Role, Task
from ringcut.archive.lexicon import Lexicon, near_word
from ringcut.reading.decode import Hooks, decode
from ringcut.reading.problems import Place, Problem, Unreadable
from ringcut.reading.suggest import canonical
from ringcut.reading.yamlnodes import kind_of
from ringcut.reading.yamltext import Map, Node, Scalar, Seq, load

S = TypeVar("S", bound=msgspec.Struct)


def read_columns(source: Path | bytes, name: str, lexicon: Lexicon | None = None) -> ColumnFile:
    """Read a column file; with a lexicon its steps and readings are looked up too. Raises Unreadable with all
    problems."""
    try:
        data = source if isinstance(source, bytes) else source.read_bytes()
    except OSError as error:
        raise Unreadable([Problem(Place(name), f"cannot be opened: {error.strerror or error}")]) from error
    problems: list[Problem] = []
    node = load(data, name, problems)
    if node is None:
        raise Unreadable(problems or [Problem(Place(name), "the file is empty", "a column file")])
    spec = _column_file(node, problems)
    if spec is not None:
        check_columns(spec, node, _tasks(node), lexicon, problems)
    if problems or spec is None:
        raise Unreadable(problems or [Problem(Place(name), "this is no column file")])
    return spec


def each_of(paths: Sequence[Path], lexicon: Lexicon, problems: list[Problem]) -> list[NamedColumns]:
    """The column files of several contractors, by their names as given; what is wrong in any is told."""
    found = []
    for number, path in enumerate(paths):
        if path in paths[:number]:
            problems.append(Problem(Place(str(path)), "this column file is given twice", "each of them once"))
            continue
        try:
            found.append(NamedColumns(str(path), read_columns(path, str(path), lexicon)))
        except Unreadable as error:
            problems += error.problems
    return found


# headings and the crew's words are no names: their letters are kept as they stand


def _verbatim(node: Node, kind: type[S], kept: dict[str, Any], problems: list[Problem]) -> S | None:
    """A struct of which the mappings named in ``kept`` keep their keys letter by letter; what is wrong in it is left
    out, so that the rest is looked at too."""
    hooks = {each: hook for each, hook in _HOOKS.items() if each is not kind}
    if not isinstance(node, Map):
        return decode(node, kind, problems, hooks)
    rest = [(key, value) for key, value in node.entries if canonical(key.text) not in kept]
    made = decode(Map(rest, node.place, node.flow), kind, problems, hooks, partial=True)
    found = {}
    for key, value in node.entries:
        inside = kept.get(canonical(key.text))
        if inside is None:
            continue
        if not isinstance(value, Map):
            problems.append(Problem(value.place, f"found {kind_of(value)}", "a mapping (key: value)"))
            continue
        read: dict[str, Any] = {name.text: decode(each, inside, problems, _HOOKS) for name, each in value.entries}
        name = canonical(key.text).replace("-", "_")
        found[name] = {said: each for said, each in read.items() if each is not None}
    return None if made is None else msgspec.structs.replace(made, **found)


_KEPT: dict[str, Any] = {
    "columns": Column,
    "facts-block": Label,
    "job": str,
    "sides": tuple[str, ...],
    "people": str,
    "readings": tuple[str, ...],
    "units": str,
}


def _column_file(node: Node, problems: list[Problem]) -> ColumnFile | None:
    return _verbatim(node, ColumnFile, _KEPT, problems)


def _column(node: Node, problems: list[Problem]) -> Column | None:
    """A mapping, or in short a role or ``step.reading``."""
    if not isinstance(node, Scalar):
        return _verbatim(node, Column, {"words": str, "units": str}, problems)
    role = canonical(node.text)
    if "." in node.text:
        return Column(reading=(node.text,))
    if role and role in get_args(Role):
        return Column(holds=msgspec.convert(role, Role))
    roles = [each for each in get_args(Role) if each not in ("", "reading", "step")]
    near = near_word(role, roles)
    hint = f"did you mean {near}?" if near else ""
    problems.append(Problem(node.place, f"{node.text!r} is nothing a column holds", "one of " + ", ".join(roles), hint))
    return None


def _task(node: Node, problems: list[Problem]) -> Task | None:
    return _verbatim(node, Task, {"readings": str}, problems)


def _tasks(node: Node) -> list[tuple[int, Task]]:
    """The tasks that can be read, each with its number in the file."""
    entries = node.entries if isinstance(node, Map) else []
    items = next((value for key, value in entries if canonical(key.text) == "tasks" and isinstance(value, Seq)), None)
    found = [(number, _task(item, [])) for number, item in enumerate(items.items if items else ())]
    return [(number, task) for number, task in found if task is not None]


def _label(node: Node, problems: list[Problem]) -> Label | None:
    """A mapping, or in short the name of the fact."""
    if isinstance(node, Scalar) and not node.null:
        return Label(canonical(node.text))
    return _verbatim(node, Label, {"words": str}, problems)


_HOOKS: Hooks = {Column: _column, Label: _label, Task: _task}

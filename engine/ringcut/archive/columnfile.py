"""Reads a column file, with every mistake in it at its place: unknown keys, roles, steps, readings, units."""

from __future__ import annotations

from pathlib import Path
from typing import Any, TypeVar, get_args

import msgspec

from ringcut.archive.columns import Column, ColumnFile, Role, Task, fold
from ringcut.archive.lexicon import Lexicon, near_word
from ringcut.archive.readingcells import target_of
from ringcut.archive.templates import places
from ringcut.reading.decode import Hooks, decode, decode_fields
from ringcut.reading.measures import kinds_of_unit
from ringcut.reading.problems import Place, Problem, Unreadable
from ringcut.reading.suggest import canonical
from ringcut.reading.yamlnodes import kind_of
from ringcut.reading.yamltext import Map, Node, Scalar, Seq, load

S = TypeVar("S", bound=msgspec.Struct)
_MOST_PLACES = 4


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
    if isinstance(spec, ColumnFile):
        _check_names(spec, node, problems)
        if lexicon:
            _check_words(spec, node, lexicon, problems)
    if problems or not isinstance(spec, ColumnFile):
        raise Unreadable(problems or [Problem(Place(name), "this is no column file")])
    return spec


# headings and the crew's words are no names: their letters are kept as they stand


def _verbatim(node: Node, kind: type[S], kept: dict[str, type], problems: list[Problem]) -> S | None:
    """A struct of which the mappings named in ``kept`` keep their keys letter by letter."""
    if not isinstance(node, Map):
        return decode_fields(node, kind, problems, _HOOKS)
    rest = [(key, value) for key, value in node.entries if canonical(key.text) not in kept]
    made = decode_fields(Map(rest, node.place, node.flow), kind, problems, _HOOKS)
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
    "facts-block": str,
    "job": str,
    "sides": tuple[str, ...],
    "people": str,
    "readings": str,
    "units": str,
}


def _column_file(node: Node, problems: list[Problem]) -> ColumnFile | None:
    return _verbatim(node, ColumnFile, _KEPT, problems)


def _column(node: Node, problems: list[Problem]) -> Column | None:
    """A mapping, or in short a role or ``step.reading``."""
    if not isinstance(node, Scalar):
        return _verbatim(node, Column, {"words": str}, problems)
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


_HOOKS: Hooks = {Column: _column, Task: _task}


# what only the file as a whole, or the vocabulary, can tell


def _at(node: Node, *path: str | int) -> Place:
    """The place of a value deep in the file; as near as can be found."""
    for part in path:
        found: Any = None
        if isinstance(node, Map) and isinstance(part, str):
            found = next(
                (value for key, value in node.entries if key.text == part or canonical(key.text) == part),
                None,
            )
        elif isinstance(node, Seq) and isinstance(part, int) and part < len(node.items):
            found = node.items[part]
        if found is None:
            break
        node = found
    return node.place


def _check_names(spec: ColumnFile, node: Node, problems: list[Problem]) -> None:
    headings = {fold(name) for name in spec.columns}
    for number, name in enumerate(spec.fill_down):
        if fold(name) not in headings:
            problems.append(Problem(_at(node, "fill-down", number), f"{name} is none of the columns"))
    roles = {column.role for column in spec.columns.values()}
    needs = {"long": {"reading-name", "value"}, "ticks": {"step"}}.get(spec.shape, {"task"})
    if needs - roles:
        found = f"no column holds {', '.join(sorted(needs - roles))}"
        problems.append(Problem(_at(node, "columns"), found, f"shape {spec.shape} needs it"))
    for name, column in spec.columns.items():
        if column.role == "value" and spec.shape != "long":
            found = f"{name} holds values, and shape {spec.shape} does not say of which readings"
            hint = "write {reading: step.reading}, or shape: long with a column that holds reading-name"
            problems.append(Problem(_at(node, "columns", name), found, "", hint))
        unit = column.unit
        if unit and not kinds_of_unit(spec.units.get(unit, unit)):
            problems.append(Problem(_at(node, "columns", name, "unit"), f"{unit} is not a unit known here"))
    for number, task in enumerate(spec.tasks):
        for saying in (*task.say, task.remarks):
            named = places(saying)
            if len(named) > _MOST_PLACES or len(set(named)) < len(named):
                found = f"{saying!r} has {len(named)} places"
                problems.append(
                    Problem(
                        _at(node, "tasks", number),
                        found,
                        f"at most {_MOST_PLACES}, each with a name of its own",
                    )
                )


def _check_words(spec: ColumnFile, node: Node, lexicon: Lexicon, problems: list[Problem]) -> None:
    for name, column in spec.columns.items():
        targets = [*column.reading, *([column.otherwise] if column.otherwise not in ("", "note") else [])]
        for target in targets:
            _check_target(target, _at(node, "columns", name), lexicon, problems)
        for step in column.step:
            _check_step(step, _at(node, "columns", name), lexicon, problems)
        if column.fact and lexicon.fact(column.fact) is None:
            problems.append(Problem(_at(node, "columns", name, "fact"), f"{column.fact}: no such job fact"))
    for said, target in spec.readings.items():
        _check_target(target, _at(node, "readings", said), lexicon, problems)
    for number, task in enumerate(spec.tasks):
        place = _at(node, "tasks", number)
        good = [step for step in task.do if _check_step(step, place, lexicon, problems)]
        for reading in task.readings:
            at = _at(node, "tasks", number, "readings", reading)
            if "." in reading:
                _check_target(reading, at, lexicon, problems)
            elif good and not any(lexicon.word(canonical(step), canonical(reading)) for step in good):
                problems.append(Problem(at, f"{', '.join(good)} has no reading {reading}"))


def _check_step(step: str, place: Place, lexicon: Lexicon, problems: list[Problem]) -> bool:
    if lexicon.step(step):
        return True
    near = lexicon.near_step(step)
    problems.append(Problem(place, f"{step}: no such step", "", f"did you mean {near}?" if near else ""))
    return False


def _check_target(target: str, place: Place, lexicon: Lexicon, problems: list[Problem]) -> None:
    step, names = target_of(target)
    if not names:
        problems.append(Problem(place, f"{target!r} names no reading", "step.reading"))
    elif _check_step(step, place, lexicon, problems):
        for name in names:
            if lexicon.word(step, name) is None:
                with_it = lexicon.steps_with(name)
                hint = f"it belongs to {' or '.join(with_it[:3])}" if with_it else ""
                problems.append(Problem(place, f"{step} has no reading {name}", "", hint))

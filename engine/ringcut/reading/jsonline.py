"""A JSON text of one line as nodes: numbers with their digits as typed, repeated keys told.

The standard library's reader is used because it hands over numbers and keys as they stand; a faster one would
round 1.10 to 1.1 and keep only the last of two equal keys.
"""

from __future__ import annotations

import json
from typing import Any

from ringcut.reading.problems import Place, Problem
from ringcut.reading.suggest import canonical
from ringcut.reading.textbytes import text_of
from ringcut.reading.yamlbuild import DEEPEST
from ringcut.reading.yamlnodes import Map, Node, Scalar, Seq

__all__ = ["load_json"]


class _Object(list[tuple[str, Any]]):
    """The pairs of an object, apart from the items of an array."""


class _Number(str):
    """A number as typed, apart from a text in quotes."""

    __slots__ = ()


def load_json(data: bytes, place: Place, problems: list[Problem]) -> Node | None:
    """The value of the line, every node at ``place``; None and a problem where it is not JSON."""
    found: list[Problem] = []
    text = text_of(data, place.file, found)
    problems.extend([Problem(place, wrong.found, wrong.expected, wrong.hint) for wrong in found])
    if text is None:
        return None
    try:
        value = json.loads(
            text,
            object_pairs_hook=_Object,
            parse_int=_Number,
            parse_float=_Number,
            parse_constant=_Number,
        )
        return _node(value, place, problems, DEEPEST)
    except json.JSONDecodeError as wrong:
        here = Place(place.file, place.line + wrong.lineno - 1, wrong.colno)
        problems.append(Problem(here, f"not JSON ({wrong.msg})", "one JSON object a line"))
    except RecursionError:
        problems.append(Problem(place, f"more than {DEEPEST} levels of lists and objects", "", "write it flatter"))
    return None


def _node(value: Any, place: Place, problems: list[Problem], levels: int) -> Node:
    if isinstance(value, str):
        return Scalar(value, isinstance(value, _Number), place)
    if value is None or isinstance(value, bool):
        return Scalar("null" if value is None else str(value).lower(), True, place)
    if not levels:
        raise RecursionError
    if not isinstance(value, _Object):
        return Seq([_node(item, place, problems, levels - 1) for item in value], place)
    seen: set[str] = set()
    entries: list[tuple[Scalar, Node]] = []
    for key, inside in value:
        if canonical(key) in seen:
            problems.append(Problem(place, f"{key} stands in one object twice", "each key once"))
            continue
        seen.add(canonical(key))
        entries.append((Scalar(key, False, place), _node(inside, place, problems, levels - 1)))
    return Map(entries, place)

"""The names an expression may use, and an expression that means nothing."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

import msgspec

from ringcut.language import nodes as n
from ringcut.language.ir import Step, Word
from ringcut.language.ruletext import TableText
from ringcut.reading.problems import Place

Tree = tuple[Any, ...]
"""An untyped expression (see ``grammar``): (label, column, parts...)."""


class Wrong(Exception):
    """An expression that means nothing, at a column of its text."""

    def __init__(self, column: int, found: str, expected: str = "", hint: str = "", place: Place | None = None) -> None:
        self.column, self.found, self.expected, self.hint = column, found, expected, hint
        self.place = place
        super().__init__(found)


class Scope(msgspec.Struct):
    """The names an expression may use. ``own`` are the readings of the step a guard belongs to."""

    facts: Mapping[str, Word]
    steps: Mapping[str, Step] = {}
    conditions: Iterable[str] = ()
    quantities: Mapping[str, Callable[[], tuple[n.Node, str]]] = {}
    tables: Mapping[str, TableText] = {}
    values: Mapping[str, str] = {}
    """Value name: its text."""
    own: Step | None = None
    value_places: Mapping[str, Place] = {}
    used: dict[str, str] = {}
    """Filled in: value name -> the kind it was used as."""


def called(kind: str) -> str:
    """A kind as a message names it."""
    words = kind.replace("-", " ")
    if kind.startswith("?"):
        return "a product without a name"
    return f"an {words}" if words[:1] in "aeiou" else f"a {words}"

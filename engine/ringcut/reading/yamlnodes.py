"""What a YAML file is made of: scalars, sequences and mappings, each with its place.

A scalar is text and nothing else. What it means (a number, a yes, a time) is decided by the type that is
expected where it stands, so ``no``, ``12:30`` and ``010`` stay what was typed.
"""

from __future__ import annotations

import msgspec

from ringcut.reading.problems import NOWHERE, Place

__all__ = ["Map", "Node", "Scalar", "Seq", "kind_of"]

_NULLS = frozenset(["", "~", "null", "Null", "NULL"])


class Scalar(msgspec.Struct):
    """A text; ``plain`` where it stood without quotes."""

    text: str
    plain: bool = True
    place: Place = NOWHERE

    @property
    def null(self) -> bool:
        """Nothing was written, or YAML's own word for nothing (YAML 1.2 core schema, 10.2.1)."""
        return self.plain and self.text in _NULLS


class Seq(msgspec.Struct):
    """A list; ``flow`` where it stood in brackets."""

    items: list[Scalar | Seq | Map]
    place: Place = NOWHERE
    flow: bool = False


class Map(msgspec.Struct):
    """A mapping, entries in the order of the file; ``flow`` where it stood in braces."""

    entries: list[tuple[Scalar, Scalar | Seq | Map]]
    place: Place = NOWHERE
    flow: bool = False


Node = Scalar | Seq | Map


def kind_of(node: Node) -> str:
    """What was found, in words."""
    if isinstance(node, Scalar):
        return "nothing" if node.null else "a text"
    return "a list" if isinstance(node, Seq) else "a mapping"

"""YAML nodes into typed structs: forgiving about the spelling of names, strict about everything else.

The type says what is expected: the same ``no`` is a word where a text is expected and false where a yes or
no is. All problems are collected, each at its place; nothing is converted that is not what was asked for.
"""

from __future__ import annotations

import re
import types
from collections.abc import Callable, Mapping
from functools import lru_cache
from typing import Any, Literal, TypeVar, Union, get_args, get_origin

import msgspec
from msgspec.structs import FieldInfo

from ringcut.reading.phrase import Phrase
from ringcut.reading.problems import Place, Problem
from ringcut.reading.suggest import canonical, near
from ringcut.reading.yamlnodes import Map, Node, Scalar, Seq, kind_of

__all__ = ["Hooks", "decode", "decode_fields", "plain_data"]

T = TypeVar("T")
Hooks = Mapping[type, Callable[[Node, list[Problem]], object]]
"""For a type with a shape of its own: what reads its node. It appends its problems and returns None then."""

_NO_HOOKS: Hooks = {}
_BAD: Any = object()
_YES_NO = {"yes": True, "true": True, "no": False, "false": False}
_WHOLE = re.compile(r"[-+]?\d{1,18}")
_NUMBER = re.compile(r"[-+]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][-+]?\d+)?")
_SHOWN = 60


def decode(
    node: Node,
    wanted: type[T],
    problems: list[Problem],
    hooks: Hooks = _NO_HOOKS,
    synonyms: Mapping[str, str] = {},
    partial: bool = False,
) -> T | None:
    """The node as a ``wanted``, or None where anything in it is wrong; every problem is appended.

    With ``partial`` what is wrong is left out where it may be, so that the rest can be looked at too.

    ``wanted``: a msgspec Struct, tuple[X, ...], dict[str, X] (keys in kebab-case), Literal, bool, str, int,
    Phrase, Node, Any (:func:`plain_data`) or X | None. ``synonyms`` are words people write for a key. Raises
    TypeError for any other type.
    """
    found = _Decoder(problems, hooks, synonyms, partial).read(node, wanted)
    return None if found is _BAD else found


def decode_fields(
    node: Node,
    wanted: type[T],
    problems: list[Problem],
    hooks: Hooks = _NO_HOOKS,
    synonyms: Mapping[str, str] = {},
) -> T | None:
    """As :func:`decode` for a struct, without the hook for the struct itself: for use inside that hook."""
    found = _Decoder(problems, hooks, synonyms).fields(node, wanted)
    return None if found is _BAD else found


def plain_data(node: Node) -> Any:
    """The node as dict, list and str; a plain null is None. Places are lost."""
    if isinstance(node, Scalar):
        return None if node.null else node.text
    if isinstance(node, Seq):
        return [plain_data(item) for item in node.items]
    return {key.text: plain_data(value) for key, value in node.entries}


@lru_cache(maxsize=512)
def _fields(wanted: type[msgspec.Struct]) -> tuple[FieldInfo, ...]:
    return msgspec.structs.fields(wanted)


class _Decoder:
    def __init__(
        self, problems: list[Problem], hooks: Hooks, synonyms: Mapping[str, str], partial: bool = False
    ) -> None:
        self.problems = problems
        self.partial = partial
        self.hooks = hooks
        self.synonyms = synonyms

    def read(self, node: Node, wanted: Any) -> Any:
        if wanted is Any:
            return plain_data(node)
        if wanted == Node or wanted == Node | None:
            return node
        origin = get_origin(wanted)
        if origin in (Union, types.UnionType):
            return self._optional(node, wanted)
        if origin is tuple:
            return self._tuple(node, get_args(wanted))
        if origin is dict:
            return self._dict(node, get_args(wanted)[1])
        if origin is Literal:
            return self._choice(node, get_args(wanted))
        if wanted in self.hooks:
            return self._hooked(node, wanted)
        if wanted in _SCALARS:
            return self._scalar(node, wanted)
        if isinstance(wanted, type) and issubclass(wanted, msgspec.Struct):
            return self.fields(node, wanted)
        raise TypeError(f"{wanted} cannot be read from YAML")

    def fields(self, node: Node, wanted: Any) -> Any:
        """A struct from a mapping: known keys in any spelling, required ones there, places filled in."""
        if not isinstance(node, Map):
            return self._refuse(node, "a mapping (key: value)")
        table = {field.encode_name: field for field in _fields(wanted) if field.type is not Place}
        before = len(self.problems)
        values: dict[str, Any] = {}
        meant: set[str] = set()
        for key, value in node.entries:
            field = table.get(canonical(key.text))
            if field is None:
                meant.add(self._unknown(key, table))
            else:
                values[field.name] = self.read(value, field.type)
        for name, field in table.items():
            if field.required and field.name not in values and name not in meant:
                told = f"the key {name} is missing"
                self.problems.append(Problem(node.place, told, f"{name}: and its value"))
        if self.partial:
            values = {name: value for name, value in values.items() if value is not _BAD}
        if len(self.problems) > before and not self._usable(values, table):
            return _BAD
        for field in _fields(wanted):
            if field.type is Place:
                values[field.name] = node.place
        return wanted(**values)

    def _usable(self, values: Mapping[str, Any], table: Mapping[str, FieldInfo]) -> bool:
        return self.partial and all(field.name in values for field in table.values() if field.required)

    def _unknown(self, key: Scalar, known: Mapping[str, object]) -> str:
        """Tell of a key that is not known; the name that was meant, or nothing."""
        words = {word: target for word, target in self.synonyms.items() if target in known}
        guess = near(key.text, known, words)
        if guess:
            self.problems.append(
                Problem(key.place, f"{_clip(key.text)} is not a key here", "", f"did you mean {guess}?")
            )
            return guess
        names = ", ".join(known)
        self.problems.append(Problem(key.place, f"{_clip(key.text)} is not a key here", f"one of {names}"))
        return ""

    def _hooked(self, node: Node, wanted: Any) -> Any:
        before = len(self.problems)
        found = self.hooks[wanted](node, self.problems)
        return _BAD if found is None or len(self.problems) > before and not self.partial else found

    def _optional(self, node: Node, wanted: Any) -> Any:
        options = [option for option in get_args(wanted) if option is not type(None)]
        if len(options) > 1 or len(options) == len(get_args(wanted)):
            raise TypeError(f"{wanted} cannot be read from YAML")
        if isinstance(node, Scalar) and node.null and node.text:
            return None
        return self.read(node, options[0])

    def _tuple(self, node: Node, args: tuple[Any, ...]) -> Any:
        if len(args) != 2 or args[1] is not Ellipsis:
            raise TypeError(f"tuple{list(args)} cannot be read from YAML")
        if isinstance(node, Scalar) and not node.null:
            items: list[Node] = [node]
        elif isinstance(node, Seq):
            items = node.items
        else:
            return self._refuse(node, "a list")
        found = tuple([self.read(item, args[0]) for item in items])
        if self.partial:
            found = tuple(item for item in found if item is not _BAD)
        return _BAD if any(item is _BAD for item in found) else found

    def _dict(self, node: Node, inside: Any) -> Any:
        if not isinstance(node, Map):
            return self._refuse(node, "a mapping (key: value)")
        found = {canonical(key.text): self.read(value, inside) for key, value in node.entries}
        if self.partial:
            found = {key: value for key, value in found.items() if value is not _BAD}
        return _BAD if any(value is _BAD for value in found.values()) else found

    def _choice(self, node: Node, choices: tuple[Any, ...]) -> Any:
        words = [choice for choice in choices if choice]
        expected = f"one of {', '.join(words)}"
        if not isinstance(node, Scalar) or node.null:
            return self._refuse(node, expected)
        for choice in words:
            if canonical(choice) == canonical(node.text):
                return choice
        guess = near(node.text, words)
        hint = f"did you mean {guess}?" if guess else ""
        self.problems.append(Problem(node.place, f"{_clip(node.text)}", expected, hint))
        return _BAD

    def _scalar(self, node: Node, wanted: type) -> Any:
        expected, read = _SCALARS[wanted]
        if not isinstance(node, Scalar) or node.null:
            return self._refuse(node, expected)
        found, hint = read(node)
        if found is None:
            self.problems.append(Problem(node.place, f"found {_clip(node.text)}", expected, hint))
            return _BAD
        return found

    def _refuse(self, node: Node, expected: str) -> Any:
        said = kind_of(node)
        empty = said == "nothing"
        hint = "write it, or delete the key" if empty else ""
        self.problems.append(Problem(node.place, "empty" if empty else f"found {said}", expected, hint))
        return _BAD


def _clip(text: str) -> str:
    shown = " ".join(text.split())
    return shown if len(shown) <= _SHOWN else f"{shown[: _SHOWN - 3]}..."


def _text(node: Scalar) -> tuple[str | None, str]:
    """A text, unless other readers of YAML would take it for a number that is written otherwise."""
    if node.plain and _NUMBER.fullmatch(node.text) and len(node.text) < 18:
        number = f"{float(node.text):.15g}"
        if number != node.text:
            return None, f'would be the number {number}. Write "{node.text}"'
    return node.text, ""


def _yes_no(node: Scalar) -> tuple[bool | None, str]:
    return _YES_NO.get(node.text.strip().lower()), ""


def _whole(node: Scalar) -> tuple[int | None, str]:
    return (int(node.text), "") if _WHOLE.fullmatch(node.text) else (None, "")


def _phrase(node: Scalar) -> tuple[Phrase | None, str]:
    return Phrase(node.text, node.place, node.plain), ""


_SCALARS: dict[type, tuple[str, Callable[[Scalar], tuple[Any, str]]]] = {
    str: ("a text", _text),
    bool: ("yes or no", _yes_no),
    int: ("a whole number", _whole),
    Phrase: ("a text", _phrase),
}

"""JSON Schemas of the file formats, made from the typed models, so that an editor completes and checks while typing.

A schema says the shape only: which keys, which of them must be there, what kind of value. Names of rules, steps and
readings, measures and dimensions are for the reader. The models' own sentences are the descriptions.
"""

from __future__ import annotations

import ast
import inspect
import textwrap
import types
from collections.abc import Callable, Mapping
from functools import lru_cache
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints

import msgspec

from ringcut.reading.phrase import Phrase
from ringcut.reading.problems import Place

DRAFT = "https://json-schema.org/draft/2020-12/schema"
Schema = dict[str, Any]
Own = Mapping[type, Callable[["Maker"], Schema]]
"""For a type with a spelling of its own: its schema."""

SCALAR: Schema = {"type": ["string", "number", "boolean"]}
YES_NO: Schema = {"anyOf": [{"type": "boolean"}, {"enum": ["yes", "no", "true", "false"]}]}


class Maker:
    """Makes one schema; structs met on the way become its definitions. ``strict``: as JSON is written by us."""

    def __init__(self, own: Own | None = None, strict: bool = False) -> None:
        self.own = own or {}
        self.strict = strict
        self.definitions: dict[str, Schema] = {}

    def document(self, kind: type, title: str) -> Schema:
        """The schema of a file that holds one ``kind``."""
        root = self.struct(kind)
        return {"$schema": DRAFT, "title": title, **root, "$defs": dict(sorted(self.definitions.items()))}

    def of(self, kind: Any) -> Schema:
        """The schema of any type that the decoder reads."""
        origin, args = get_origin(kind), get_args(kind)
        if kind is Any:
            return {}
        if origin in (Union, types.UnionType):
            return self._either(args)
        if origin is tuple:
            return self._list(args[0])
        if origin is dict:
            return {"type": "object", "additionalProperties": self.of(args[1])}
        if origin is Literal:
            words = [choice for choice in args if choice or self.strict]
            # what is all digits is a number to an editor
            return {"enum": words if self.strict else [*words, *(int(word) for word in words if word.isdigit())]}
        if kind in self.own:
            return self._defined(kind, lambda: self.own[kind](self))
        if isinstance(kind, type) and issubclass(kind, msgspec.Struct) and kind is not Phrase:
            return self._defined(kind, lambda: self.struct(kind))
        return self._scalar(kind)

    def _either(self, kinds: tuple[Any, ...]) -> Schema:
        """One of several; in what people write, nothing is written as nothing."""
        found = [self.of(kind) for kind in kinds if kind is not type(None)]
        if self.strict and type(None) in kinds:
            found.append({"type": "null"})
        return found[0] if len(found) == 1 else {"anyOf": found}

    def _scalar(self, kind: type) -> Schema:
        if self.strict:
            return {"type": {bool: "boolean", int: "integer", float: "number"}.get(kind, "string")}
        return {bool: YES_NO, int: {"type": "integer"}}.get(kind, SCALAR)

    def _list(self, inside: Any) -> Schema:
        """A list; where a file may have one value instead of a list of one, that too."""
        found = self.of(inside)
        several: Schema = {"type": "array", "items": found}
        single = inside in (str, Phrase) or get_origin(inside) is Literal
        return several if self.strict or not single else {"anyOf": [found, several]}

    def _defined(self, kind: type, make: Callable[[], Schema]) -> Schema:
        name = kind.__name__.removesuffix("Text")
        if name not in self.definitions:
            self.definitions[name] = {}
            self.definitions[name] = make()
        return {"$ref": f"#/$defs/{name}"}

    def struct(self, kind: type) -> Schema:
        """A mapping with the keys of a struct and no others."""
        hints = get_type_hints(kind)
        said = sentences(kind)
        properties: dict[str, Schema] = {}
        required: list[str] = []
        omits = issubclass(kind, msgspec.Struct) and kind.__struct_config__.omit_defaults
        for field in msgspec.structs.fields(kind):
            if not self.strict and field.type is Place:
                continue
            described = {"description": said[field.name]} if field.name in said else {}
            properties[field.encode_name] = {**self.of(hints[field.name]), **described}
            if field.required or (self.strict and not omits):
                required.append(field.encode_name)
        doc = " ".join((kind.__doc__ or "").split())
        return {
            "type": "object", "description": doc, "properties": properties, "required": sorted(required),
            "additionalProperties": False,
        }  # fmt: skip


@lru_cache(maxsize=256)
def sentences(kind: type) -> dict[str, str]:
    """The sentence that stands below each field of a struct, its own and those of the structs it extends."""
    found: dict[str, str] = {}
    for each in reversed(kind.__mro__):
        if not issubclass(each, msgspec.Struct) or each is msgspec.Struct:
            continue
        body = ast.parse(textwrap.dedent(inspect.getsource(each))).body[0]
        assert isinstance(body, ast.ClassDef)
        for one, two in zip(body.body, body.body[1:], strict=False):
            said = _text(two)
            if said and isinstance(one, ast.AnnAssign) and isinstance(one.target, ast.Name):
                found[one.target.id] = said
    return found


def _text(node: ast.stmt) -> str:
    """A statement that is a text and nothing else, in one line."""
    if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant) and isinstance(node.value.value, str):
        return " ".join(node.value.value.replace("``", "").split())
    return ""

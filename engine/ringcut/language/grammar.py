"""The grammar of rule expressions (LALR, one token of look-ahead) and the untyped tree that it gives.

A tree is a tuple ``(label, column, *parts)``; columns count from 1 in the expression's text. ``5-1/2 in`` is one
measure and ``a-b`` one name: a minus has a blank on both sides.
"""

from __future__ import annotations

from functools import cache
from typing import Any

GRAMMAR = r"""
start: expr
?expr: "if" or_ "then" expr -> ifthen
     | or_
?or_: and_ ("or" and_)*
?and_: not_ ("and" not_)*
?not_: "not" not_ -> negation
     | cmp
?cmp: sum
    | sum REL sum -> compare
    | sum REL sum REL sum -> chain
    | sum "is" _word -> is_
    | sum "is" "not" _word -> is_not
    | sum "is" "one" "of" list_ -> is_
    | sum "is" "not" "one" "of" list_ -> is_not
    | sum "in" list_ -> is_
    | sum "has" _word -> has
?sum: term (ADD term)*
?term: factor (MUL factor)*
?factor: "-" factor -> negative
       | atom
?atom: MEASURE -> measure
     | NUMBER -> number
     | NAME -> name
     | NAME "." NAME -> reading
     | NAME "(" sum ("," sum)* ")" -> call
     | NAME "(" sum ("," sum)* ")" "." NAME -> cell
     | "(" expr ")"
list_: "[" _word ("," _word)* "]"
_word: NAME | MEASURE | NUMBER
REL: "<=" | ">=" | "!=" | "<" | ">" | "="
ADD: /(?<=\s)[+-](?=\s)/
MUL: "*" | "/"
MEASURE.3: /(?:\d+'\s?\d+(?:-\d+\/\d+)?"|\d+ ft \d+(?:-\d+\/\d+)? in\b|(?:\d+-)?\d+\/\d+\s?UNIT|\d+(?:\.\d+)?\s?UNIT)/
NUMBER.2: /\d+(?:\.\d+)?(?![\w-])/
NAME: /[A-Za-z][A-Za-z0-9]*(?:-[A-Za-z0-9]+)*/
%ignore /\s+/
"""

UNIT = (
    r"(?:%LFL|%LEL|%|o'clock|megohm-mile|megohm-km|megohm|kilohm|ohm/kft|ohm/km|ohm/mile|ohm|s/ft|s/m|degF|degC|deg|"
    r"psia|psig|psi|kPa|mbar|bar|Pa|ppm|AWG|mm2|min|mile|miles|mm|cm|km|kV|mV|V|ft3/min|ft3|ft|in|hours?|days?|"
    r"[hsm])(?![\w-])"
)


class Slip(Exception):
    """The text is no expression: ``column`` says where, counted from 1."""

    def __init__(self, column: int, found: str, expected: str = "") -> None:
        self.column, self.found, self.expected = column, found, expected
        super().__init__(found)


@cache
def _parser() -> Any:
    from lark import Lark

    return Lark(GRAMMAR.replace("UNIT", UNIT.replace("/", r"\/")), parser="lalr", propagate_positions=True)


@cache
def parse(text: str) -> tuple[Any, ...]:
    """The untyped tree of an expression; :class:`Slip` where it is none."""
    from lark.exceptions import UnexpectedCharacters, UnexpectedInput

    try:
        tree = _parser().parse(text)
    except UnexpectedCharacters as error:
        raise Slip(error.column, f"«{text[error.column - 1 :][:20]}»", "a name, a measure or an operator") from None
    except UnexpectedInput as error:
        column = getattr(error, "column", 0)
        ended = getattr(getattr(error, "token", None), "type", "") == "$END"
        if ended or not isinstance(column, int) or column < 1:
            column = len(text) + 1
        rest = text[column - 1 :][:20]
        raise Slip(
            column, f"«{rest}»" if rest else "the end", "something else here: this is not an expression"
        ) from None
    return _tuple(tree.children[0])


def _tuple(node: Any) -> tuple[Any, ...]:
    from lark import Token

    if isinstance(node, Token):
        return ("token", node.column, str(node), node.type)
    column = getattr(node.meta, "column", 1)
    return (str(node.data), column, *(_tuple(child) for child in node.children))

"""From the text of an expression to its typed form: names looked up, kinds checked, literals given a kind.

A literal takes the kind of what it is compared or added with. What does not fit is a :class:`Problem` at its line and
column: an error in the rulebook, never a verdict.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from ringcut.language import nodes as n
from ringcut.language.grammar import Slip, parse
from ringcut.language.ir import Word
from ringcut.language.numbers import FUNCTIONS, NumberTyping
from ringcut.language.scope import Scope, Tree, Wrong, called
from ringcut.reading.phrase import Phrase
from ringcut.reading.problems import Place, Problem
from ringcut.reading.suggest import canonical, near

__all__ = ["FUNCTIONS", "Scope", "Wrong", "typed", "typed_number"]

T = TypeVar("T")
NUMERIC_ALIKE = {("ratio", "count"), ("count", "ratio")}


def typed(phrase: Phrase, scope: Scope, problems: list[Problem]) -> n.Node | None:
    """The typed form of a yes-or-no expression; None where ``problems`` got a reason why not."""
    return _guarded(phrase, problems, lambda tree: _Typing(scope).truth(tree))


def typed_number(phrase: Phrase, scope: Scope, problems: list[Problem], want: str = "") -> tuple[n.Node, str] | None:
    """The typed form of a number expression and its kind; None where ``problems`` got a reason why not."""

    def read(tree: Tree) -> tuple[n.Node, str]:
        node, kind = _Typing(scope).number(tree, want or None)
        if not kind:
            raise Wrong(1, f"«{phrase.text}»: nothing says what kind of measure this is")
        return node, kind

    return _guarded(phrase, problems, read)


def _guarded(phrase: Phrase, problems: list[Problem], read: Callable[[Tree], T]) -> T | None:
    try:
        return read(parse(phrase.text))
    except (Slip, Wrong) as error:
        place = phrase.place
        column = place.column + error.column - 1 if phrase.plain and place.column else place.column
        hint = error.hint if isinstance(error, Wrong) else ""
        told = Place(place.file, place.line, column)
        if isinstance(error, Wrong) and error.place is not None:
            told = error.place
        problems.append(Problem(told, error.found, error.expected, hint))
        return None


class _Typing(NumberTyping):
    """One expression being typed; raises :class:`Wrong` at the first thing that does not fit."""

    def truth(self, tree: Tree) -> n.Node:
        label, column, *parts = tree
        match label:
            case "and_":
                return n.And(tuple(self.truth(part) for part in parts))
            case "or_":
                return n.Or(tuple(self.truth(part) for part in parts))
            case "negation":
                return n.Not(self.truth(parts[0]))
            case "ifthen":
                return n.Or((n.Not(self.truth(parts[0])), self.truth(parts[1])))
            case "compare":
                return self._compare(column, parts[0], parts[1][2], parts[2])
            case "chain":
                first, one, middle, two, last = parts
                if one[2][0] != "<" or two[2][0] != "<":
                    raise Wrong(two[1], f"«{one[2]} .. {two[2]}»", "both signs of a chain are < or <=")
                return n.And(
                    (
                        self._compare(column, first, one[2], middle),
                        self._compare(column, middle, two[2], last),
                    )
                )
            case "is_" | "is_not":
                node = self._is(parts[0], parts[1])
                return n.Not(node) if label == "is_not" else node
            case "has":
                return self._has(parts[0], parts[1])
            case "name":
                return self._yes(column, parts[0][2])
            case "reading":
                node, kind = self.atom(tree)
                if kind == "yes-no":
                    return n.Is(node, ("yes",))
            case _:
                self.number(tree, None)
        raise Wrong(
            column,
            "a number stands where a yes or no is needed",
            "a comparison, a condition or a yes-no fact",
        )

    def _yes(self, column: int, written: str) -> n.Node:
        name = canonical(written)
        if name in ("always", "never"):
            return n.Fixed(name == "always")
        if name in self.scope.conditions:
            return n.Condition(name)
        node, kind = self.atom(("name", column, ("token", column, written, "NAME")))
        if kind == "yes-no":
            return n.Is(node, ("yes",))
        raise Wrong(column, f"{name} is no yes or no", f"write what it is compared with ({name} is ...)")

    def _compare(self, column: int, left: Tree, op: str, right: Tree) -> n.Node:
        one, kind = self.number(left, None)
        if kind in ("yes-no", "choice", "list", "text") and op in ("=", "!="):
            verb = "has" if kind == "list" else "is" if op == "=" else "is not"
            written = f"{_written(left)} {verb} {_written(right)}"
            raise Wrong(column, f"{_written(left)} {op} {_written(right)}", "", f"write: {written}")
        two, other = self.number(right, kind)
        if kind is None:
            one, kind = self.number(left, other)
        if kind is None or other is None:
            raise Wrong(column, "nothing says what kind of measures these are", hint="write one literal")
        if kind in ("yes-no", "choice", "list", "text"):
            raise Wrong(
                column,
                f"a {kind} is compared with {op}",
                hint="write: is ..." if op == "=" else "write: is or has",
            )
        if kind == "angle":
            raise Wrong(column, "two positions around the cable have no order", hint="use angle-between(a, b)")
        if kind != other and (kind, other) not in NUMERIC_ALIKE:
            raise Wrong(column, f"{called(kind)} is compared with {called(other)}")
        return n.Compare(op, one, two, kind, _unit(one, two))

    def _is(self, left: Tree, right: Tree) -> n.Node:
        node, kind = self._word(left)
        word = self._held(left)
        raw = list(right[2:]) if right[0] == "list_" else [right]
        if kind not in ("choice", "yes-no", "text", "date", "names"):
            raise Wrong(
                left[1],
                f"{called(kind)} stands before «is»",
                "a choice or a yes-no there; compare measures with =",
            )
        return n.Is(node, tuple(_choice(word, part) for part in raw))

    def _has(self, left: Tree, right: Tree) -> n.Node:
        node, kind = self._word(left)
        if kind != "list":
            raise Wrong(left[1], f"{called(kind)} stands before «has»", "a list there")
        return n.Has(node, _choice(self._held(left), right))

    def _word(self, tree: Tree) -> tuple[n.Node, str]:
        if tree[0] not in ("name", "reading"):
            raise Wrong(tree[1], "an expression stands before «is» or «has»", "a fact or a reading there")
        return self.atom(tree)

    def _held(self, tree: Tree) -> Word | None:
        names = [canonical(part[2]) for part in tree[2:]]
        if tree[0] == "reading":
            step = self.scope.steps.get(names[0])
            return step.readings.get(names[1]) if step else None
        own = self.scope.own
        return own.readings.get(names[0]) if own and names[0] in own.readings else self.scope.facts.get(names[0])


def _written(tree: Tree) -> str:
    if tree[0] == "token":
        return str(tree[2])
    return ".".join(_written(part) for part in tree[2:] if isinstance(part, tuple))


def _choice(word: Word | None, token: Tree) -> str:
    text = token[2]
    if word is None or not (word.choices or word.kind == "yes-no"):
        return canonical(text) if token[3] == "NAME" else str(text)
    choices = word.choices or ("yes", "no")
    found = {canonical(choice): choice for choice in choices}.get(canonical(text)) or word.reads_as.get(canonical(text))
    if found is None and word.kind == "yes-no":
        found = {"true": "yes", "false": "no"}.get(canonical(text))
    if found is None:
        close = near(canonical(text), choices)
        hint = f"did you mean {close}?" if close else ""
        raise Wrong(token[1], f"{word.name} is never {text}", "one of " + ", ".join(choices), hint)
    return found


def _unit(*sides: n.Node) -> str:
    return next((node.unit for node in sides if isinstance(node, n.Const) and node.unit), "")

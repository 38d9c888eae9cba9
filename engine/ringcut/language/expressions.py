"""From the text of an expression to its typed form: names looked up, kinds checked, literals given a kind.

A literal takes the kind of what it is compared or added with. What does not fit is a :class:`Problem` at its line and
column: an error in the rulebook, never a verdict.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from fractions import Fraction
from typing import Any, TypeVar

import msgspec

from ringcut.language import nodes as n
from ringcut.language.dimensions import DIFFERENCE, added, multiplied
from ringcut.language.grammar import Slip, parse
from ringcut.language.ir import Step, Word
from ringcut.language.ruletext import TableText
from ringcut.reading.measures import Refusal, kinds_of_unit, read_literal, to_base
from ringcut.reading.phrase import Phrase
from ringcut.reading.problems import Place, Problem
from ringcut.reading.suggest import canonical, near

Tree = tuple[Any, ...]
T = TypeVar("T")
NUMERIC_ALIKE = {("ratio", "count"), ("count", "ratio")}


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


class _Typing:
    """One expression being typed; raises :class:`Wrong` at the first thing that does not fit."""

    def __init__(self, scope: Scope) -> None:
        self.scope = scope

    # yes or no

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
            raise Wrong(column, f"{_called(kind)} is compared with {_called(other)}")
        return n.Compare(op, one, two, kind, _unit(one, two))

    def _is(self, left: Tree, right: Tree) -> n.Node:
        node, kind = self._word(left)
        word = self._held(left)
        raw = list(right[2:]) if right[0] == "list_" else [right]
        if kind not in ("choice", "yes-no", "text", "date", "names"):
            raise Wrong(
                left[1],
                f"{_called(kind)} stands before «is»",
                "a choice or a yes-no there; compare measures with =",
            )
        return n.Is(node, tuple(_choice(word, part) for part in raw))

    def _has(self, left: Tree, right: Tree) -> n.Node:
        node, kind = self._word(left)
        if kind != "list":
            raise Wrong(left[1], f"{_called(kind)} stands before «has»", "a list there")
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

    # numbers

    def number(self, tree: Tree, want: str | None) -> tuple[n.Node, str | None]:
        """The node and its kind; None as kind: a literal whose kind nothing has settled yet."""
        label, column, *parts = tree
        match label:
            case "measure" | "number":
                return self._literal(column, parts[0][2], want)
            case "negative":
                node, kind = self.number(parts[0], want)
                return n.Arithmetic("-", n.Const(Fraction(0), kind or "count"), node), kind
            case "sum":
                return self._sum(parts, want)
            case "term":
                return self._term(parts, want)
            case "call":
                return self._call(column, canonical(parts[0][2]), parts[1:], want)
            case "cell":
                return self._cell(column, canonical(parts[0][2]), parts[1:-1], canonical(parts[-1][2]))
            case "name" if canonical(parts[0][2]) in self.scope.values:
                return self._value(column, canonical(parts[0][2]), want)
            case "name" | "reading":
                return self.atom(tree)
        raise Wrong(column, "a yes or no stands where a measure is needed")

    def _literal(self, column: int, text: str, want: str | None) -> tuple[n.Node, str | None]:
        literal = read_literal(text)
        if isinstance(literal, Refusal):
            raise Wrong(column, literal.found, literal.expected, literal.hint)
        number, unit = literal
        kinds = kinds_of_unit(unit) if unit else ("count", "ratio")
        kind = want if want in kinds else None
        if kind is None and want in (None, "count", "ratio") and (len(kinds) == 1 or not unit):
            kind = kinds[0]
        if kind is None and want is None:
            return n.Const(number, "", unit), None
        if kind is None:
            raise Wrong(
                column,
                f"{text} is {_called(kinds[0])}",
                f"{_called(str(want))} here",
                "" if unit else f"{text} what?",
            )
        base = to_base(number, unit, kind) if unit else number
        if isinstance(base, Refusal):
            raise Wrong(column, base.found, base.expected, base.hint)
        return n.Const(base, kind, unit), kind

    def _value(self, column: int, name: str, want: str | None) -> tuple[n.Node, str | None]:
        try:
            node, kind = self._literal(column, self.scope.values[name], want)
        except Wrong as error:
            error.place = self.scope.value_places.get(name)
            raise
        if kind and self.scope.used.setdefault(name, kind) != kind:
            raise Wrong(column, f"{name} is used as {_called(self.scope.used[name])} and as {_called(kind)}")
        return node, kind

    def _sum(self, parts: list[Tree], want: str | None) -> tuple[n.Node, str | None]:
        node, kind = self.number(parts[0], None)
        for sign, part in zip(parts[1::2], parts[2::2], strict=True):
            node, kind = self._add(sign, parts[0], node, kind, part, want)
        return node, kind

    def _add(
        self, sign: Tree, first: Tree, node: n.Node, kind: str | None, part: Tree, want: str | None
    ) -> tuple[n.Node, str | None]:
        wanted = DIFFERENCE.get(kind, kind) if kind and sign[2] == "+" else kind
        try:
            right, other = self.number(part, wanted)
        except Wrong:
            if wanted not in DIFFERENCE:
                raise
            right, other = self.number(part, DIFFERENCE[wanted])
        if kind is None and other is None:
            node, kind = self.number(first, want)
            right, other = self.number(part, want)
        elif kind is None:
            node, kind = self.number(first, other)
        if kind is None or other is None:
            return node, None
        result = added(sign[2], kind, other)
        if result is None:
            verb = "added to" if sign[2] == "+" else "taken from"
            hint = "use angle-between(a, b)" if kind == "angle" else ""
            raise Wrong(sign[1], f"{_called(other)} is {verb} {_called(kind)}", "", hint)
        return n.Arithmetic(sign[2], node, right), result

    def _term(self, parts: list[Tree], want: str | None) -> tuple[n.Node, str | None]:
        node, kind = self.number(parts[0], None)
        if kind is None:
            node, kind = self._factor(parts[0], want)
        for sign, part in zip(parts[1::2], parts[2::2], strict=True):
            right, other = self.number(part, None)
            if other is None:
                right, other = self.number(part, "ratio")
            result = multiplied(sign[2], kind or "count", other or "count")
            if result is None:
                verb = "multiplied by" if sign[2] == "*" else "divided by"
                hint = "use absolute(...)" if {kind, other} & {"gauge-pressure", "temperature"} else ""
                raise Wrong(sign[1], f"{_called(kind or '')} is {verb} {_called(other or '')}", "", hint)
            node, kind = n.Arithmetic(sign[2], node, right), result
        return node, kind

    def _factor(self, tree: Tree, want: str | None) -> tuple[n.Node, str | None]:
        """A literal at the head of a product: a ratio where it can be one."""
        try:
            return self.number(tree, "ratio")
        except Wrong:
            return self.number(tree, want)

    def _call(self, column: int, name: str, args: list[Tree], want: str | None) -> tuple[n.Node, str | None]:
        if name in self.scope.tables:
            return self._cell(column, name, args, "")
        if name not in FUNCTIONS:
            close = near(name, [*FUNCTIONS, *self.scope.tables])
            raise Wrong(column, f"no function or table {name}", hint=f"did you mean {close}?" if close else "")
        if name in ("greatest", "least") and len(args) == 1 and args[0][0] == "reading":
            table, wanted = (canonical(part[2]) for part in args[0][2:])
            if table in self.scope.tables:
                return self._column(column, name, table, wanted)
        least, most = FUNCTIONS[name]
        if not least <= len(args) <= most:
            raise Wrong(column, f"{name} has {len(args)} arguments", f"{least}" if least == most else "two or more")
        if name == "at-68":
            kinds = ("resistance", "temperature", "choice")
            nodes = [self.number(arg, kind)[0] for arg, kind in zip(args, kinds, strict=True)]
            return n.Call(name, tuple(nodes)), "resistance"
        return self._call_alike(column, name, args, want)

    def _call_alike(self, column: int, name: str, args: list[Tree], want: str | None) -> tuple[n.Node, str | None]:
        wants = "angle" if name == "angle-between" else None if name == "absolute" else want
        done = [self.number(arg, wants) for arg in args]
        known = next((kind for _, kind in done if kind), None)
        done = [pair if pair[1] else self.number(arg, known) for pair, arg in zip(done, args, strict=True)]
        kinds = {kind for _, kind in done}
        if len(kinds) > 1:
            raise Wrong(column, f"{name} over {' and '.join(sorted(_called(str(kind)) for kind in kinds))}")
        kind = done[0][1]
        node = n.Call(name, tuple(pair[0] for pair in done))
        if name == "angle-between":
            if kind != "angle":
                raise Wrong(column, f"angle-between over {_called(str(kind))}", "two positions around the cable")
            return node, "turn"
        if name == "absolute":
            absolute = {"gauge-pressure": "absolute-pressure", "temperature": "absolute-temperature"}
            if kind not in absolute:
                raise Wrong(column, f"absolute of {_called(str(kind))}", "a gauge pressure or a temperature")
            return n.Call(absolute[kind], node.args), absolute[kind]
        return node, kind

    def _cell(self, column: int, name: str, keys: list[Tree], wanted: str) -> tuple[n.Node, str]:
        table = self.scope.tables.get(name)
        if table is None:
            close = near(name, self.scope.tables)
            raise Wrong(column, f"no table {name}", hint=f"did you mean {close}?" if close else "")
        if len(keys) != len(table.keys):
            raise Wrong(column, f"{name} is looked up with {len(keys)} keys", f"{', '.join(table.keys)}")
        nodes = []
        for key, (word, how) in zip(keys, table.keys.items(), strict=True):
            want = table.kind_of(word) or None if how == "range" else None
            node, kind = self.number(key, want)
            if want and kind != want:
                raise Wrong(key[1], f"{_called(str(kind))} as key {word} of {name}", _called(want))
            nodes.append(node)
        cells = [each for each in table.columns if each not in table.keys and each not in ("from", "to")]
        by_column = "column" in table.keys.values()
        if wanted and wanted not in cells or not wanted and not by_column and len(cells) != 1:
            raise Wrong(
                column,
                f"{name} has no column {wanted}" if wanted else f"{name} has several columns",
                ", ".join(cells),
            )
        column_name = wanted or ("" if by_column else cells[0])
        kind = table.kind_of(column_name or cells[0]) or "choice"
        return n.Lookup(name, tuple(nodes), column_name), kind

    def _column(self, column: int, name: str, table: str, wanted: str) -> tuple[n.Node, str]:
        text = self.scope.tables[table]
        if wanted not in text.columns:
            raise Wrong(column, f"{table} has no column {wanted}", ", ".join(text.columns))
        kind, unit, at = text.kind_of(wanted) or "count", text.unit_of(wanted), text.columns.index(wanted)
        cells = [_cell_value(row[at], kind, unit) for row in text.rows if row[at].text]
        return n.Const(max(cells) if name == "greatest" else min(cells), kind, unit), kind

    def atom(self, tree: Tree) -> tuple[n.Node, str]:
        """A name or STEP.READING and what it holds."""
        label, column, *parts = tree
        names = [canonical(part[2]) for part in parts]
        if label == "reading":
            return self._reading(column, *names)
        name, scope = names[0], self.scope
        if scope.own and name in scope.own.readings:
            return n.Reading(scope.own.name, name), scope.own.readings[name].kind
        if name in scope.facts:
            return n.Fact(name), scope.facts[name].kind
        if name in scope.quantities:
            return scope.quantities[name]()
        if name in scope.conditions:
            raise Wrong(column, f"{name} is a condition", "a measure here")
        raise Wrong(column, *self._unknown(name))

    def _unknown(self, name: str) -> tuple[str, str, str]:
        scope = self.scope
        known = [*scope.facts, *scope.quantities, *scope.conditions, *scope.values, *scope.steps]
        known += scope.own.readings if scope.own else ()
        halves = [(name[:i], name[i + 1 :]) for i, letter in enumerate(name) if letter == "-"]
        if any(a in known and b in known for a, b in halves):
            one, two = next(pair for pair in halves if pair[0] in known and pair[1] in known)
            return f"unknown name {name}", "", f"did you mean {one} - {two}?"
        close = near(name, known)
        return (
            f"unknown name {name}",
            "a fact, a condition, a quantity or a value",
            f"did you mean {close}?" if close else "",
        )

    def _reading(self, column: int, step: str, reading: str) -> tuple[n.Node, str]:
        found = self.scope.steps.get(step)
        if found is None:
            close = near(step, self.scope.steps)
            raise Wrong(column, f"no step {step}", hint=f"did you mean {close}?" if close else "")
        if reading not in found.readings:
            close = near(reading, found.readings)
            known = ", ".join(found.readings) or "no readings"
            raise Wrong(column, f"{step} has no reading {reading}", known, f"did you mean {close}?" if close else "")
        return n.Reading(step, reading), found.readings[reading].kind


FUNCTIONS: dict[str, tuple[int, int]] = {
    "min": (2, 9),
    "max": (2, 9),
    "abs": (1, 1),
    "both": (1, 1),
    "least": (1, 1),
    "greatest": (1, 1),
    "angle-between": (2, 2),
    "absolute": (1, 1),
    "at-68": (3, 3),
}
"""The closed list of functions, with the least and the greatest number of arguments."""


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


def _cell_value(cell: Phrase, kind: str, unit: str) -> Fraction:
    number = Fraction(cell.text)
    base = to_base(number, unit, kind) if unit else number
    return number if isinstance(base, Refusal) else base


def _called(kind: str) -> str:
    words = kind.replace("-", " ")
    if kind.startswith("?"):
        return "a product without a name"
    return f"an {words}" if words[:1] in "aeiou" else f"a {words}"


def _unit(*sides: n.Node) -> str:
    return next((node.unit for node in sides if isinstance(node, n.Const) and node.unit), "")

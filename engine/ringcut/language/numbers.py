"""Typing the numbers of an expression: literals get a kind, sums and products are checked, names are looked up."""

from __future__ import annotations

from fractions import Fraction

from ringcut.language import nodes as n
from ringcut.language.dimensions import DIFFERENCE, added, multiplied
from ringcut.language.scope import Scope, Tree, Wrong, called
from ringcut.reading.measures import Refusal, kinds_of_unit, read_literal, to_base
from ringcut.reading.phrase import Phrase
from ringcut.reading.suggest import canonical, near

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


class NumberTyping:
    """The numbers of one expression; raises :class:`Wrong` at the first thing that does not fit."""

    def __init__(self, scope: Scope) -> None:
        self.scope = scope

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
                f"{text} is {called(kinds[0])}",
                f"{called(str(want))} here",
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
            raise Wrong(column, f"{name} is used as {called(self.scope.used[name])} and as {called(kind)}")
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
        if kind is None and other is None and want:
            hint = "write one literal"
            raise Wrong(sign[1], "nothing says what kind of measures these are", hint=hint)
        elif kind is None:
            node, kind = self.number(first, other)
        if kind is None or other is None:
            return node, None
        result = added(sign[2], kind, other)
        if result is None:
            verb = "added to" if sign[2] == "+" else "taken from"
            hint = "use angle-between(a, b)" if kind == "angle" else ""
            raise Wrong(sign[1], f"{called(other)} is {verb} {called(kind)}", "", hint)
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
                raise Wrong(sign[1], f"{called(kind or '')} is {verb} {called(other or '')}", "", hint)
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
            raise Wrong(column, f"{name} over {' and '.join(sorted(called(str(kind)) for kind in kinds))}")
        kind = done[0][1]
        node = n.Call(name, tuple(pair[0] for pair in done))
        if name == "angle-between":
            if kind != "angle":
                raise Wrong(column, f"angle-between over {called(str(kind))}", "two positions around the cable")
            return node, "turn"
        if name == "absolute":
            absolute = {"gauge-pressure": "absolute-pressure", "temperature": "absolute-temperature"}
            if kind not in absolute:
                raise Wrong(column, f"absolute of {called(str(kind))}", "a gauge pressure or a temperature")
            if kind == "gauge-pressure" and "barometer" not in self.scope.facts:
                raise Wrong(column, "absolute of a gauge pressure", "a fact barometer in the vocabulary")
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
                raise Wrong(key[1], f"{called(str(kind))} as key {word} of {name}", called(want))
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
            f"did you mean {close}?" if close else "a word of your own stands under conditions:, facts: or values:",
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


def _cell_value(cell: Phrase, kind: str, unit: str) -> Fraction:
    number = Fraction(cell.text)
    base = to_base(number, unit, kind) if unit else number
    return number if isinstance(base, Refusal) else base

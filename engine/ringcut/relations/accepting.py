"""What a step has to read so that a condition becomes what some rule needs: its guards, told a reading at a time.

A guard is taken apart into demands that must all be met. A demand may leave a choice ("at most 50 V ac, or 60 V dc",
"cool by hand, or by the minutes"); then each reading says its own part and names the others.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from fractions import Fraction

import msgspec

from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.reading.measures import show, show_span

Wanted = Mapping[tuple[str, bool], Sequence[str]]
"""(condition, whether it is to hold) -> the rules that want it so."""
Settled = Callable[[n.Node], bool | None]
"""Whether what rests on job facts alone holds; None where nobody knows."""
Term = tuple[n.Node, ...]
"""Comparisons that must hold together."""

_OPPOSITE = {"<": ">=", "<=": ">", ">": "<=", ">=": "<", "=": "!=", "!=": "="}


def wanted_by(rules: Iterable[ir.Rule], book: ir.Rulebook) -> Wanted:
    """The conditions that rules need to hold, or not to hold, with the ids of those rules in their order."""
    found: dict[tuple[str, bool], dict[str, None]] = {}
    for rule in rules:
        for node in _needed(rule.form):
            for key in _signed(node, True, book):
                found.setdefault(key, {})[rule.id] = None
    return {key: tuple(ids) for key, ids in found.items()}


def _needed(form: ir.Form) -> tuple[n.Node, ...]:
    match form:
        case ir.Need(what=what):
            return (what,)
        case ir.Keep(what=what):
            return (what,)
    return ()


def _signed(node: n.Node, positive: bool, book: ir.Rulebook) -> Iterable[tuple[str, bool]]:
    match node:
        case n.Not(item):
            yield from _signed(item, not positive, book)
        case n.And(items) | n.Or(items):
            for item in items:
                yield from _signed(item, positive, book)
        case n.Condition(name):
            means = book.conditions[name].means
            if means is None:
                yield name, positive
            else:
                yield from _signed(means, positive, book)


def guards_of(step: ir.Step, wanted: Wanted) -> list[tuple[ir.Effect, n.Node, Sequence[str]]]:
    """The effects of a step that its readings decide and some rule waits for: what is to be read, and those rules."""
    found: list[tuple[ir.Effect, n.Node, Sequence[str]]] = []
    for effect in step.effects:
        if isinstance(effect.to, n.Fixed):
            continue
        for positive in (True, False):
            if rules := wanted.get((effect.condition, positive)):
                found.append((effect, effect.to if positive else n.Not(effect.to), rules))
    return found


def accepted(guards: Iterable[n.Node], words: Mapping[str, ir.Word], settled: Settled | None = None) -> dict[str, str]:
    """Reading -> the values that meet some guards, in words; ``words`` are the readings of their step."""
    telling = _Telling(words)
    for guard in guards:
        item = _plain(guard, True, settled)
        for demand in item.items if isinstance(item, n.And) else (item,):
            telling.add([_term(each) for each in (demand.items if isinstance(demand, n.Or) else (demand,))])
    return telling.told()


def _plain(node: n.Node, positive: bool, settled: Settled | None) -> n.Node:
    """A node in negation normal form, without what job facts settle."""
    match node:
        case n.Not(item):
            return _plain(item, not positive, settled)
        case n.And(items) | n.Or(items):
            every = isinstance(node, n.And) == positive
            parts = [_plain(item, positive, settled) for item in items]
            if any(part == n.Fixed(not every) for part in parts):
                return n.Fixed(not every)
            flat = [part for part in parts if part != n.Fixed(every)]
            kind: type[n.And] | type[n.Or] = n.And if every else n.Or
            flat = [each for part in flat for each in (part.items if isinstance(part, kind) else (part,))]
            return flat[0] if len(flat) == 1 else kind(tuple(flat)) if flat else n.Fixed(every)
        case n.Fixed(value):
            return n.Fixed(value == positive)
    if settled is not None and not any(isinstance(each, n.Reading) for each in n.walk(node)):
        known = settled(node)
        if known is not None:
            return n.Fixed(known == positive)
    if positive:
        return node
    if isinstance(node, n.Compare):
        return msgspec.structs.replace(node, op=_OPPOSITE[node.op])
    return n.Not(node)


def _term(node: n.Node) -> Term:
    return node.items if isinstance(node, n.And) else (node,)


class _Range(msgspec.Struct):
    """What all demands on one reading leave of its numbers."""

    low: Fraction | None = None
    high: Fraction | None = None
    low_open: bool = False
    high_open: bool = False
    found: bool = False

    def narrow(self, op: str, number: Fraction) -> None:
        """One more comparison with a number; of two with the same number the one that leaves it out counts."""
        self.found = True
        if op in ("<=", "<", "="):
            if self.high is None or number < self.high:
                self.high, self.high_open = number, op == "<"
            self.high_open |= number == self.high and op == "<"
        if op in (">=", ">", "="):
            if self.low is None or number > self.low:
                self.low, self.low_open = number, op == ">"
            self.low_open |= number == self.low and op == ">"


class _Telling:
    """Demands collected by the reading they are told at."""

    def __init__(self, words: Mapping[str, ir.Word]) -> None:
        self.words = words
        self.ranges: dict[str, _Range] = {}
        self.phrases: dict[str, dict[str, None]] = {}

    def add(self, terms: list[Term]) -> None:
        """One demand: some term holds."""
        if len(terms) == 1 and len(terms[0]) == 1 and (alone := _alone(terms[0][0])) is not None:
            name, op, number = alone
            if op != "!=":
                self.ranges.setdefault(name, self._whole(name)).narrow(op, number)
                return
        heads = [_heads(term) for term in terms]
        for name in dict.fromkeys(name for found in heads for name in found):
            own = [self._phrase(name, term) for term, found in zip(terms, heads, strict=True) if name in found]
            others = dict.fromkeys(found[0] for found in heads if found and name not in found)
            beside = " or ".join(each.replace("-", " ") for each in others)
            told = ", or ".join(dict.fromkeys(own)) + (f", or {beside} instead" if beside else "")
            self.phrases.setdefault(name, {})[told] = None

    def told(self) -> dict[str, str]:
        """Reading -> its values in words, in the order of the vocabulary."""
        found = {}
        for name, word in self.words.items():
            parts = [_shown(self.ranges[name], word)] if name in self.ranges else []
            parts += self.phrases.get(name, ())
            if parts:
                found[name] = "; ".join(parts)
        return found

    def _whole(self, name: str) -> _Range:
        possible = self.words[name].possible
        return _Range(low=Fraction(0)) if possible and possible[0] == 0 else _Range()

    def _phrase(self, name: str, term: Term) -> str:
        """What a term asks of one reading, and where it asks it."""
        span, parts, where = _Range(), [], []
        for node in term:
            alone = _alone(node)
            if alone is not None and alone[0] == name and alone[1] != "!=":
                span.narrow(alone[1], alone[2])
            elif name in _heads((node,)):
                parts.append(_of_one(node))
            elif not isinstance(node, n.Compare):
                where.append(_of_other(node))
        parts = [_shown(span, self.words[name]), *parts] if span.found else parts
        return " and ".join(parts) + (f" where {' and '.join(where)}" if where else "")


def _heads(term: Term) -> list[str]:
    """The readings that a term is told at: those of its numbers, else those of its words."""
    numbers = [name for node in term if isinstance(node, n.Compare) and (name := _first(node))]
    return numbers or [name for node in term if (name := _first(node))]


def _first(node: n.Node) -> str:
    return next((each.name for each in n.walk(node) if isinstance(each, n.Reading)), "")


def _alone(node: n.Node) -> tuple[str, str, Fraction] | None:
    """(reading, operator, number) of a comparison of one reading with a number."""
    match node:
        case n.Compare(op, n.Reading(_, name), n.Const(number)):
            return name, op, number
        case n.Compare(op, n.Const(number), n.Reading(_, name)):
            return name, n.FLIPPED[op], number
    return None


def _shown(span: _Range, word: ir.Word) -> str:
    if span.low is not None and span.low == span.high:
        return show(span.low, word.kind, word.unit)
    return show_span(span.low, span.high, span.low_open, span.high_open, word.kind, word.unit)


def _of_one(node: n.Node) -> str:
    """A comparison as it is told at its first reading."""
    match node:
        case n.Is(n.Reading(), choices):
            return " or ".join(choices)
        case n.Not(n.Is(n.Reading(), choices)):
            return f"not {' or '.join(choices)}"
        case n.Compare("!=", n.Reading(), n.Const(number, kind, unit)):
            return f"not {show(number, kind, unit)}"
        case n.Compare(op, n.Arithmetic("-", n.Reading(), n.Reading(_, other)), n.Const(number, kind, unit)):
            low, high = (None, number) if op[0] == "<" else (number, None)
            told = show_span(low, high, op == ">", op == "<", kind, unit)
            return f"{told} over {other.replace('-', ' ')}"
    return _of_other(node)


def _of_other(node: n.Node) -> str:
    match node:
        case n.Is(n.Reading(_, name) | n.Fact(name), choices):
            return f"{name.replace('-', ' ')} is {' or '.join(choices)}"
        case n.Not(n.Is(n.Reading(_, name) | n.Fact(name), choices)):
            return f"{name.replace('-', ' ')} is not {' or '.join(choices)}"
    return "the rulebook's guard holds"

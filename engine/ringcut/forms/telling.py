"""What a limit says: what was found, what is needed, and by how much it misses."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from math import sqrt

from ringcut.language import nodes as n
from ringcut.language.dimensions import exponents
from ringcut.reading.kinds import KINDS
from ringcut.reading.measures import Measure, kinds_of_unit, read_measure, show, show_span
from ringcut.relations.evaluate import truth, value
from ringcut.relations.spans import Listed, Missing, Span, Value, Words
from ringcut.relations.truth import YES
from ringcut.relations.view import Bound

WORDS = {"<": "under", "<=": "at most", ">": "over", ">=": "at least", "=": "exactly", "!=": "other than"}
WIRE = {
    "<": "thinner than",
    "<=": "at most",
    ">": "heavier than",
    ">=": "at least",
    "=": "exactly",
    "!=": "other than",
}


def failing(node: n.Node, env: Bound, side: str) -> tuple[str, str, str]:
    """(found, needed, margin) of the part of an expression that makes it fail or unknown."""
    match node:
        case n.And(items) | n.Or(items):
            levels = [truth(item, env, side).level for item in items]
            told = max(levels, default=YES) if isinstance(node, n.And) else min(levels, default=YES)
            bad = [item for item, level in zip(items, levels, strict=True) if level == told]
            last = bad[-1] if isinstance(node, n.Or) else bad[0]
            return failing(last, env, side)
        case n.Not(n.Is(left, words)):
            return _found(left, env, side), f"other than {' or '.join(words)}", ""
        case n.Is(left, choices):
            return _found(left, env, side), f"{name_of(left)} {' or '.join(choices)}", ""
        case n.Has(left, word):
            return _found(left, env, side), f"{name_of(left)} with {word}", ""
        case n.Compare():
            return _comparison(node, env, side)
    return "", "", ""


def _comparison(node: n.Compare, env: Bound, side: str) -> tuple[str, str, str]:
    left, op, right = node.left, node.op, node.right
    if _is_fixed(left) and not _is_fixed(right):
        left, op, right = right, n.FLIPPED[op], left
    a, b = value(left, env, side), value(right, env, side)
    unit = unit_of(node, left, env)
    typed = typed_unit(node, env, side)
    found = _called(left, a, _both_units(a, node.kind, typed, unit))
    if not isinstance(b, Span):
        return found, f"{WORDS[op]} {name_of(right)}, which is {tell(b, node.kind, unit)}", ""
    if b.free:
        return found, f"{WORDS[op]} {name_of(right)}", ""
    words = WIRE if node.kind == "wire-size" else WORDS
    from_what = "" if _is_fixed(right) else f" ({name_of(right)})"
    margin = ""
    if isinstance(a, Span) and node.kind != "wire-size":
        edge, other = (a.low, b.high) if op[0] == ">" else (a.high, b.low)
        if edge is not None and other is not None and edge != other:
            gap = other - edge if op[0] == ">" else edge - other
            word = "short" if op[0] == ">" else "over"
            if gap > 0:
                margin = f"{_number(gap, _difference(node.kind), typed or unit)} {word}"
    return found, f"{words[op]} {_both_units(b, node.kind, typed, unit)}{from_what}", margin


def _called(node: n.Node, item: Value, told: str) -> str:
    """A value with its name. One that is worked out by a formula is told as that: its rule names it."""
    if not worked_out(node):
        return f"{name_of(node)} {told}"
    return "cannot be worked out" if isinstance(item, Missing) else f"worked out {told}"


def worked_out(node: n.Node) -> bool:
    """Whether an expression divides by a reading, so that its formula says little to anybody."""
    return any(
        isinstance(each, n.Arithmetic)
        and each.op == "/"
        and any(isinstance(part, n.Reading) for part in n.walk(each.right))
        for each in n.walk(node)
    )


def typed_unit(node: n.Compare, env: Bound, side: str) -> str:
    """The metric unit in which a person wrote what a comparison looks at; nothing where it is another."""
    for each in n.walk(node):
        if not isinstance(each, n.Reading):
            continue
        index = env.chosen.get((each.step, side), env.chosen.get((each.step, "")))
        texts = env.view.occurrences[index].texts if index is not None else {}
        text, _ = texts.get((each.name, side), texts.get((each.name, ""), ("", None)))
        word = env.view.book.steps[each.step].readings[each.name]
        unit = written_unit(text, word.kind)
        if unit and node.kind in kinds_of_unit(unit):
            return unit
    return ""


def written_unit(text: str, kind: str) -> str:
    """The metric unit of a text; nothing where it has another, or is no measure."""
    found = read_measure(text, kind) if text and kind in KINDS else None
    return found.unit if isinstance(found, Measure) and found.unit in METRIC else ""


METRIC = ("mm", "cm", "m", "kPa", "bar", "mbar", "degC", "m3")


def _both_units(item: Value, kind: str, typed: str, unit: str) -> str:
    """A value in the unit that the person wrote, with that of the vocabulary behind it."""
    told = tell(item, kind, unit)
    other = tell(item, kind, typed) if typed and typed != unit else told
    return told if other == told else f"{other} ({told})"


def looked_at(node: n.Node, env: Bound, side: str) -> tuple[str, ...]:
    """Every reading and fact that an expression compares, as typed and with its line; nothing where it is only one."""
    found = tuple(dict.fromkeys(_typed(node, env, side)))
    return found if len(found) > 1 else ()


def _typed(node: n.Node, env: Bound, side: str) -> Iterator[str]:
    match node:
        case n.Reading(step, name):
            index = env.chosen.get((step, side), env.chosen.get((step, "")))
            texts = env.view.occurrences[index].texts if index is not None else {}
            written = texts.get((name, side), texts.get((name, "")))
        case n.Fact(name):
            written = env.view.procedure.job_texts.get(name)
        case n.FirstOf(items):
            yield from next((told for item in items if (told := list(_typed(item, env, side)))), [])
            return
        case _:
            for child in n.children(node):
                yield from _typed(child, env, side)
            return
    if written is not None:
        text, place = written
        yield f"{name_of(node)} {text}" + (f" (line {place.line})" if place.line else "")


def _difference(kind: str) -> str:
    return {"temperature": "temperature-difference", "gauge-pressure": "pressure-difference",
            "absolute-pressure": "pressure-difference"}.get(kind, kind)  # fmt: skip


def _is_fixed(node: n.Node) -> bool:
    return not any(isinstance(each, n.Reading | n.Fact | n.Lookup) for each in n.walk(node))


def unit_of(node: n.Compare, left: n.Node, env: Bound) -> str:
    """The unit to show a comparison in: its own, else that of a reading in it."""
    if node.unit:
        return node.unit
    for each in n.walk(node):
        if isinstance(each, n.Reading):
            unit = env.view.book.steps[each.step].readings[each.name].unit
            kind = env.view.book.steps[each.step].readings[each.name].kind
            if unit and kind == node.kind:
                return unit
    return ""


def _found(node: n.Node, env: Bound, side: str) -> str:
    return f"{name_of(node)} {tell(value(node, env, side), '', '')}"


def tell(item: Value, kind: str, unit: str) -> str:
    """A value in words."""
    match item:
        case Missing():
            return "not there"
        case Words(options):
            return " or ".join(options) or "anything"
        case Listed(items):
            return ", ".join(items) or "none"
        case Span(low=low) if item.exact and low is not None:
            return _number(low, kind, unit) + _spread(item, kind, unit)
        case _:
            if kind.startswith("?") or not kind:
                return "a range"
            return show_span(item.low, item.high, item.low_open, item.high_open, kind, unit)


def _spread(item: Span, kind: str, unit: str) -> str:
    """The standard uncertainty of a value as a person writes it; that of several readings to two digits."""
    shares = [u for _, u in item.terms if u]
    if not shares or not kind or kind.startswith("?"):
        return ""
    whole = abs(shares[0]) if len(shares) == 1 else Fraction(f"{sqrt(sum(float(u) ** 2 for u in shares)):.2g}")
    return f" u={show(whole, _difference(kind), unit)}"


def _number(number: Fraction, kind: str, unit: str) -> str:
    if not kind or kind.startswith("?"):
        return f"{float(number):g} {_base_units(kind)}".rstrip()
    return show(number, kind, unit)


def _base_units(kind: str) -> str:
    """The unit of a product that has no name, as ``m2`` or ``m ohm/s``; nothing for a plain number."""
    powers = list(zip(("m", "s", "ohm", "Pa", "K"), exponents(kind) or (), strict=False))
    above, below = (
        " ".join(f"{name}{abs(power) if abs(power) > 1 else ''}" for name, power in powers if power * sign > 0)
        for sign in (1, -1)
    )
    return f"{above or '1'}/{below}" if below else above


def name_of(node: n.Node) -> str:
    """An expression as a person names it."""
    match node:
        case n.Reading(_, name) | n.Fact(name):
            return name.replace("-", " ")
        case n.Const(number, kind, unit):
            return _number(number, kind, unit)
        case n.FirstOf(items):
            return name_of(items[0])
        case n.Arithmetic(op, left, right):
            return f"{_part_of(left, op)} {op} {_part_of(right, op, right=True)}"
        case n.Call("both", (inner,)):
            return f"{name_of(inner)} of both sides"
        case n.Call("angle-between", args):
            return "turn between " + " and ".join(name_of(arg) for arg in args)
        case n.Call(name, args):
            return f"{name.replace('-', ' ')} ({', '.join(name_of(arg) for arg in args)})"
        case n.Lookup(table, _, column):
            return f"{table.replace('-', ' ')} {column.replace('-', ' ')}".strip()
    return "it"


def _part_of(node: n.Node, op: str, *, right: bool = False) -> str:
    """One side of an operator, in brackets where its own operator binds less, so that the sum reads as it is meant."""
    told = name_of(node)
    if not isinstance(node, n.Arithmetic):
        return told
    sum_ = node.op in "+-"
    return f"({told})" if sum_ and op in "*/" or right and (op == "/" or sum_ and op == "-") else told

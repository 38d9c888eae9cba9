"""The sign of a value in a limit: whether another number makes the limit true more often or less often.

Readings are never negative by their ranges, so each side of a comparison rises or falls with the value.
"""

from __future__ import annotations

from ringcut.language import nodes as n
from ringcut.language.sense import Sense

UP, DOWN, SAME, EITHER = 1, -1, 0, 2


def direction(old: n.Node, new: n.Node) -> Sense:
    """The sense of a limit whose constants changed: true more often loosens."""
    found = _moves(old, new)
    return {SAME: Sense.EQUAL, UP: Sense.LOOSENS, DOWN: Sense.TIGHTENS, EITHER: Sense.CANNOT_TELL}[found]


def _moves(old: n.Node, new: n.Node) -> int:
    """How a node moves from the old form to the new one; readings are never negative by their ranges."""
    if old == new:
        return SAME
    if type(old) is not type(new):
        return EITHER
    match old, new:
        case n.Const(a), n.Const(b):
            return UP if b > a else DOWN
        case n.Arithmetic(op, a, b), n.Arithmetic(other, c, d) if op == other:
            left, right = _moves(a, c), _moves(b, d)
            if op in ("-", "/"):
                right = -right if right in (UP, DOWN) else right
            if op in ("*", "/") and not (_not_negative(a) and _not_negative(b)):
                return EITHER
            return _together(left, right)
        case n.Compare(op, a, b), n.Compare(other, c, d) if op == other:
            if op in ("=", "!="):
                return EITHER
            left, right = _moves(a, c), _moves(b, d)
            left, right = (
                (-left if left in (UP, DOWN) else left, right)
                if op[0] == "<"
                else (left, -right if right in (UP, DOWN) else right)
            )
            return _together(left, right)
        case n.Not(a), n.Not(b):
            found = _moves(a, b)
            return -found if found in (UP, DOWN) else found
        case n.And(items), n.And(others) if len(items) == len(others):
            return _all_together(items, others)
        case n.Or(items), n.Or(others) if len(items) == len(others):
            return _all_together(items, others)
        case n.Call(name, args), n.Call(other, others) if name == other and name in (
            "min",
            "max",
            "both",
            "least",
            "greatest",
        ):
            return _all_together(args, others)
    return EITHER


def _all_together(items: tuple[n.Node, ...], others: tuple[n.Node, ...]) -> int:
    found = SAME
    for one, two in zip(items, others, strict=True):
        found = _together(found, _moves(one, two))
    return found


def _together(a: int, b: int) -> int:
    if SAME in (a, b) or a == b:
        return a or b
    return EITHER


def _not_negative(node: n.Node) -> bool:
    match node:
        case n.Const(value):
            return value >= 0
        case n.Reading() | n.Fact() | n.Lookup() | n.FirstOf():
            return True
        case n.Arithmetic(op, left, right):
            return op != "-" and _not_negative(left) and _not_negative(right)
        case n.Call(_, args):
            return all(_not_negative(arg) for arg in args)
    return False

"""The values of a reading for which a step's guards set their condition, in words."""

from __future__ import annotations

from fractions import Fraction

from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.reading.measures import show_span


def accepted_by_guard(step: ir.Step, word: ir.Word) -> str:
    """The values of a reading for which the step sets its good condition, in words; empty where no guard says."""
    low: Fraction | None = Fraction(0) if word.possible and word.possible[0] == 0 else None
    high: Fraction | None = None
    low_open = high_open = found = False
    for effect in step.effects:
        for node in [effect.to, *(effect.to.items if isinstance(effect.to, n.And) else ())]:
            match node:
                case n.Compare(op, n.Reading(_, name), n.Const(number)) if name == word.name and op in (
                    "<=",
                    "<",
                ):
                    if high is None or number < high:
                        high, high_open, found = number, op == "<", True
                case n.Compare(op, n.Reading(_, name), n.Const(number)) if name == word.name and op in (
                    ">=",
                    ">",
                ):
                    low, low_open, found = number, op == ">", True
                case n.Compare(op, n.Const(number), n.Reading(_, name)) if name == word.name and op in (
                    "<=",
                    "<",
                ):
                    low, low_open, found = number, op == "<", True
    return show_span(low, high, low_open, high_open, word.kind, word.unit) if found else ""

"""Cases next to a limit: one step of a reading's resolution turns the verdict."""

from __future__ import annotations

import copy
from collections.abc import Iterator
from fractions import Fraction
from typing import Any

from ringcut.judge.cases import run_case
from ringcut.judge.findings import CONFORMS, NONCONFORMING
from ringcut.language import ir
from ringcut.reading.kinds import KINDS
from ringcut.reading.measures import Measure, read_measure, show

from .relevant import readings_of

OTHER: dict[str, str] = {CONFORMS: NONCONFORMING, NONCONFORMING: CONFORMS}
WIRES = ("5 AWG", "6 AWG", "7 AWG", "13.2 mm2", "13.3 mm2")
"""Wires and sections beside the smallest that is allowed; they have no grid."""


def turned(rule: ir.Rule, book: ir.Rulebook, verdict: str) -> bool:
    """Whether a case with ``verdict`` gets the other one by one resolution step of one reading."""
    for number, case in enumerate(rule.cases, 1):
        if run_case(book, rule, number, case).verdict != verdict:
            continue
        for near in _near(case, rule, book):
            if run_case(book, rule, number, near).verdict == OTHER[verdict]:
                return True
    return False


def _near(case: dict[str, Any], rule: ir.Rule, book: ir.Rulebook) -> Iterator[dict[str, Any]]:
    key = "log" if "log" in case else "steps"
    for index, step in enumerate(case.get(key, [])):
        if not isinstance(step, dict):
            continue
        for name, value in step.items():
            word = book.steps[step["do"]].readings.get(name) if "do" in step else None
            if word is None or (step["do"], name) not in readings_of(rule, book):
                continue
            for other in _others(value, word):
                changed = copy.deepcopy(case)
                changed[key][index][name] = other
                yield changed


def _others(value: Any, word: ir.Word) -> Iterator[Any]:
    if isinstance(value, dict):
        for side, text in value.items():
            yield from ({**value, side: other} for other in _others(text, word))
        return
    if word.kind == "wire-size":
        yield from WIRES
        return
    if word.kind not in KINDS:
        return
    measure = read_measure(str(value), word.kind)
    if not isinstance(measure, Measure) or measure.low is None:
        return
    step = word.resolution or Fraction(1)
    for sign in (1, -1):
        yield show(measure.low + sign * step, word.kind, word.unit)

"""A small invented vocabulary, and the verdict of one rule on one procedure, both given as texts."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from ringcut.checking import read
from ringcut.judge.findings import Report
from ringcut.judge.judge import judge_procedure
from ringcut.language.ir import Rulebook

WORDS = """
facts:
  deep: {kind: yes-no, says: a fact of the job}
  outer: {kind: yes-no, per: side, says: a fact that differs by side}
  hole: {kind: length, unit: in, says: a size of the job}
conditions:
  p: {says: a thing}
  q: {says: another thing}
  s: {says: a thing on each side, per: side}
  w: {says: a thing that wears off, lapses: 10 min}
  z: {says: so from the start, at-start: always}
  dry: {says: a thing of the job, at-start: deep}
steps:
  make-p: {says: p, makes: [p], again: another}
  end-p: {says: no p, ends: [p], again: another}
  make-q: {says: q, makes: [q], again: another}
  end-q: {says: no q, ends: [q], again: another}
  make-s: {says: s, makes: [s], per: side, again: another}
  end-s: {says: no s, ends: [s], per: side, again: another}
  make-w: {says: w, makes: [w], again: another}
  end-z: {says: no z, ends: [z], again: another}
  read-p: {says: p by a reading, sets: {p: gas <= 10 %LFL}, again: another, takes: 3 min,
    readings: {gas: {kind: lfl, unit: "%LFL", possible: [0 %LFL, 100 %LFL]}}}
  use: {says: a use, again: another, traits: [handling]}
  close: {says: a close, again: another, traits: [handling]}
  bond: {says: something on a side, per: side, again: another}
  wait-20: {says: twenty minutes, takes: 20 min, again: another}
  wait-5: {says: five minutes, takes: 5 min, again: another}
  wrap: {says: a layer, per: side, readings: {width: {kind: length, unit: in, known: planned, per: side},
    depth: {kind: length, unit: in, per: side}, layers: {kind: count, known: planned}}}
  coat: {says: a coat in passes, again: adds, readings: {thick: {kind: length, unit: in, known: planned}}}
  ruler: {says: a size, again: another, readings: {size: {kind: length, unit: in, known: planned, resolution: 1/8 in},
    grade: {choices: [fine, coarse], known: planned}}}
"""


@pytest.fixture(scope="session")
def reported(compiled: Callable[[str, str], Rulebook]) -> Callable[[str, str], Report]:
    """The report on a procedure by one rule; the rule is its form in YAML, without name and words."""

    def reported(rule: str, procedure: str) -> Report:
        book = compiled(WORDS, f"  - {{rule: it, says: s, class: major, {rule}}}")
        return judge_procedure(read(procedure.encode(), "here.yaml", book), book)

    return reported


@pytest.fixture(scope="session")
def verdict(reported: Callable[[str, str], Report]) -> Callable[[str, str], str]:
    """The verdict of one rule on a procedure, told shortly.

    A procedure is ``plan STEPS``, ``log STEPS``, or such with other keys before a bar: ``log finished: no | STEPS``.
    In a log a step ``10:05 use`` has a time, ``10:05-10:20 use`` a begin and an end.
    """

    def verdict(rule: str, told: str) -> str:
        kind, _, rest = told.partition(" ")
        keys, bar, steps = rest.rpartition("|")
        head = f"procedure: {kind}, " + (f"{keys.strip()}, " if bar else "")
        return reported(rule, f"{{{head}steps: [{', '.join(map(_step, _split(steps)))}]}}").rules[0].verdict

    return verdict


def _split(steps: str) -> list[str]:
    """The steps between commas that stand outside brackets."""
    found, depth = [""], 0
    for letter in steps:
        depth += (letter in "[{") - (letter in "]}")
        if letter == "," and not depth:
            found.append("")
        else:
            found[-1] += letter
    return [step.strip() for step in found]


def _step(told: str) -> str:
    if not told[:1].isdigit():
        return told
    when, _, rest = told.partition(" ")
    begin, dash, end = when.partition("-")
    name, _, keys = rest.partition(" ")
    times = f'started: "{begin}", at: "{end}"' if dash else f'at: "{begin}"'
    return f"{{do: {name}, {times}{', ' + keys if keys else ''}}}"

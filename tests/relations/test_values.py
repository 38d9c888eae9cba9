"""The uncertainties of readings: independent of each other, wherever in a file the readings stand (JCGM 106:2012)."""

from __future__ import annotations

import json
from collections.abc import Callable

import pytest

from ringcut.judge.judge import judge_procedure
from ringcut.language.ir import Rulebook
from ringcut.reading.procedurefile import read_jsonl_line, read_raw
from ringcut.reading.raw import RawProcedure
from ringcut.relations.resolve import resolve

WORDS = """
steps:
  tape: {says: two marks, readings: {far: {kind: length, unit: in}, near: {kind: length, unit: in},
    reach: {kind: length, unit: in, per: side}}}
"""
RULE = "  - {{rule: it, says: s, class: major, limit: {limit}}}"
APART = "tape.far - tape.near >= 5 in"


def from_yaml(step: dict[str, object]) -> RawProcedure | None:
    return read_raw(json.dumps({"procedure": "log", "steps": [step]}, indent=1).encode(), "log.yaml", [])


def from_line(step: dict[str, object]) -> RawProcedure:
    return read_jsonl_line(json.dumps({"procedure": "log", "steps": [step]}).encode(), "logs.jsonl", 1)


FILES = [from_yaml, from_line]


def told(raw: RawProcedure | None, book: Rulebook) -> str:
    assert raw is not None
    report = judge_procedure(resolve(raw, book, []), book)
    evidence = [text for each in report.findings for text in each.evidence if text.startswith("probability")]
    return " ".join([report.rules[0].verdict, *evidence])


@pytest.mark.parametrize("read", FILES)
@pytest.mark.parametrize(
    ("limit", "readings", "says"),
    [
        # two marks with 0.1 in each: 0.1414 in together, so 0.14 in over the limit is one standard uncertainty: 84 %
        (APART, {"far": "8.1414 in u=0.1 in", "near": "3 in u=0.1 in"}, "undetermined probability of conformity 84%"),
        (APART, {"far": "8.3 in u=0.1 in", "near": "3 in u=0.1 in"}, "conforms"),
        (APART, {"far": "7.7 in u=0.1 in", "near": "3 in u=0.1 in"}, "nonconforming probability of conformity 2%"),
        # both sides of a step
        (
            "both(tape.reach) >= 10 in",
            {"reach": {"A": "5.1414 in u=0.1 in", "B": "5 in u=0.1 in"}},
            "undetermined probability of conformity 84%",
        ),
        # one reading used twice is one: it cancels, and adds up to twice its uncertainty
        ("tape.far - tape.far >= 0 in", {"far": "8 in u=0.1 in"}, "conforms"),
        ("tape.far + tape.far >= 10 in", {"far": "5.1 in u=0.1 in"}, "undetermined probability of conformity 84%"),
        ("both(tape.reach) >= 10 in", {"reach": "5.1 in u=0.1 in"}, "undetermined probability of conformity 84%"),
    ],
)
def test_readings_are_independent_in_yaml_and_in_one_line_of_json(
    compiled: Callable[[str, str], Rulebook],
    read: Callable[[dict[str, object]], RawProcedure | None],
    limit: str,
    readings: dict[str, object],
    says: str,
) -> None:
    book = compiled(WORDS, RULE.format(limit=limit))
    assert told(read({"do": "tape", **readings}), book) == says

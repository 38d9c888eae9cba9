"""Rules that say nothing until a district changes a value: they then do."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from ringcut.judge.judge import judge_procedure
from ringcut.language.ir import Rulebook
from ringcut.language.layering import load_layers
from ringcut.reading.procedurefile import read_procedure
from ringcut.relations.resolve import resolve
from ringcut.rulebookfiles import builtin_rulebook

HEAD = """\
rulebook: x
edition: "1"
based-on: base-practice
in-force-from: 2026-01-01
may-approve: {major: [R. Example]}
change:
"""
MEASURED = {"work": "trouble-opening", "sheath": "lead", "new-plant": "no"}
DAM = {"work": "inter-sheath-dam", "construction": "double"}


@pytest.fixture
def district(tmp_path: Path) -> Callable[[str], Rulebook]:
    def district(change: str) -> Rulebook:
        file = tmp_path / "house.yaml"
        file.write_text(f"{HEAD}  - {change}\n", encoding="utf-8")
        return load_layers(file, builtin_rulebook(), "2026-06-01").book

    return district


def verdicts(book: Rulebook, kind: str, job: dict[str, str], *steps: Any) -> dict[str, str]:
    data = json.dumps({"procedure": kind, "job": job, "steps": steps}).encode()
    procedure = resolve(read_procedure(data, "each"), book, [])
    return {each.rule: each.verdict for each in judge_procedure(procedure, book).rules}


@pytest.mark.parametrize(("resistance", "verdict"), [("2 megohm", "conforms"), ("1.9 megohm", "nonconforming")])
def test_insulation_has_a_limit_where_a_district_sets_one(
    district: Callable[[str], Rulebook], book: Rulebook, resistance: str, verdict: str
) -> None:
    step = {"do": "measure-insulation", "resistance": resistance}
    assert verdicts(book, "log", MEASURED, step)["insulation-house-limit"] == "not applicable"
    changed = district("{rule: insulation-house-limit, least: 2 megohm, reason: wet ground}")
    assert verdicts(changed, "log", MEASURED, step)["insulation-house-limit"] == verdict


def test_a_resistance_that_is_not_written_is_no_question_where_no_limit_is_set(book: Rulebook) -> None:
    """It was undetermined in every log that names the measurement only, for a limit of nothing."""
    assert verdicts(book, "log", MEASURED, "measure-insulation")["insulation-house-limit"] == "not applicable"


def test_inner_sheath_stays_free_where_a_district_lets_tapes_reach_further(
    district: Callable[[str], Rulebook],
) -> None:
    changed = district("{rule: dam-clamp-tape-reach, furthest: 1-1/4 in, reason: wide clamps, approved-by: R. Example}")
    steps = {"do": "remove-outer-sheath", "section-length": "7 in"}, {"do": "tape-clamps", "reach": "1-1/8 in"}
    found = verdicts(changed, "plan", DAM, *steps)
    assert (found["dam-clamp-tape-reach"], found["dam-inner-free"]) == ("conforms", "nonconforming")

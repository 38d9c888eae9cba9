"""What the likelier reading of a refused cell would change is told to the reviewer and to nobody else."""

from __future__ import annotations

from pathlib import Path

import pytest

from ringcut.archive.answering import questions_file
from ringcut.archive.likelier import measure_in
from ringcut.archive.results import Item, LogReport
from ringcut.archive.work import Bench, Piece, Settings
from ringcut.rulebookfiles import builtin_rulebook


@pytest.fixture(scope="module")
def items(data: Path, compiled: Path) -> tuple[Item, ...]:
    settings = Settings(
        builtin_rulebook(), "2026-04-01", columns=(data / "contractor-c.yaml",), jobs=data / "workorders.csv",
        cache=compiled,
    )  # fmt: skip
    return Bench(settings).done(Piece(data / "contractor-c.csv", "contractor-c.csv")).items


@pytest.fixture(scope="module")
def reports(items: tuple[Item, ...]) -> dict[str, LogReport]:
    return {item.report.reference: item.report for item in items if item.report}


@pytest.mark.parametrize(
    ("reference", "where", "value", "says"),
    [
        ("HV-2031", "23:K", "3/4 in", "lead-tape-overlap would conform"),
        # 15-1/2 in of opening, twice 3/4 in of tape and twice 5 in of adhesive
        ("HV-2031", "23:K", "3/4 in", "sleeve-long-enough would need at least 27 in"),
        ("HV-2031", "23:K", "3/4 in", "lead-scuffed-under-adhesive, side A would be broken"),
        ("HV-2031", "31:N", "42 kPa", "restoring-pressure would conform"),
        ("HV-2047", "44:I", "12.7 cm", "adhesive-bond-length would conform"),
    ],
)
def test_what_would_follow(reports: dict[str, LogReport], reference: str, where: str, value: str, says: str) -> None:
    (found,) = [each for each in reports[reference].would if each.where == where]
    assert found.value == value
    assert says in found.says


def test_nothing_of_it_is_used_or_asked(items: tuple[Item, ...], reports: dict[str, LogReport]) -> None:
    verdicts = {each.rule: each.verdict for each in reports["HV-2031"].rules}
    assert verdicts["lead-tape-overlap"] == verdicts["lead-scuffed-under-adhesive"] == "undetermined"
    assert b"would" not in questions_file([ask for item in items for ask in item.asks])


@pytest.mark.parametrize(
    ("likely", "unit", "measure"),
    [
        ("kPa? 42 kPa is 6.1 psi", "psi", "42 kPa"),
        ("cm? 12.7 cm is 5 in", "in", "12.7 cm"),
        ("20.9?", "%", "20.9 %"),
        ("5.5 in?", "in", "5.5 in"),
        ("5?", "in", "5 in"),
        ("3/4?", "in", "3/4 in"),
        ("3/4 or 4/3?", "in", ""),
        ("absolute kPa? The air alone is 101 kPa", "psi", ""),
        ("Did they mean HV-2044?", "", ""),
        ("", "in", ""),
    ],
)
def test_only_a_measure_is_one(likely: str, unit: str, measure: str) -> None:
    assert measure_in(likely, unit) == measure


def test_the_side_that_is_right_stands_beside_the_one_that_is_not(reports: dict[str, LogReport]) -> None:
    (short,) = [
        each
        for each in reports["HV-2031"].findings
        if each.rule == "adhesive-bond-length" and each.verdict == "nonconforming"
    ]
    assert "side A 5½” conforms; the mean, 5-3/16 in, does not count" in short.evidence

"""What was found and what is needed, told in the unit that the crew wrote; a formula by its result alone."""

from __future__ import annotations

import pytest
from tests.archive.small import COLUMNS, Small

from ringcut.archive.results import LogReport
from ringcut.archive.work import Bench, Piece, Settings
from ringcut.rulebookfiles import builtin_rulebook


def report(small: Small, heading: str, reading: str, row: str) -> LogReport:
    columns = COLUMNS.replace("Remarks: note}", f"Remarks: note, {heading}}}")
    columns = columns.replace("pressurized: no", "pressurized: yes")
    (small.folder / "c.yaml").write_text(columns)
    (small.folder / "s.csv").write_text(f"WO,Date,Time,By,Task,Remarks,{reading}\nK-1,2026-05-04,9:00,TL,{row}\n")
    settings = Settings(builtin_rulebook(), "2026-06-01", columns=(small.folder / "c.yaml",), cache=small.cache)
    (item,) = Bench(settings).done(Piece(small.folder / "s.csv", "s.csv")).items
    assert item.report is not None
    return item.report


@pytest.mark.parametrize(("value", "found", "needed", "margin"), [
    ("120 mm", "bond length 120 mm (4.72 in)", "at least 127 mm (5 in)", "7 mm short"),
    ("12 cm", "bond length 12 cm (4.72 in)", "at least 12.7 cm (5 in)", "0.7 cm short"),
    ("4-7/8 in", "bond length 4-7/8 in", "at least 5 in", "1/8 in short"),
])  # fmt: skip
def test_a_limit_is_told_in_the_unit_of_the_crew(
    small: Small, value: str, found: str, needed: str, margin: str
) -> None:
    made = report(small, "Bond: assemble-sleeve.bond-length", "Bond", f"assemble-sleeve,,{value}")
    (broken,) = [
        each for each in made.findings if each.rule == "adhesive-bond-length" and each.verdict == "nonconforming"
    ]
    assert (broken.found, broken.needed, broken.margin) == (found, needed, margin)


HOLD = (
    "p1: hold-test.start-pressure, p2: hold-test.end-pressure, "
    "T1: hold-test.start-temperature, T2: hold-test.end-temperature"
)
WORKED_OUT = "worked out 2.51 kPa (0.364 psi)"


@pytest.mark.parametrize(("t2", "found"), [("20 degC", WORKED_OUT), ("", "cannot be worked out")])
def test_a_fall_that_is_worked_out_is_told_without_its_formula(small: Small, t2: str, found: str) -> None:
    """Gas at constant volume: (101.325 + 42) * 293.15 / 294.15 - (101.325 + 39) = 2.513 kPa."""
    made = report(small, HOLD, "p1,p2,T1,T2", f"hold-test,,42 kPa,39 kPa,21 degC,{t2}")
    (told,) = [each for each in made.findings if each.rule == "hold-fall"]
    assert told.found == found
    assert "absolute" not in told.message

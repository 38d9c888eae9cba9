"""What is warned of is warned of wherever it can be: the warnings of the rulebook against the facts of jobs."""

from __future__ import annotations

import pytest

from ringcut.draft.drafting import draft
from ringcut.draft.models import Job, Model
from ringcut.language.ir import Rulebook

JOB: Job = {
    "work": "sheath-repair", "sheath": "lead", "construction": "single", "core": "paper", "pressurized": "no",
    "cable-diameter": "2.05 in", "opening-length": "4 in",
}  # fmt: skip


def warned(job: Job, book: Rulebook, models: list[Model]) -> str:
    report = draft(job, book, models).report
    assert report is not None
    return " ".join(notice.says for notice in report.warnings)


@pytest.mark.parametrize(
    ("place", "gas"),
    [
        ({"location": "manhole"}, True),
        ({"location": "vault", "vault-flame-allowed": "yes", "vault-ventilated": "yes"}, True),
        ({"location": "pit", "pit-depth": "3 ft"}, True),
        ({"location": "buried", "pit-depth": "5 ft", "gas-seepage": "yes"}, True),
        ({"location": "buried", "pit-depth": "5 ft"}, False),
        ({"location": "aerial"}, False),
    ],
)
def test_gas_is_warned_of_wherever_the_air_is_tested(
    place: Job, gas: bool, book: Rulebook, models: list[Model]
) -> None:
    """A trench into which gas seeps had its tests of the air, and no word of what they are for."""
    assert ("Gas and bad air" in warned({**JOB, **place}, book, models)) == gas


def test_lead_flame_voltage_and_blades_are_warned_of(book: Rulebook, models: list[Model]) -> None:
    told = warned({**JOB, "location": "aerial"}, book, models)
    for word in ("Lead dust", "open flame", "Foreign voltage", "Blades", "pole or strand"):
        assert word in told

"""A step said not to apply is a finding where the job demands it, and none where it does not (common practice)."""

from __future__ import annotations

import pytest

from ringcut.checking import check
from ringcut.language.compile import compile_rulebook
from ringcut.language.ir import Rulebook
from ringcut.language.sources import read_sources
from ringcut.rulebookfiles import builtin_rulebook

MANHOLE = "location: manhole, manhole-depth: 9 ft, work: trouble-opening, sheath: lead, core: paper, pressurized: no"
POLE = "location: aerial, work: trouble-opening, sheath: polyethylene, core: plastic, pressurized: no"


@pytest.fixture(scope="module")
def trade() -> Rulebook:
    return compile_rulebook(read_sources(builtin_rulebook()))


@pytest.mark.parametrize(
    ("job", "claimed", "others", "verdict"),
    [
        (MANHOLE, "test-atmosphere", "enter-manhole", "nonconforming"),
        (MANHOLE, "place-ladder", "enter-manhole", "nonconforming"),
        (MANHOLE, "place-desiccant", "wrap-rubber-tape", "nonconforming"),
        (MANHOLE, "repair-conductors", "enter-manhole", "nonconforming"),
        (MANHOLE, "place-desiccant", "enter-manhole", "not applicable"),
        (MANHOLE, "monitor-atmosphere", "enter-manhole", "not applicable"),
        (MANHOLE, "post-attendant", "enter-manhole", "not applicable"),
        (MANHOLE + ", water-in-hole: yes", "pump-water", "open-sheath", "nonconforming"),
        (MANHOLE + ", water-in-hole: no", "pump-water", "open-sheath", "not applicable"),
        (POLE, "test-atmosphere", "climb", "not applicable"),
        (POLE, "bond-strand", "clamp-lashing", "not applicable"),
        ("location: buried", "dig", "open-sheath", "nonconforming"),
    ],
)
def test_a_step_is_said_not_to_apply(trade: Rulebook, job: str, claimed: str, others: str, verdict: str) -> None:
    text = (
        f"procedure: log\njob: {{construction: single, jacket: none, {job}}}\n"
        f"steps:\n  - {{do: {claimed}, status: not-applicable, reason: none here}}\n  - {others}\n"
    )
    report = check(text.encode(), "log.yaml", trade)
    assert {rule.rule: rule.verdict for rule in report.rules}["not-applicable-claimed"] == verdict

"""A finding stands at the step that a person would change; what is missing is named where nothing else asks for it."""

from __future__ import annotations

import pytest

from ringcut.checking import check
from ringcut.language.ir import Rulebook

HEAD = """procedure: plan
job: {work: trouble-opening, sheath: polyethylene, construction: single, core: plastic, pressurized: no}
steps:
  - {do: place-permanent-bond, conductor: bar, bar-angle: 12 o'clock}
"""


@pytest.mark.parametrize(
    ("steps", "line", "step"),
    [
        ("{do: assemble-sleeve, channel-angle: 12 o'clock}", 5, "assemble-sleeve"),
        ("{do: assemble-sleeve, channel-angle: 12 o'clock}\n  - {do: turn-channel, channel-angle: 1 o'clock}", 6,
         "turn-channel"),
    ],
)  # fmt: skip
def test_a_channel_over_the_bar_is_told_where_it_is_turned(steps: str, line: int, step: str, book: Rulebook) -> None:
    report = check(f"{HEAD}  - {steps}\n".encode(), "plan.yaml", book)
    found = next(each for each in report.findings if each.rule == "channel-away-from-bar")
    assert (found.line, found.steps[0]) == (line, step)
    assert any("bar angle 12" in each for each in found.evidence)


def test_work_inside_asks_for_the_cable_to_be_identified(book: Rulebook) -> None:
    """Neither the opening nor the identification stands in the plan: both are missing, and the second is the graver."""
    text = HEAD[: HEAD.index("  - ")] + "  - repair-conductors\n  - clear-with-test-desk\n"
    report = check(text.encode(), "plan.yaml", book)
    told = {each.rule: each.message for each in report.findings if not each.told_under}
    assert told["cable-identified"].startswith("no identify-cable")

"""A step of a plan that comes before nothing is one cause of all that it breaks."""

from __future__ import annotations

from ringcut.checking import check
from ringcut.judge.findings import Report
from ringcut.language.ir import Rulebook

STEPS = """\
- clean-lead
- {do: place-temporary-bond, conductor-size: 6 AWG}
- {do: open-sheath, opening-length: 14 in}
- {do: scuff-lead, scuffed-length: 7 in}
- wipe-lead
- bag-scrap
- wash-hands
"""
JOB = "procedure: plan\njob: {work: trouble-opening, sheath: lead, construction: single, location: building}\nsteps:\n"


def judged(steps: str, book: Rulebook) -> Report:
    return check((JOB + steps).encode(), "plan.yaml", book)


def flagged(report: Report) -> set[str]:
    return {each.rule for each in report.findings}


def test_what_a_step_without_a_place_breaks_is_one_cause(book: Rulebook) -> None:
    """Symptom: one «after» that tore a plan in two was told as seventeen causes, and as none of them."""
    loose = judged(STEPS.replace("- wipe-lead", "- {do: wipe-lead, after: [clean-lead]}"), book)
    new = flagged(loose) - flagged(judged(STEPS, book))
    assert {"no-successor", "lead-wiped"} <= new or len(new) >= 3, new
    (cause,) = {each.group for each in loose.findings if each.rule in new}
    assert flagged(loose) - {each.rule for each in loose.findings if each.group == cause} == flagged(
        judged(STEPS, book)
    )
    (head,) = [each for each in loose.findings if each.group == cause and not each.told_under]
    assert head.in_common.startswith("scuff-lead (line 7) comes before nothing")
    assert {head.rule, *head.also} == new


def test_a_plan_that_keeps_together_has_no_such_cause(book: Rulebook) -> None:
    report = judged(STEPS.replace("- wipe-lead", "- {do: wipe-lead, after: [scuff-lead]}"), book)
    assert flagged(report) == flagged(judged(STEPS, book))
    assert not any("comes before nothing" in each.in_common for each in report.findings)

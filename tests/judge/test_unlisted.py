"""A size that the stock list does not have: said once, by its name, and never taken for one that fits."""

from __future__ import annotations

from ringcut.checking import read
from ringcut.judge.judge import judge_procedure
from ringcut.language.ir import Rulebook

SIZED = {"sleeve-slips-over", "sleeve-shrinks-onto", "sleeve-within-stock"}


def test_three_rules_that_look_it_up_are_one_cause(book: Rulebook) -> None:
    """Symptom: "stock list slips over not there; take the next larger size", three times."""
    steps = (
        "measure-diameters, {do: select-sleeve, size: X-9}, {do: trim-sleeve, sleeve-length: 28 in}, assemble-sleeve"
    )
    text = f"{{procedure: plan, job: {{work: trouble-opening, sheath: lead}}, steps: [{steps}]}}"
    report = judge_procedure(read(text.encode(), "plan.yaml", book), book, rules=SIZED)
    assert {each.verdict for each in report.rules} == {"undetermined"}
    head = [each for each in report.findings if not each.told_under]
    assert [each.found for each in head] == ["the stock list has no size X-9"]
    assert head[0].needed == "a size that stands there"
    assert head[0].remedy == "Take a size that stands there, or give the list in which it stands."


def test_a_row_that_a_range_lacks_keeps_the_remedy_of_its_rule(book: Rulebook) -> None:
    """7 CFR 1755.403(a)(5) has no row for a diameter beyond its last."""
    text = (
        "{procedure: log, job: {work: trouble-opening, sheath: polyethylene, shield-type: A, cable-diameter: 5 in},"
        " steps: [{do: measure-shield, resistance: 1 ohm, temperature: 68 degF, measured-length: 1000 ft}]}"
    )
    report = judge_procedure(read(text.encode(), "log.yaml", book), book, rules={"shield-resistance"})
    rule = book.rule("shield-resistance")
    assert rule is not None
    assert [each.remedy for each in report.findings] == [rule.remedy]

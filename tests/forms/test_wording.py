"""Sentences of findings that once said something else than what was found."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from ringcut.checking import check
from ringcut.draft.drafting import draft
from ringcut.draft.models import Job, Model
from ringcut.judge.findings import Report
from ringcut.language.ir import Rulebook

Reported = Callable[[str, str], Report]


def _plan(steps: str) -> str:
    return f"{{procedure: plan, steps: [{steps}]}}"


def _message(report: Report) -> str:
    return report.findings[0].message


def test_what_only_may_come_later_is_not_said_to_come_later(reported: Reported) -> None:
    free = _message(reported("need: p, before: use", _plan("any-order: [make-p, use]")))
    assert free.startswith("make-p (line 1) may come only after use (line 1)")
    fixed = _message(reported("need: p, before: use", _plan("use, make-p")))
    assert fixed.startswith("make-p (line 1) comes only after use (line 1)")


@pytest.mark.parametrize(
    ("product", "told"),
    [
        ("wrap.layers * 2 in - (wrap.layers - 1) * wrap.width", "layers * 2 in - (layers - 1) * width"),
        ("wrap.layers * (wrap.width + 1 in)", "layers * (width + 1 in)"),
        ("wrap.width + 2 * wrap.width - 1 in", "width + 2 * width - 1 in"),
        ("20 in - (wrap.width + 1 in)", "20 in - (width + 1 in)"),
    ],
)
def test_a_sum_in_a_product_keeps_its_brackets(product: str, told: str, reported: Reported) -> None:
    report = reported(f'limit: "{product} >= 90 in"', _plan("{do: wrap, layers: 2, width: 3 in}"))
    assert _message(report).startswith(f"{told} ")


def test_either_steps_that_may_not_stand_are_said_without_the_signs_of_the_language(reported: Reported) -> None:
    report = reported("exclude: use / any handling", _plan("close"))
    assert report.findings[0].needed == "no use or handling step there"


def test_an_unfinished_log_is_not_said_to_lack_a_time(reported: Reported) -> None:
    report = reported("need: p, before: end", "{procedure: log, finished: no, steps: [make-p]}")
    assert report.findings[0].found == "the log is not finished"


def test_what_has_not_happened_yet_is_said_in_words(reported: Reported) -> None:
    report = reported("need: p, before: any handling", "{procedure: log, finished: no, steps: [make-p]}")
    assert report.findings[0].found == "no handling step yet"


def test_what_a_step_could_have_made_is_said_before_what_none_makes(reported: Reported) -> None:
    """A bond that came off is told, not the shield that was cut hours ago and that nothing makes whole."""
    report = reported("need: z or p, before: use", "{procedure: log, steps: [make-p, end-z, end-p, use]}")
    assert report.findings[0].found == "not p since end-p (line 1)"
    assert "not z since end-z (line 1)" in report.findings[0].evidence


def test_what_no_step_makes_is_not_called_a_step_that_is_missing(reported: Reported) -> None:
    report = reported("need: z, before: use", "{procedure: log, records: milestones, steps: [end-z, use]}")
    assert report.findings[0].found == "not z since end-z (line 1)"
    assert report.findings[0].verdict == "nonconforming"
    report = reported("need: dry, before: use", "{procedure: log, job: {deep: no}, records: milestones, steps: [use]}")
    assert report.findings[0].found == "not yet dry"
    assert report.findings[0].verdict == "nonconforming"


@pytest.mark.parametrize("beside", ["", '{do: wait-5, started: "10:04", at: "10:20"}, '])
def test_how_long_it_was_not_kept_is_said(beside: str, reported: Reported) -> None:
    """With one order, and beside an entry that overlaps."""
    again = '{do: make-p, started: "10:03", at: "10:15"}, {do: use, at: "11:00"}'
    steps = f'{{do: make-p, at: "9:00"}}, {{do: use, at: "9:30"}}, {{do: end-p, at: "10:03"}}, {beside}{again}'
    (told,) = reported("keep: p, within: 10 min, from: use", f"{{procedure: log, steps: [{steps}]}}").findings
    assert told.margin == "2 min over"
    assert "for 12 min, 10 min allowed" in told.evidence
    kept = reported("keep: p, within: 12 min, from: use", f"{{procedure: log, steps: [{steps}]}}")
    assert kept.verdict == "conforms"


@pytest.mark.parametrize("beside", ["use", "any-order: [use, close]"])
@pytest.mark.parametrize("kind", ["plan", "log"])
def test_what_was_not_kept_is_told_where_it_ended(kind: str, beside: str, reported: Reported) -> None:
    """Symptom: guards taken away too early were told at the line where the cover came off."""
    if kind == "log":
        beside = "use"
    lines = [f"procedure: {kind}", "steps:", "- make-p", "- make-q", f"- {beside}", "- end-p", "- end-q", "- make-p"]
    (told,) = reported("keep: p, while: q", "\n".join(lines) + "\n").findings
    assert (told.line, told.steps[0]) == (6, "end-p")
    assert told.found == "not p since end-p (line 6)"
    assert "q since make-q (line 4)" in told.evidence
    assert told.example_order == ()


def test_an_order_is_shown_where_another_would_do(reported: Reported) -> None:
    free = reported("need: p, before: use", _plan("make-p, any-order: [end-p, use]")).findings[0]
    assert "end-p" in free.example_order
    fixed = reported("need: p, before: use", _plan("make-p, end-p, any-order: [make-q, use]")).findings[0]
    assert fixed.example_order == ()


def test_a_reading_that_ended_a_condition_is_told_with_its_limit(book: Rulebook) -> None:
    """Symptom: gas and foreign voltage over the limit were told as "not gas good", without the number that was read."""
    lines = (
        "procedure: log", "records: every-step",
        "job: {work: trouble-opening, sheath: lead, construction: single, location: manhole}", "steps:",
        "- open-manhole", "- {do: test-atmosphere, combustible-gas: 12 %LFL, oxygen: 19.4 %}", "- enter-manhole",
        "- {do: check-foreign-voltage, voltage: 72 V, current: ac}", "- clean-lead",
    )  # fmt: skip
    report = check("\n".join(lines).encode(), "log.yaml", book)
    found = {each.rule: each.found for each in report.findings}
    assert found["gas-before-entry"] == (
        "since test-atmosphere (line 6) no longer: combustible gas within the limit (combustible gas 12 %LFL, "
        "needed 0 to 10 %LFL)"
    )
    assert found["oxygen-before-entry"].endswith("(oxygen 19.4 %, needed at least 19.5 %)")
    assert found["voltage-before-hands"].startswith(
        "since check-foreign-voltage (line 8) no longer: foreign voltage measured and below the stop (voltage 72 V, "
        "needed at most 50 V"
    )


def test_what_went_stale_is_told_with_the_time_and_not_as_ended_by_what_made_it(
    book: Rulebook, models: list[Model]
) -> None:
    """Symptom: "not poly flamed since flame-treat", told as the place of that flame, where a second one was missing."""
    job: Job = {
        "work": "sheath-repair", "sheath": "polyethylene", "construction": "single", "core": "plastic",
        "pressurized": "no", "location": "building", "cable-diameter": "2.05 in", "opening-length": "34 in",
        "special": ["long-repair"], "special-procedure": ["long-repair"],
    }  # fmt: skip
    text = draft(job, book, models).text
    flame = "  - {do: flame-treat, treated-length: 6 in}\n"
    first, again, rest = text.rpartition(flame)
    head = check((first + rest).encode(), "plan.yaml", book).findings[0]
    assert again and head.also == ("long-repair-each-flamed",)
    assert head.found.startswith("not poly flamed: more than 15 min since flame-treat (line ")
    assert head.in_common.startswith("no flame-treat after flame-treat (line ")


@pytest.mark.parametrize(
    ("need", "needed"),
    [
        ("p or not q", "p, where another thing, before use"),
        ("not q or p", "p, where another thing, before use"),
        ("not q or (p and z)", "p and z, where another thing, before use"),
        ("p or z", "p or z before use"),
        ("not q", "not q before use"),
        ("p and (z or (w and not q))", "p and (z or (w and not q)) before use"),
    ],
)
def test_what_is_needed_where_something_else_is_so_is_said_so(need: str, needed: str, reported: Reported) -> None:
    """Symptom: «combustible gas within the limit or not gas was found before light-torch»."""
    report = reported(f"need: {need}, before: use", "{procedure: log, steps: [make-q, end-p, end-z, use]}")
    assert {each.needed for each in report.findings} == {needed}


def test_a_product_without_a_name_is_told_in_its_base_units(reported: Reported) -> None:
    """Symptom: a limit on an area that failed was an internal error. 1 in is 0.0254 m by definition."""
    plan = _plan("{do: wrap, layers: 2, width: 3 in}")
    finding = reported('limit: "wrap.width * wrap.width >= 4 in * 4 in"', plan).findings[0]
    assert (finding.found, finding.needed, finding.margin) == (
        "width * width 0.00580644 m2", "at least 0.0103226 m2", "0.00451612 m2 short",
    )  # fmt: skip
    finding = reported('limit: "1 / wrap.width / wrap.width <= 1 / 9 in / 9 in"', plan).findings[0]
    assert finding.margin == "153.087 1/m2 over"

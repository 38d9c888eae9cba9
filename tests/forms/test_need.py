"""``need``, by the rows of its table in the language: every column a case."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from ringcut.judge.findings import Report

OK, BAD, UNCLEAR, NONE = "conforms", "nonconforming", "undetermined", "not applicable"
BEFORE, END, SOON = "need: p, before: use", "need: p, before: end", "need: p, before: use, within: 10 min"

CASES = [
    (BEFORE, "plan make-p, use", OK),
    (BEFORE, "plan use", BAD),
    (BEFORE, "plan make-p", NONE),  # no a
    (BEFORE, "plan make-p, end-p, use", BAD),
    (BEFORE, "plan make-p, end-p, make-p, use", OK),
    (BEFORE, "plan make-p, use, end-p, use", BAD),  # every a
    (BEFORE, "plan make-p, {any-order: [use, end-p]}", BAD),
    (BEFORE, "plan make-p, use, {any-order: [use, wait-5]}, end-p", OK),
    (BEFORE, "plan {do: make-p, optional: yes}, use", BAD),
    (BEFORE, "plan make-p, {do: end-p, optional: yes}, use", BAD),
    ("need: p, before: make-p", "plan make-p", BAD),  # a's own effects do not count
    ("need: p, before: end-p", "plan make-p, end-p", OK),
    ("need: p, before: use / close", "plan close, make-p, use", BAD),
    ("need: p, before: any handling", "plan make-p, close, use", OK),
    ("need: not p, before: use", "plan use", OK),
    ("need: not p, before: use", "plan make-p, use", BAD),
    ("need: p or q, before: use", "plan make-p, make-q, {any-order: [end-p, end-q]}, use", BAD),
    ("need: p or q, before: use", "plan make-q, {any-order: [make-p, end-p]}, use", OK),
    # redo: the latest is judged, unless the rule says every
    ("need: p, before: wrap", "plan wrap, make-p, wrap", OK),
    ("need: p, before: wrap, judge: every", "plan wrap, make-p, wrap", BAD),
    # sides: a condition of a side that an unsided step uses must hold on every side
    ("need: s, before: bond", "plan {do: make-s, side: A}, {do: bond, side: A}", OK),
    ("need: s, before: bond", "plan {do: make-s, side: A}, {do: bond, side: B}", BAD),
    ("need: s, before: use", "plan {do: make-s, side: A}, use", BAD),
    ("need: s, before: use", "plan make-s, use", OK),
    ("need: s, before: use", "plan make-s, {do: end-s, side: B}, use", BAD),
    # what is only known when done is open in a plan, and evidence in a log
    (BEFORE, "plan read-p, use", OK),
    (BEFORE, "plan use, read-p", BAD),
    ("need: not p, before: use", "plan read-p, use", OK),
    (BEFORE, "log {do: read-p, gas: 10 %LFL}, use", OK),
    (BEFORE, "log {do: read-p, gas: 11 %LFL}, use", BAD),
    (BEFORE, "log {do: read-p, gas: <11 %LFL}, use", UNCLEAR),
    (BEFORE, "log read-p, use", UNCLEAR),
    (BEFORE, "log {do: read-p, gas: 40 %LFL}, {do: read-p, gas: 0 %LFL}, use", OK),
    (BEFORE, "log {do: read-p, gas: 40 %LFL}, use, {do: read-p, gas: 0 %LFL}", BAD),
    # logs
    (BEFORE, "log 10:00-10:10 make-p, 10:05 use", BAD),
    (BEFORE, "log 10:00 make-p, 10:05-10:20 use, 10:10 end-p", BAD),  # an overlapping step that ends p counts
    (BEFORE, "log 10:00 make-p, 10:05-10:20 use, 10:20 end-p", OK),
    (BEFORE, "log records: milestones | use", UNCLEAR),
    (BEFORE, "log records: milestones | make-p, end-p, use", UNCLEAR),  # it may have been made again
    ("need: z, before: use", "log records: milestones | end-z, use", BAD),  # no step makes it
    ("need: z or p, before: use", "log records: milestones | end-z, use", UNCLEAR),
    (BEFORE, "log use, {do: make-p, status: not-recorded, reason: lost}", UNCLEAR),
    (BEFORE, "log finished: no | make-p", UNCLEAR),
    (BEFORE, "log finished: no | use", BAD),
    (BEFORE, "log finished: no | make-p, use", OK),
    # the facts of the job
    ("need: dry, before: use", "plan job: {deep: yes} | use", OK),
    ("need: dry, before: use", "plan job: {deep: no} | use", BAD),
    ("need: dry, before: use", "plan use", UNCLEAR),
    ("need: p, before: use, when: deep", "plan job: {deep: no} | use", NONE),
    ("need: p, before: use, when: deep", "plan use", UNCLEAR),  # not known to apply, and not fulfilled
    ("need: p, before: use, when: deep", "plan make-p, use", OK),
    ("need: p, before: bond, when: outer", "plan job: {outer: {A: yes, B: no}} | {do: bond, side: B}", NONE),
    ("need: p, before: bond, when: outer", "plan job: {outer: {A: yes, B: no}} | bond", BAD),
    # at the end
    (END, "plan make-p", OK),
    (END, "plan use", BAD),
    (END, "plan make-p, end-p", BAD),
    (END, "plan {any-order: [make-p, end-p]}", BAD),
    (END, "log make-p", OK),
    (END, "log finished: no | make-p", UNCLEAR),
    (END, "log finished: no | end-p", UNCLEAR),
    ("need: s, before: end", "plan {do: make-s, side: A}", BAD),
    # lapsing by time
    ("need: w, before: use", "plan make-w, use", OK),
    ("need: w, before: use", "plan make-w, wait-5, use", OK),
    ("need: w, before: use", "plan make-w, wait-20, use", BAD),
    ("need: w, before: use", "plan make-w, {any-order: [wait-20, use]}", OK),  # a reminder on the card, never a pass
    ("need: w, before: use", "log 10:00 make-w, 10:10 use", OK),
    ("need: w, before: use", "log 10:00 make-w, 10:11 use", BAD),
    ("need: w, before: use", "log 10:00 make-w, 10:05-10:20 use", OK),
    ("need: w, before: use", "log make-w, 10:05 use", UNCLEAR),
    ("need: not w, before: use", "log 10:00 make-w, 10:10 use", OK),
    ("need: not w, before: use", "log 10:00 make-w, 10:09 use", BAD),
    # within: p at a, or made at most d after a finished
    (SOON, "plan make-p, use", OK),
    (SOON, "plan use, make-p", OK),
    (SOON, "plan use, wait-5, make-p", OK),
    (SOON, "plan use, wait-20, make-p", BAD),
    (SOON, "plan use", BAD),
    (SOON, "plan {any-order: [use, make-p]}", BAD),  # no maker necessarily after it
    (SOON, "plan use, {do: make-p, optional: yes}", BAD),
    (SOON, "plan use, read-p", OK),
    (SOON, "log 10:00 use, 10:10 make-p", OK),
    (SOON, "log 10:00 use, 10:11 make-p", BAD),
    (SOON, "log 9:00-10:00 use, 10:10 make-p", OK),
    (SOON, "log 10:00 use, make-p", UNCLEAR),
    (SOON, "log 10:00 use, 10:05 read-p gas: 40 %LFL", BAD),
    (SOON, "log 10:00 use, 10:05 read-p", UNCLEAR),  # the missing reading is no pass
    (SOON, "log 10:00 use, 10:05 read-p, 10:08 read-p gas: 0 %LFL", OK),
    (SOON, "log 10:00 use, 10:05 read-p gas: 40 %LFL, 10:08 make-p", OK),
    (SOON, "log finished: no | 10:00 use, 10:05 close", UNCLEAR),  # not yet, and the time has not passed
    (SOON, "log finished: no | 10:00 use, 10:15 close", BAD),
    (SOON, "log finished: no | 10:00 use, close", UNCLEAR),
]


@pytest.mark.parametrize(("rule", "procedure", "expected"), CASES)
def test_need(verdict: Callable[[str, str], str], rule: str, procedure: str, expected: str) -> None:
    assert verdict(rule, procedure) == expected


@pytest.mark.parametrize(
    ("rule", "plan", "found"),
    [
        (BEFORE, "{do: make-p, optional: yes}, use", "not yet p: make-p (line 1) is optional and may be left out"),
        (
            BEFORE, "make-p, end-p, {do: make-p, id: again, optional: yes}, use",
            "not p since end-p (line 1): again (line 1) is optional and may be left out",
        ),
        (
            "need: not p, before: use", "make-p, {do: end-p, optional: yes}, use",
            "p since make-p (line 1): end-p (line 1) is optional and may be left out",
        ),
        (
            BEFORE, "{do: make-p, optional: yes}, {do: read-p, optional: yes}, use",
            "not yet p: make-p (line 1) and read-p (line 1) are optional and may be left out",
        ),
        (BEFORE, "{do: make-p, optional: yes}, end-p, use", "not p since end-p (line 1)"),
        (BEFORE, "make-p, end-p, use", "not p since end-p (line 1)"),
        (
            BEFORE, "{do: make-p, id: first, optional: yes}, use, make-p",
            "make-p (line 1) comes only after use (line 1): first (line 1) is optional and may be left out",
        ),
        (BEFORE, "use, make-p, {do: make-p, id: late, optional: yes}", "make-p (line 1) comes only after use (line 1)"),
    ],
    ids=["first", "made again", "ended", "two", "undone after it", "none is optional", "too late", "later still"],
)  # fmt: skip
def test_an_optional_step_that_is_needed_is_named(
    reported: Callable[[str, str], Report], rule: str, plan: str, found: str
) -> None:
    """Only where doing it would have been in time: one that is undone afterwards is not what is wrong."""
    (finding,) = reported(rule, _plan(plan)).findings
    assert finding.found == found


def test_an_optional_step_of_another_side_is_not_named(reported: Callable[[str, str], Report]) -> None:
    plan = "{do: make-s, side: A}, {do: make-s, side: B, optional: yes}, {do: end-s, side: A}, bond"
    found = {each.side: each.found for each in reported("need: s, before: bond", _plan(plan)).findings}
    assert "optional" not in found["A"]
    assert found["B"].endswith("make-s (line 1) is optional and may be left out, side B")


def _plan(steps: str) -> str:
    return f"{{procedure: plan, steps: [{steps}]}}"

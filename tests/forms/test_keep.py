"""``keep``, by the rows of its table in the language: every column a case."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from ringcut.judge.findings import Report

OK, BAD, UNCLEAR, NONE = "conforms", "nonconforming", "undetermined", "not applicable"
KEEP, ON = "keep: p, from: use, until: close", "keep: p, from: use"
WHILE, GRACE = "keep: p, while: q", "keep: p, from: use, until: close, within: 10 min"

CASES = [
    (KEEP, "plan make-p, use, close", OK),
    (KEEP, "plan use, make-p, close", BAD),
    (KEEP, "plan make-p, close", NONE),  # no a
    (KEEP, "plan make-p, use, end-p, close", BAD),
    (KEEP, "plan make-p, use, end-p, make-p, close", BAD),
    (KEEP, "plan make-p, use, close, end-p", OK),
    (KEEP, "plan make-p, use, end-p", BAD),  # no b: to the end
    (KEEP, "plan close, make-p, use", OK),  # a b before it is ignored
    (KEEP, "plan make-p, use, use, close, end-p", OK),  # inside an open window an a changes nothing
    (KEEP, "plan make-p, use, close, end-p, use, close", BAD),  # each a
    (KEEP, "plan make-p, use, {any-order: [end-p, close]}", BAD),
    (KEEP, "plan make-p, {any-order: [end-p, use]}, make-p, close", BAD),
    (KEEP, "plan make-p, end-p, {any-order: [make-p, wait-5]}, use, close", OK),
    (KEEP, "plan make-p, use, {do: close, optional: yes}, end-p", BAD),
    (KEEP, "plan make-p, use, {do: end-p, optional: yes}, close", BAD),
    ("keep: p, from: make-p, until: close", "plan make-p, close", OK),  # its effects are counted
    ("keep: not p, from: make-p, until: close", "plan make-p, close", BAD),
    ("keep: p, from: use, until: end-p", "plan make-p, use, end-p", OK),  # to just before the next b
    ("keep: p, from: use, until: use", "plan make-p, use, use, end-p, use", BAD),  # both a and b: closes, then opens
    ("keep: p, from: use, until: use", "plan use, make-p, use", BAD),
    ("keep: p, until: close", "plan make-p, close", BAD),  # no from: from the start
    ("keep: z, until: close", "plan close, end-z", OK),
    ("keep: z, until: close", "plan end-z, close", BAD),
    ("keep: z, from: start, until: end", "plan use", OK),
    ("keep: z", "plan end-z", BAD),
    (ON, "plan make-p, use, end-p", BAD),
    (ON, "plan make-p, use", OK),
    (WHILE, "plan make-q, end-q", BAD),
    (WHILE, "plan make-p, make-q, end-q, end-p", OK),
    (WHILE, "plan make-p, make-q, end-p, end-q", BAD),
    (WHILE, "plan make-p, make-q, {any-order: [end-p, end-q]}", BAD),
    (WHILE, "plan use", OK),  # one window from the start to the end, and q never
    # sides
    ("keep: s, from: bond, until: close", "plan {do: make-s, side: A}, {do: bond, side: A}, close", OK),
    ("keep: s, from: bond, until: close", "plan {do: make-s, side: A}, bond, close", BAD),
    ("keep: s, from: bond, until: close", "plan make-s, {do: bond, side: A}, {do: end-s, side: B}, close", OK),
    ("keep: s, from: use, until: close", "plan {do: make-s, side: A}, use, close", BAD),
    # only known when done
    (KEEP, "plan read-p, use, close", OK),
    (KEEP, "log {do: read-p, gas: 10 %LFL}, use, close", OK),
    (KEEP, "log read-p, use, close", UNCLEAR),
    (KEEP, "log make-p, use, read-p, close", UNCLEAR),
    (KEEP, "log make-p, use, {do: read-p, gas: 11 %LFL}, close", BAD),
    # overlaps: replaying their begins and ends would let these pass
    (KEEP, "log 9:00 make-p, 10:00-10:30 use, 10:10 end-p, 10:20 make-p, 11:00 close", BAD),
    (KEEP, "log 9:00 make-p, 10:00 use, 10:05 end-p, 10:00-10:10 close", BAD),
    (KEEP, "log 9:00 make-p, 10:00 use, 10:05-10:20 close, 10:10-10:30 end-p", BAD),
    (KEEP, "log 9:00 make-p, 10:00 use, 10:05-10:10 close, 10:10 end-p", OK),
    # unfinished
    (KEEP, "log finished: no | make-p, use", UNCLEAR),  # kept so far
    (KEEP, "log finished: no | make-p, use, end-p", BAD),
    (KEEP, "log finished: no | make-p, use, close", OK),
    (KEEP, "log finished: no | make-p", UNCLEAR),
    (KEEP, "log finished: no | 9:00 make-p, 10:00-10:30 use, 10:20 wait-5", UNCLEAR),  # overlaps as well
    (KEEP, "log finished: no | 9:00 make-p, 10:00-10:30 use, 10:20 wait-5, 11:00 close", OK),
    (WHILE, "log finished: no | make-p, make-q, end-q", UNCLEAR),
    # milestones
    (KEEP, "log records: milestones | use, close", UNCLEAR),
    (KEEP, "log records: milestones | {do: read-p, gas: 40 %LFL}, use, close", BAD),
    # what was ended inside the window was ended, whatever is not written
    (KEEP, "log records: milestones | make-p, use, end-p, close", BAD),
    (KEEP, "log records: milestones | make-p, use, end-p, make-p, close", BAD),
    (KEEP, "log records: milestones | use, end-p, close", BAD),
    (KEEP, "log records: milestones | make-p, end-p, use, close", UNCLEAR),  # made again before the use?
    (WHILE, "log records: milestones | make-p, make-q, end-p, end-q", BAD),
    (WHILE, "log records: milestones | make-q, end-p, end-q", BAD),
    (WHILE, "log records: milestones | make-p, end-p, make-q, end-q", UNCLEAR),
    (WHILE, "log records: milestones | make-p, make-q, end-q, end-p", OK),
    (KEEP, "log records: milestones | 9:00 make-p, 9:10 use, 9:20-9:40 wait-5, 9:30-9:35 end-p, 10:00 close", BAD),
    (KEEP, "log records: milestones | 9:10 use, 9:20-9:40 wait-5, 9:30-9:35 end-p, 10:00 close", BAD),
    (KEEP, "log records: milestones | 9:10 use, 9:20-9:40 end-p, 9:30-9:35 close", BAD),
    (KEEP, "log records: milestones | 9:10 use, 9:20-9:40 wait-5, 9:30-9:35 close, 10:00 end-p", UNCLEAR),
    (GRACE, "log records: milestones | make-p, 10:00 use, 10:05 end-p, 11:00 close", UNCLEAR),  # again in time?
    (GRACE, "log records: milestones | make-p, 10:00 use, 10:05 end-p, 10:20 make-p, 11:00 close", BAD),
    # wears off by time
    ("keep: w, from: use, until: close", "plan make-w, use, wait-20, close", BAD),
    ("keep: w, from: use, until: close", "plan make-w, {any-order: [use, wait-5]}, wait-20, close", BAD),
    ("keep: w, from: use", "plan make-w, use, {any-order: [wait-20, close]}", BAD),
    ("keep: w, from: use, until: close", "log 10:00 make-w, 10:01 use, 10:10 close", OK),
    ("keep: w, from: use, until: close", "log 10:00 make-w, 10:01 use, 10:11 close", BAD),
    ("keep: w, from: use, until: close", "log 10:00 make-w, 10:01-10:05 use, 10:04 wait-5, 10:11 close", BAD),
    ("keep: w, from: use, until: close", "log 10:00 make-w, 10:01 use, 10:05 make-w, 10:15 close", OK),
    # within: false for at most d at a stretch
    (GRACE, "plan make-p, use, end-p, make-p, close", OK),
    (GRACE, "plan make-p, use, end-p, wait-5, make-p, close", OK),
    (GRACE, "plan make-p, use, end-p, wait-20, make-p, close", BAD),
    (GRACE, "plan make-p, use, end-p, close", BAD),
    (GRACE, "plan make-p, end-p, make-p, use, close", OK),
    (GRACE, "plan make-p, use, {any-order: [wait-5, bond]}, end-p, make-p, close", OK),
    (GRACE, "plan make-p, use, {any-order: [wait-5, bond]}, end-p, wait-20, make-p, close", BAD),
    (GRACE, "plan make-p, use, {any-order: [wait-5, bond]}, close, end-p, wait-20", OK),  # outside the window
    (GRACE, "plan {any-order: [wait-5, bond]}, use, wait-20, make-p, close", BAD),  # false from its beginning
    (GRACE, "log 9:00 make-p, 10:00 use, 10:05 end-p, 10:15 make-p, 11:00 close", OK),
    (GRACE, "log 9:00 make-p, 10:00 use, 10:05 end-p, 10:16 make-p, 11:00 close", BAD),
    (GRACE, "log 9:00 make-p, 10:00 use, 10:55 end-p, 11:00 close", OK),
    (GRACE, "log 9:00 make-p, use, end-p, 10:16 make-p, 11:00 close", UNCLEAR),
    (GRACE, "log 8:00-8:30 wait-5, 8:10 bond, 9:00 make-p, 10:00 use, 10:05 end-p, 10:16 make-p, 11:00 close", BAD),
    (GRACE, "log 8:00-8:30 wait-5, 8:10 bond, 9:00 make-p, 10:00 use, 10:05 end-p, 10:15 make-p, 11:00 close", OK),
    ("keep: p, within: 10 min", "plan {any-order: [wait-5, bond]}", BAD),  # false from the start
    ("keep: p, within: 10 min", "plan {any-order: [wait-5, bond]}, make-p", OK),
    ("keep: p, within: 10 min", "plan {any-order: [wait-5, bond]}, wait-20, make-p", BAD),
    ("keep: p, within: 10 min", "log 8:00-8:30 wait-5, 8:10 bond, 8:40 make-p", OK),
    ("keep: p, while: q, within: 10 min", "log 9:00 make-p, 9:01 make-q, 9:10 end-p, 9:15 end-q", OK),
]


@pytest.mark.parametrize(("rule", "procedure", "expected"), CASES)
def test_keep(verdict: Callable[[str, str], str], rule: str, procedure: str, expected: str) -> None:
    assert verdict(rule, procedure) == expected


@pytest.mark.parametrize("between", ["wait-20", "{any-order: [wait-20, bond]}"])
def test_a_plan_that_heals_too_late_says_how_long_its_steps_take(
    between: str, reported: Callable[[str, str], Report]
) -> None:
    """«comes only after» alone sounded as if what heals could ever come before what broke it."""
    steps = f"make-p, use, end-p, {between}, make-p, close"
    (finding,) = reported(GRACE, f"{{procedure: plan, steps: [{steps}]}}").findings
    assert any("the steps until then usually take 20 min" in each for each in (finding.found, *finding.evidence))
    assert finding.margin == "10 min over"

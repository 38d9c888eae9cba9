"""``elapsed`` and ``repeat``, by the rows of their table in the language."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from ringcut.judge.findings import Report

OK, BAD, UNCLEAR, NONE = "conforms", "nonconforming", "undetermined", "not applicable"
SOON = "elapsed: {from: make-p, to: use, at-most: 10 min}"
LATE = "elapsed: {from: make-p, to: use, at-least: 10 min}"
NEXT = "elapsed: {from: make-p, to: use, at-most: 10 min, each: from}"
WAIT = "elapsed: {from: make-p, to: use, at-least: 10 min, each: from}"
BAND = "elapsed: {from: make-p, to: use, at-least: 5 min, at-most: 10 min}"
EVERY = "repeat: read-p, every: 60 min, while: q"

CASES = [
    # each b, back to the latest a
    (SOON, "log 10:00 make-p, 10:10 use", OK),
    (SOON, "log 10:00 make-p, 10:11 use", BAD),
    (SOON, "log 9:00-10:00 make-p, 10:10-11:00 use", OK),  # begin of the later less finish of the earlier
    (SOON, "log 9:00 make-p, 10:00 make-p, 10:10 use", OK),  # the latest a
    (SOON, "log 10:00 make-p, 10:10 use, 10:20 use", BAD),  # each b
    (SOON, "log 10:00 make-p, 10:10 use, 10:20 make-p", OK),
    (SOON, "log 10:00 use", BAD),  # no a
    (SOON, "log 10:00 use, 10:05 make-p", BAD),
    (SOON, "log 10:00 make-p", NONE),  # no b
    (SOON, "log 10:00-10:10 make-p, 10:05 use", BAD),  # an overlap is no before
    (SOON, "log make-p, 10:10 use", UNCLEAR),  # no time: only the order is judged
    (SOON, "log use", BAD),
    (SOON, "log records: milestones | 10:00 use", UNCLEAR),
    (SOON, "log finished: no | 10:00 make-p", UNCLEAR),
    (f"{SOON[:-1]}, while: q}}", "log finished: no | 10:00 make-q", UNCLEAR),  # no b yet, so no moment of it
    (f"{SOON[:-1]}, while: q}}", "log finished: no | {do: close, status: not-done, reason: rain}", UNCLEAR),
    (f"{SOON[:-1]}, while: q}}", "log 10:00 make-q", NONE),
    (LATE, "log 10:00 make-p, 10:10 use", OK),
    (LATE, "log 10:00 make-p, 10:09 use", BAD),
    (LATE, "log 10:00 use", NONE),  # at-least only: no a, nothing to wait for
    (LATE, "log 10:00 use, 10:05 make-p", NONE),
    (LATE, "log 9:00 make-p, 10:05 make-p, 10:10 use", BAD),  # the latest a
    (LATE, "log 10:00-10:20 make-p, 10:10 use", BAD),  # a gap below zero
    (LATE, "log 10:00 make-p, 10:00 use", BAD),
    (BAND, "log 10:00 make-p, 10:07 use", OK),
    (BAND, "log 10:00 make-p, 10:04 use", BAD),
    (BAND, "log 10:00 make-p, 10:11 use", BAD),
    # each a, on to the next b
    (NEXT, "log 10:00 make-p, 10:10 use", OK),
    (NEXT, "log 10:00 make-p, 10:11 use", BAD),
    (NEXT, "log 10:00 make-p", BAD),  # no b
    (NEXT, "log 10:00 use", NONE),  # no a
    (NEXT, "log 10:00 make-p, 10:05 use, 10:30 use", OK),  # the next b
    (NEXT, "log 10:00 make-p, 10:05 use, 10:30 make-p", BAD),  # each a
    (NEXT, "log records: milestones | 10:00 make-p", UNCLEAR),
    (NEXT, "log finished: no | 10:00 make-p, 10:10 close", UNCLEAR),  # the time has not passed
    (NEXT, "log finished: no | 10:00 make-p, 10:11 close", BAD),
    (NEXT, "log finished: no | 10:00 make-p, close", UNCLEAR),
    (WAIT, "log 10:00 make-p", NONE),
    (WAIT, "log 10:00 make-p, 10:09 use", BAD),
    # plans: the order, and what the steps necessarily between usually take
    (SOON, "plan make-p, use", OK),
    (SOON, "plan make-p, wait-5, use", OK),
    (SOON, "plan make-p, wait-20, use", BAD),
    (SOON, "plan use, make-p", BAD),
    (SOON, "plan use", BAD),
    (SOON, "plan {any-order: [make-p, use]}", BAD),
    (SOON, "plan {do: make-p, optional: yes}, use", BAD),
    (SOON, "plan make-p, {any-order: [wait-5, [wait-5, wait-5]]}, use", OK),  # the longest chain is 10 min
    (SOON, "plan make-p, {any-order: [wait-20, close]}, use", BAD),
    (SOON, "plan make-p, {do: wait-20, optional: yes}, use", OK),
    (SOON, "plan make-p, {any-order: [wait-20, use]}", OK),  # not necessarily between
    (SOON, "plan wait-20, make-p, use, wait-20", OK),
    (LATE, "plan make-p, use", OK),  # the limit goes on the card
    (LATE, "plan make-p, wait-20, use", OK),
    (LATE, "plan use", NONE),
    (LATE, "plan {any-order: [make-p, use]}", OK),  # on the card, where it comes first
    (NEXT, "plan make-p, wait-20, use", BAD),
    (NEXT, "plan make-p", BAD),
    (NEXT, "plan make-p, use, wait-20", OK),
    # redo and sides
    ("elapsed: {from: use, to: wrap, at-most: 10 min}", "log 10:00 wrap, 10:05 use, 10:10 wrap", OK),
    ("elapsed: {from: bond, to: wrap, at-most: 10 min}", "log 10:00 bond side: A, 10:05 wrap side: B", BAD),
    ("elapsed: {from: bond, to: wrap, at-most: 10 min}", "log 10:00 bond side: A, 10:05 wrap side: A", OK),
    # start and end
    ("elapsed: {from: start, to: use, at-most: 10 min}", "log 10:00 close, 10:10 use", OK),
    ("elapsed: {from: start, to: use, at-most: 10 min}", "log 10:00 close, 10:11 use", BAD),
    ("elapsed: {from: start, to: use, at-most: 10 min}", "plan wait-20, use", BAD),
    ("elapsed: {from: start, to: use, at-most: 10 min}", "plan use, wait-20", OK),
    ("elapsed: {from: use, to: end, at-least: 30 min}", "log 10:00 use, 10:30 close", OK),
    ("elapsed: {from: use, to: end, at-least: 30 min}", "log 10:00 use, 10:29 close", BAD),
    ("elapsed: {from: use, to: end, at-most: 10 min, each: from}", "log 10:00 use, 10:11 close", BAD),
    ("elapsed: {from: use, to: end, at-most: 10 min}", "plan use, wait-20", BAD),
    # repeat
    (EVERY, "log 10:00 read-p, 10:30 make-q, 11:00 end-q", OK),
    (EVERY, "log 10:00 read-p, 10:30 make-q, 11:01 end-q", BAD),
    (EVERY, "log 10:00 read-p, 11:01 make-q, 11:02 end-q", BAD),  # at most that long before the stretch
    (EVERY, "log 10:00 read-p, 10:30 make-q, 11:00 read-p, 12:00 end-q", OK),
    (EVERY, "log 10:00 read-p, 10:30 make-q, 11:00 read-p, 12:01 end-q", BAD),  # the gap at the end counts
    (EVERY, "log 10:30 make-q, 11:00 end-q", BAD),  # no a
    (EVERY, "log 10:30 make-q, 10:31 read-p, 11:00 end-q", BAD),
    (EVERY, "log 10:00 read-p", NONE),  # q never
    (EVERY, "log 10:00 read-p, 10:30 make-q, 10:40 end-q, 12:00 read-p, 12:10 make-q, 12:20 end-q", OK),
    (EVERY, "log 10:00 read-p, 10:30 make-q, 10:40 end-q, 12:10 make-q, 12:20 end-q", BAD),  # each stretch
    (EVERY, "log 10:00 read-p, 10:30 make-q, 10:40 make-q, 11:00 end-q", OK),
    (EVERY, "log 10:00 read-p gas: 40 %LFL, 10:30 make-q, 11:00 end-q", OK),  # bad tests count alike
    (EVERY, "log 10:00 read-p, 10:30 make-q, 11:00 close", OK),  # to the last known time
    (EVERY, "log 10:00 read-p, 10:30 make-q, 11:01 close", BAD),
    (EVERY, "log finished: no | 10:00 read-p, 10:30 make-q, 11:01 close", BAD),
    (EVERY, "log finished: no | 10:00 read-p, 10:30 make-q, 11:00 close", UNCLEAR),
    (EVERY, "log read-p, 10:30 make-q, 11:00 end-q", UNCLEAR),
    (EVERY, "log records: milestones | 10:30 make-q, 11:00 end-q", UNCLEAR),
    (EVERY, "log 10:25-10:35 read-p, 10:30 make-q, 11:00 end-q", BAD),  # not finished when the stretch begins
    (EVERY, "log 9:59 read-p, 10:30 make-q, 10:40-10:50 read-p, 10:45 close, 11:50 end-q", OK),
    ("repeat: read-p, every: 60 min, while: z", "log 10:00 read-p, 10:30 end-z", BAD),  # so from the start
    ("repeat: read-p, every: 60 min, while: z", "log 10:00 close", BAD),
    (EVERY, "plan read-p, make-q, end-q", OK),
    (EVERY, "plan make-q, end-q", BAD),
    (EVERY, "plan make-q, read-p, end-q", BAD),
    (EVERY, "plan read-p, make-q, wait-20, wait-20, wait-20, end-q", OK),
    (EVERY, "plan read-p, make-q, wait-20, wait-20, wait-20, wait-5, end-q", BAD),
    (EVERY, "plan read-p, make-q, wait-20, wait-20, read-p, wait-20, wait-5, end-q", OK),
    (EVERY, "plan {any-order: [read-p, make-q]}, end-q", BAD),  # not before each maker of q
    (EVERY, "plan {any-order: [make-q, [read-p, make-q]]}, end-q", BAD),
    (EVERY, "plan read-p, {any-order: [make-q, make-q]}, end-q", OK),
    (EVERY, "plan read-p, {any-order: [make-q, close]}, wait-20, wait-20, wait-20, wait-5, end-q", BAD),
    (EVERY, "plan {any-order: [close, use]}, read-p", NONE),
]


@pytest.mark.parametrize(("rule", "procedure", "expected"), CASES)
def test_elapsed_and_repeat(verdict: Callable[[str, str], str], rule: str, procedure: str, expected: str) -> None:
    assert verdict(rule, procedure) == expected


@pytest.mark.parametrize("rule", [SOON, LATE, EVERY + ", when: deep"])
def test_a_limit_of_time_goes_on_the_card(reported: Callable[[str, str], Report], rule: str) -> None:
    steps = "[read-p, make-q, make-p, use, end-q]"
    report = reported(rule, f"{{procedure: plan, job: {{deep: yes}}, steps: {steps}}}")
    assert [line.reading for line in report.to_measure if "it" in line.rules] == ["time"]

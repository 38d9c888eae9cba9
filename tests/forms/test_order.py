"""``order``, by the row of its table in the language: every column a case."""

from __future__ import annotations

from collections.abc import Callable

import pytest

OK, BAD, UNCLEAR, NONE = "conforms", "nonconforming", "undetermined", "not applicable"

CASES = [
    # rule, procedure, verdict
    ("order: [make-p, use]", "plan make-p, use", OK),
    ("order: [make-p, use]", "plan use, make-p", BAD),
    ("order: [make-p, use]", "plan use", BAD),  # no a
    ("order: [make-p, use]", "plan make-p", NONE),  # no b
    ("order: [make-p, use]", "plan make-p, use, use", OK),
    ("order: [make-p, use]", "plan use, make-p, use", BAD),  # every b
    ("order: [make-p, use]", "plan use, make-p, make-p", BAD),
    ("order: [make-p, use]", "plan {any-order: [make-p, use]}", BAD),
    ("order: [make-p, use]", "plan {any-order: [make-p, wait-5]}, use", OK),
    ("order: [make-p, use]", "plan {do: make-p, optional: yes}, use", BAD),
    ("order: [make-p, use]", "plan make-p, {do: use, optional: yes}", OK),
    ("order: [make-p, use]", "plan {do: use, optional: yes}, make-p", BAD),
    ("order: [make-p / make-q, use]", "plan make-q, use", OK),  # any a
    ("order: [make-p, any handling]", "plan close, make-p, use", BAD),
    ("order: [make-p, any handling]", "plan make-p, close, use", OK),
    ("order: [make-p, make-q?, use]", "plan make-p, use", OK),  # the link is skipped
    ("order: [make-p, make-q?, use]", "plan use", BAD),
    ("order: [make-p, make-q?, use]", "plan make-q, make-p, use", BAD),  # where it occurs it is a link
    ("order: [make-p, make-q?, use]", "plan make-p, use, make-q", BAD),
    ("order: [make-p, make-q, use]", "plan make-p, use", BAD),
    ("order: [make-q?, use]", "plan use", NONE),  # nothing left to come before
    # sides
    ("order: [make-p, bond]", "plan make-p, {do: bond, side: A}", OK),
    ("order: [make-s, bond]", "plan {do: make-s, side: A}, bond", BAD),
    ("order: [make-s, bond]", "plan {do: make-s, side: A}, {do: make-s, side: B}, bond", OK),
    ("order: [make-s, bond]", "plan {do: make-s, side: B}, {do: bond, side: A}", BAD),
    ("order: [make-s, bond]", "plan {do: make-s, side: A}, {do: bond, side: A}", OK),
    ("order: [make-s, use]", "plan {do: make-s, side: A}, use", BAD),  # an unsided step needs it on every side
    # redo: the latest is judged, unless the rule says every
    ("order: [make-p, wrap]", "plan wrap, make-p, wrap", OK),
    ("order: [make-p, wrap], judge: every", "plan wrap, make-p, wrap", BAD),
    ("order: [make-p, wrap]", "plan {do: wrap, side: A}, make-p, {do: wrap, side: B}", BAD),
    ("order: [make-p, wrap]", "plan wrap, make-p, {do: wrap, side: A}", BAD),
    ("order: [wrap, use]", "plan wrap, use, wrap", OK),  # everything done counts as an a before
    # logs
    ("order: [make-p, use]", "log make-p, use", OK),
    ("order: [make-p, use]", "log 10:00 make-p, 10:05 use", OK),
    # times against the list: by one of the two it is wrong, and nobody can tell which is the slip
    ("order: [make-p, use]", "log 10:05 make-p, 10:00 use", UNCLEAR),
    ("order: [make-p, use]", "log 10:05 use, 10:00 make-p", UNCLEAR),
    ("order: [make-p, use]", "log 10:05 wait-5, 10:00 make-p, 10:10 use", OK),
    ("order: [make-p, use]", "log 10:05 wait-5, 10:00 use, 10:10 make-p", BAD),
    ("order: [make-p, use]", "log sorted: no | 10:05 make-p, 10:00 use", BAD),
    ("order: [make-p, use]", "log 10:00-10:10 make-p, 10:05-10:20 use", BAD),  # an overlap is no before
    ("order: [make-p, use]", "log 10:00-10:05 make-p, 10:05-10:20 use", OK),  # touching counts
    ("order: [make-p, use]", "log 10:00 make-p, 10:00 use", OK),  # equal instants by the list
    ("order: [make-p, use]", "log 10:00 use, 10:00 make-p", BAD),
    ("order: [make-p, use]", "log sorted: no | 10:00 make-p, 10:00 use", BAD),
    ("order: [make-p, use]", "log records: milestones | use", UNCLEAR),
    ("order: [make-p, use]", "log use, {do: make-p, status: not-recorded, reason: lost}", UNCLEAR),
    ("order: [make-p, use]", "log use, {do: make-p, status: not-done, reason: no time}", BAD),
    ("order: [make-p, use]", "log records: milestones | use, {do: make-p, status: not-done, reason: late}", BAD),
    ("order: [make-p, use]", "log {do: make-p, status: not-applicable, reason: none}, use", BAD),
    # unfinished
    ("order: [make-p, use]", "log finished: no | make-p", UNCLEAR),  # no b yet
    ("order: [make-p, use]", "log finished: no | make-p, use", OK),
    ("order: [make-p, use]", "log finished: no | use", BAD),
    # no time: its place in the list, where the times are in the order of the list
    ("order: [make-p, use]", "log 10:00 wait-5, make-p, 10:10 use", OK),
    ("order: [make-p, use]", "log 10:00 wait-5, use, 10:10 make-p", BAD),
    ("order: [make-p, use]", "log 10:10 wait-5, 10:00 close, make-p, 10:20 use", UNCLEAR),
    ("order: [make-p, use]", "log 10:10 wait-5, 10:00 close, end-q, 10:20 use", BAD),  # another step is not in doubt
    ("order: [make-p, use]", "log 10:10 wait-5, 10:00 close, end-q, 10:15 use, 10:20 make-p", BAD),
    ("order: [make-p, use]", "log 9:00-15:00 wait-20, 9:30 close, make-p, 10:00 use", OK),  # beside something long
]


@pytest.mark.parametrize(("rule", "procedure", "expected"), CASES)
def test_order(verdict: Callable[[str, str], str], rule: str, procedure: str, expected: str) -> None:
    assert verdict(rule, procedure) == expected

"""``include`` and ``exclude``, by the rows of their table in the language."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from ringcut.judge.findings import Report
from ringcut.language.ir import Rulebook
from ringcut.reading.problems import Unreadable

OK, BAD, UNCLEAR, NONE = "conforms", "nonconforming", "undetermined", "not applicable"
USED, TWICE = "include: use", "include: use, count: 2"
SHUT = "exclude: end-p, after: use, before: close"

CASES = [
    (USED, "plan use", OK),
    (USED, "plan close", BAD),
    ("include: use / close", "plan close", OK),
    ("include: any handling", "plan close", OK),
    (USED, "plan {do: use, optional: yes}", BAD),  # optional ones do not count
    (USED, "log {do: use, status: not-done, reason: no time}", BAD),
    (USED, "log {do: use, status: not-applicable, reason: none}", BAD),
    (USED, "log {do: use, status: not-recorded, reason: lost}", UNCLEAR),
    (USED, "log records: milestones | close", UNCLEAR),
    (USED, "log records: milestones | {do: use, status: not-done, reason: no time}", BAD),
    (USED, "log finished: no | close", UNCLEAR),
    (USED, "log finished: no | use", OK),
    (USED, "log finished: no | close, {do: use, status: not-done, reason: never will be}", UNCLEAR),
    # sides
    ("include: bond", "plan bond", OK),
    ("include: bond", "plan {do: bond, side: A}", BAD),
    ("include: bond", "plan {do: bond, side: A}, {do: bond, side: B}", OK),
    # count
    (TWICE, "plan use, use", OK),
    (TWICE, "plan use", BAD),
    (TWICE, "plan use, use, use", BAD),
    (TWICE, "log finished: no | use", UNCLEAR),
    (TWICE, "log finished: no | use, use, use", BAD),  # too many
    (TWICE, "log records: milestones | use", UNCLEAR),
    ("include: use, count: 1..2", "plan use", OK),
    ("include: use, count: 1..2", "plan use, use, use", BAD),
    ("include: use, count: 2..", "plan use, use, use", OK),
    ("include: use, count: 0..1", "plan close", OK),
    ("include: use, count: 0..1", "plan use, use", BAD),
    # exclude: a window from just after x to the next y
    ("exclude: use", "plan close", OK),
    ("exclude: use", "plan use", BAD),
    ("exclude: use", "plan {do: use, optional: yes}", BAD),
    ("exclude: use, after: close", "plan use, close", OK),
    ("exclude: use, after: close", "plan close, use", BAD),
    ("exclude: use, after: close", "plan use", OK),  # x absent: the window never opens
    ("exclude: use, before: close", "plan use, close", BAD),
    ("exclude: use, before: close", "plan close, use", OK),
    ("exclude: use, before: close", "plan use", BAD),  # no y: to the end
    (SHUT, "plan use, end-p, close", BAD),
    (SHUT, "plan use, close, end-p", OK),
    (SHUT, "plan end-p, use, close", OK),
    (SHUT, "plan use, close, use, end-p, close", BAD),  # each window
    (SHUT, "plan use, {any-order: [end-p, close]}", BAD),
    (SHUT, "plan {any-order: [use, end-p]}, close", BAD),
    (SHUT, "plan use, {do: close, optional: yes}, end-p", BAD),
    ("exclude: use, after: use", "plan use", OK),
    ("exclude: use, after: use", "plan use, use", BAD),
    (SHUT, "log 10:00 use, 10:05 close, 10:04-10:06 end-p", BAD),
    (SHUT, "log 10:00-10:10 use, 10:05 end-p, 10:20 close", BAD),
    (SHUT, "log finished: no | use, end-p", BAD),
    (SHUT, "log finished: no | use", UNCLEAR),
    (SHUT, "log finished: no | use, close", OK),  # the window is closed
    (SHUT, "log finished: no | use, close, use", UNCLEAR),
    ("exclude: use", "log finished: no | close", UNCLEAR),
    ("exclude: use, after: close", "log finished: no | close", UNCLEAR),
    # sides
    ("exclude: end-s, after: bond", "plan {do: bond, side: A}, {do: end-s, side: B}", OK),
    ("exclude: end-s, after: bond", "plan {do: bond, side: A}, {do: end-s, side: A}", BAD),
    ("exclude: end-s, after: bond", "plan bond, {do: end-s, side: A}", BAD),
    ("exclude: use, after: bond", "plan {do: bond, side: A}, use", BAD),
]


@pytest.mark.parametrize(("rule", "procedure", "expected"), CASES)
def test_include_and_exclude(verdict: Callable[[str, str], str], rule: str, procedure: str, expected: str) -> None:
    assert verdict(rule, procedure) == expected


def test_a_count_of_a_step_that_replaces_itself_is_refused(compiled: Callable[[str, str], Rulebook]) -> None:
    """``count`` counts doings that stand each for itself; of a redone layer only the latest stands."""
    rule = "  - {rule: it, says: s, class: minor, include: paint, count: 2}"
    with pytest.raises(Unreadable, match="count"):
        compiled("steps: {paint: {says: paint}}", rule)


def test_a_second_doing_that_lacks_is_told_in_words(reported: Callable[[str, str], Report]) -> None:
    """Symptom: «found 1 times, needed 2 times use, seen no use», of a step that was there."""
    finding = reported(TWICE, "{procedure: plan, steps: [use]}").findings[0]
    assert (finding.found, finding.needed) == ("use once", "use twice")
    assert finding.evidence == ("no second use",)

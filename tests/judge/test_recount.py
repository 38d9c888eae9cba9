"""A report whose findings changed: counts and verdict follow the verdicts of the rules."""

from __future__ import annotations

import msgspec
import pytest

from ringcut.checking import check
from ringcut.judge.findings import CLASSES, Report
from ringcut.judge.recount import recounted
from ringcut.language.ir import Rulebook


@pytest.fixture
def report(book: Rulebook) -> Report:
    """A plan of which much is broken and something cannot be said."""
    text = b"{procedure: plan, job: {work: trouble-opening, sheath: lead}, steps: [open-sheath, trim-sleeve]}"
    return check(text, "plan.yaml", book)


def test_without_a_change_the_report_is_the_same(report: Report) -> None:
    assert report.counts.nonconforming
    assert recounted(report, report.findings, report.rules) == report


def test_a_rule_that_breaks_counts_in_its_class_and_decides_the_verdict(report: Report) -> None:
    healed = tuple(msgspec.structs.replace(rule, verdict="conforms") for rule in report.rules)
    good = recounted(msgspec.structs.replace(report, uncovered=False), (), healed)
    assert (good.verdict, good.worst_class, good.counts.causes) == ("conforms", "", 0)
    broken = msgspec.structs.replace(healed[0], verdict="nonconforming")
    bad = recounted(good, (), (broken, *healed[1:]))
    assert (bad.verdict, bad.worst_class) == ("nonconforming", broken.class_)
    assert [getattr(bad.counts, name) for name in CLASSES] == [int(name == broken.class_) for name in CLASSES]
    assert bad.counts.conforms == len(healed) - 1

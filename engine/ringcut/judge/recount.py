"""A report whose findings were changed after the judgement, with the counts and the verdict that follow."""

from __future__ import annotations

import msgspec

from ringcut.judge.causes import causes_in
from ringcut.judge.findings import (
    CLASSES,
    CONFORMS,
    NONCONFORMING,
    NOT_APPLICABLE,
    UNDER_CONCESSION,
    UNDETERMINED,
    Finding,
    Report,
    RuleVerdict,
)
from ringcut.judge.overall import overall


def recounted(report: Report, findings: tuple[Finding, ...], rules: tuple[RuleVerdict, ...]) -> Report:
    """The report with other findings and verdicts of rules; causes are counted by their numbers."""
    classes = {name: sum(r.verdict == NONCONFORMING and r.class_ == name for r in rules) for name in CLASSES}
    counted = {said: sum(r.verdict == said for r in rules) for said in {r.verdict for r in rules}}
    counts = msgspec.structs.replace(
        report.counts,
        conforms=counted.get(CONFORMS, 0),
        nonconforming=counted.get(NONCONFORMING, 0),
        undetermined=counted.get(UNDETERMINED, 0),
        not_applicable=counted.get(NOT_APPLICABLE, 0),
        under_concession=counted.get(UNDER_CONCESSION, 0),
        causes=causes_in(findings),
        **classes,
    )
    return msgspec.structs.replace(
        report,
        findings=findings,
        rules=rules,
        counts=counts,
        verdict=overall({CONFORMS: 0, **counted}, bool(report.uncovered)),
        worst_class=next((name for name in CLASSES if classes[name]), ""),
    )

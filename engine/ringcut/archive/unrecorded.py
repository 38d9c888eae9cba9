"""What a log of milestones need not have: found together, because none of it is a finding of its own.

Milestones say that a step was done, not how. So a step that is not there, a reading of a row that records no reading at
all, and a limit of which the log has not one side are told in one line. A reading that is missing beside others, or
that one which is there should be compared with, is a gap in the record and stays apart; so is one that the remark of
its row may tell, which nobody has read.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from ringcut.archive.quoting import missing_reading, missing_step, unknown_fact
from ringcut.archive.recorded import recorded_of, shown_by
from ringcut.archive.remarked import may_tell
from ringcut.judge.findings import UNDETERMINED, Finding
from ringcut.language import ir
from ringcut.relations.procedure import Procedure


def together(findings: Sequence[Finding], procedure: Procedure, book: ir.Rulebook) -> list[int]:
    """The places in ``findings`` of those that only say what a log of milestones need not have."""
    if not procedure.milestones:
        return []
    unsaid = [
        number
        for number, each in enumerate(findings)
        if each.verdict == UNDETERMINED and each.why_undetermined == "not recorded"
    ]
    found = [number for number in unsaid if _only_a_milestone(findings[number], procedure, book)]
    asked = {
        findings[number].line
        for number in unsaid
        if number not in found
        and not unknown_fact(findings[number].cause)
        and recorded_of(book.rule(findings[number].rule), procedure, book)
    }
    # what the same row lacks beside a gap is asked for with it
    return [
        number
        for number in found
        if not (findings[number].line in asked and _is_limit(book.rule(findings[number].rule)))
    ]


def _only_a_milestone(finding: Finding, procedure: Procedure, book: ir.Rulebook) -> bool:
    rule = book.rule(finding.rule)
    if " lost at #" in finding.cause:
        return not _ended_by_a_row(finding, rule)
    if missing_step(finding.cause):
        return not _is_limit(rule) or not recorded_of(rule, procedure, book)
    missing = missing_reading(finding.cause)
    if missing is None or missing.at >= len(procedure.occurrences) or len(procedure.closures) > 1:
        return False
    entry = procedure.occurrences[missing.at]
    ways = [missing.name, *(each.name for each in shown_by(missing.step, missing.name, book))]
    if any(may_tell(entry.note, missing.step, each, book) for each in ways):
        return False
    return not entry.readings and not recorded_of(rule, procedure, book)


def _ended_by_a_row(finding: Finding, rule: ir.Rule | None) -> bool:
    """Whether a row of the log ended what was to be kept, as the blower was stopped while the torch burnt. That it
    began again need not be in a log of milestones; what is in it nobody may pass over."""
    kept = rule is not None and isinstance(rule.form, ir.Keep)
    return kept and any(_ENDED.match(each) for each in finding.evidence)


_ENDED = re.compile(r"not [\w -]+ since [\w-]+ \(line \d+\)")


def _is_limit(rule: ir.Rule | None) -> bool:
    return rule is not None and isinstance(rule.form, ir.Limit)


def words_of(finding: Finding) -> str:
    """What such a finding misses, in words."""
    missing = missing_reading(finding.cause)
    if missing is not None:
        return f"{missing.name} of {missing.step}".replace("-", " ")
    step = missing_step(finding.cause)
    if not step:
        step = next((each[3:] for each in finding.evidence if each.startswith("no ")), "")
    return (step or finding.found).replace("-", " ")

"""What a plan lacks: what a correction may put in itself, and what only people can say, each with what to give."""

from __future__ import annotations

from collections.abc import Iterator

from ringcut.judge.findings import UNDETERMINED, Finding, Report
from ringcut.language import ir
from ringcut.language import nodes as n


def mendable(report: Report, book: ir.Rulebook) -> bool:
    """Whether a step is missing, or a reading that a plan may choose."""
    causes = [finding.cause for finding in report.findings]
    return any(cause.startswith("no ") or _planned(cause, book) for cause in causes)


def _planned(cause: str, book: ir.Rulebook) -> bool:
    if not cause.startswith("reading "):
        return False
    step, _, name = cause.split()[1].partition(".")
    word = book.steps[step].readings.get(name) if step in book.steps else None
    return word is not None and word.planned and name not in book.facts


def asks(report: Report, book: ir.Rulebook) -> tuple[str, ...]:
    """Facts that are not known, readings that are not there, and whatever else cannot be said, in words."""
    found = []
    for finding in report.findings:
        if finding.cause.startswith("fact "):
            found.append(f"the job does not say: {finding.cause.split()[1]}")
        elif finding.cause.startswith("reading "):
            found.append(f"not there: {finding.cause.split()[1]}")
        elif finding.verdict == UNDETERMINED and not finding.told_under:
            found.append(_cannot_say(finding, report, book))
    found += [f"not covered: {gap}" for gap in report.not_covered]
    return tuple(dict.fromkeys(found))


def _cannot_say(finding: Finding, report: Report, book: ir.Rulebook) -> str:
    at = f" (line {finding.line})" if finding.line else ""
    give = [f"give {name}, which is {taken} meanwhile" for name, taken in _assumed(finding, report, book)]
    return f"{finding.rule}{at}: {', and '.join(give) or finding.message}"


def _assumed(finding: Finding, report: Report, book: ir.Rulebook) -> Iterator[tuple[str, str]]:
    """Readings that a limit looks at and the plan does not give, with what they are taken as meanwhile."""
    form = next((rule.form for rule in book.rules if rule.id == finding.rule), None)
    if not isinstance(form, ir.Limit):
        return
    nodes = [*n.walk(form.what), *(n.walk(form.unclear) if form.unclear is not None else ())]
    read = dict.fromkeys((each.step, each.name) for each in nodes if isinstance(each, n.Reading))
    for step, name in read:
        said = f"{name} of {step} "
        for each in report.assumptions:
            if each.startswith(f"{said}taken as "):
                yield said.strip(), each.removeprefix(said)

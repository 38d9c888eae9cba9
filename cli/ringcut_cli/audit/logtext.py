"""One log in a few lines: its verdict, what is broken, what cannot be said and why, what is not recorded."""

from __future__ import annotations

from ringcut.archive.results import LogReport, PlanCompared
from ringcut.archive.telling import Line, arranged
from ringcut.judge.findings import CLASSES
from ringcut_cli.shown.page import Page
from ringcut_cli.shown.reporttext import LOUD, verdict_word

WIDTHS = (9, 8)
"""Columns of the kind of line and of its rows."""


def log_page(page: Page, report: LogReport) -> None:
    """Write a log."""
    told = arranged(report)
    page.gap()
    title = " ".join([report.reference or report.file, f"({report.likelier}?)" if report.likelier else ""]).strip()
    about = ", ".join(part for part in (report.where, f"closure {report.order_closure}" if report.order_closure else "",
                                        report.day) if part)  # fmt: skip
    by_class = ", ".join(f"{number} {name}" for name in CLASSES if (number := getattr(report.counts, name)))
    verdict = f"{verdict_word(report.verdict)} {by_class}".strip()
    page.ends([(title, "bold"), (f"   {about}", "")], verdict, 0, LOUD.get(report.verdict, "bold"))
    for line in told.broken:
        _broken(page, line)
    for line in told.conceded:
        page.row(("conceded", _rows(line), f"{line.head.rule}: {line.head.message}. {line.head.concession}"), WIDTHS, 2)
    for line in told.cannot_say:
        page.row(("can't say", _rows(line), _unsaid(line)), WIDTHS, 2)
    if told.facts:
        facts = ", ".join(name.replace("-", " ") for name in told.facts)
        waiting = "1 rule waits for it" if told.facts_rules == 1 else f"{told.facts_rules} rules wait for it"
        page.row(("can't say", "job", f"the job does not say: {facts} ({waiting})"), WIDTHS, 2)
    for gap in report.not_covered:
        if not gap.startswith("the job does not say"):
            page.row(("can't say", "", f"not covered: {gap}"), WIDTHS, 2)
    for note in report.notes:
        text = f'"{note.text}" ' if note.text else ""
        page.row(
            ("noted", f"{note.line}:{note.letter}" if note.letter else str(note.line), text + note.says), WIDTHS, 2
        )
    if told.not_recorded:
        steps = ", ".join(told.not_recorded)
        page.text(f"not recorded: {steps}  (milestone log: no finding)", 2)
    if report.compared is not None:
        _compared(page, report.compared)
    _judged(page, report)


def _judged(page: Page, report: LogReport) -> None:
    judged = ", ".join(name.replace("-", " ") for name in report.judged) or "nothing"
    scope = "conforms in these subjects, as written, and in no other" if report.verdict == "conforms" else "judged"
    page.text(f"{scope}: {judged}; {report.counts.conforms} rules conform", 2)
    for said in report.aloud:
        page.text(said, 2)


def _rows(line: Line) -> str:
    return ", ".join(line.rows[:3]) + (" ..." if len(line.rows) > 3 else "")


def _broken(page: Page, line: Line) -> None:
    head = line.head
    side = f", side {head.side}" if head.side else ""
    page.row((head.class_, _rows(line), f"{head.rule}{side}: {head.message}"), WIDTHS, 2, ("bold", "bold", ""))
    seen = "; ".join(each for each in head.evidence if each != head.found)
    page.row(("", "", f"{seen}. By {head.basis}" if seen else f"By {head.basis}"), WIDTHS, 2)
    others = [rule for rule in line.rules if rule != head.rule]
    if others:
        page.row(("", "", f"also breaks, by the same cause: {', '.join(others)}"), WIDTHS, 2)


def _unsaid(line: Line) -> str:
    head = line.head
    seen = [
        each for each in head.evidence if each != head.found and not each.partition(",")[0].endswith("is not there")
    ]
    why = "; ".join([*([head.why_undetermined] if head.why_undetermined else []), *seen])
    return f"{', '.join(line.rules)}: {head.found or head.message}" + (f" ({why})" if why else "")


def _compared(page: Page, compared: PlanCompared) -> None:
    if not compared.differs:
        page.text(f"done as planned in {compared.plan}", 2)
        return
    page.text(f"against the plan {compared.plan}:" + ("" if compared.exact else " (one way to pair repeated steps)"), 2)
    for label, steps in (
        ("left out", compared.left_out), ("added", compared.added), ("moved", compared.out_of_order),
    ):  # fmt: skip
        if steps:
            page.row((label, "", ", ".join(steps)), WIDTHS, 2)
    for each in compared.changed:
        side = f" {each.side}" if each.side else ""
        said = f"{each.step} {each.reading.replace('-', ' ')}{side}: planned {each.planned}, done {each.done}"
        page.row(("changed", str(each.line), said), WIDTHS, 2)

"""One log in detail: its verdict, what is broken and by which evidence, what cannot be said and why, what is right."""

from __future__ import annotations

from ringcut.archive.results import LogReport, Measured, PlanCompared
from ringcut.archive.telling import Arranged, Line, arranged
from ringcut.judge.findings import CLASSES, Finding
from ringcut.relations.conformity import PROBABILITY
from ringcut_cli.audit.readtext import count
from ringcut_cli.shown.page import Page
from ringcut_cli.shown.reporttext import LOUD, shortened, verdict_word

WIDTHS = (9, 8)
"""Columns of the kind of line and of its rows."""


def title_page(page: Page, report: LogReport) -> None:
    """The line that names a log and its verdict."""
    page.gap()
    title = " ".join([report.reference or report.file, f"({report.likelier}?)" if report.likelier else ""]).strip()
    about = ", ".join(part for part in (report.where, f"closure {report.order_closure}" if report.order_closure else "",
                                        report.day) if part)  # fmt: skip
    by_class = ", ".join(f"{number} {name}" for name in CLASSES if (number := getattr(report.counts, name)))
    verdict = f"{verdict_word(report.verdict)} {by_class}".strip()
    page.ends([(title, "bold"), (f"   {about}", "")], verdict, 0, LOUD.get(report.verdict, "bold"))


def log_page(page: Page, report: LogReport) -> None:
    """Write a log."""
    told = arranged(report)
    title_page(page, report)
    if said := unknown_job(report):
        page.text(said, 2)
    for line in told.broken:
        _broken(page, line)
    for line in told.conceded:
        page.row(
            ("conceded", rows_of(line), f"{line.head.rule}: {line.head.message}. {line.head.concession}"), WIDTHS, 2
        )
    for line in told.cannot_say:
        page.row(("can't say", rows_of(line), unsaid(line)), WIDTHS, 2)
    facts_row(page, told)
    _unfinished(page, report, told)
    for gap in report.not_covered:
        if not gap.startswith("the job does not say"):
            page.row(("can't say", "", f"not covered: {gap}"), WIDTHS, 2)
    for each in report.would:
        page.row(("if", each.where, f"if it is {each.value}: {each.says}"), WIDTHS, 2)
    for note in report.notes:
        text = f'"{note.text}" ' if note.text else ""
        page.row(
            ("noted", f"{note.line}:{note.letter}" if note.letter else str(note.line), text + note.says), WIDTHS, 2
        )
    if told.not_recorded:
        steps = ", ".join(told.not_recorded)
        page.text(f"not recorded: {steps}  (milestone log: no finding)", 2)
    facts = [taken_as(each) for each in report.assumptions if _TAKEN in each]
    rest = [each for each in report.assumptions if _TAKEN not in each]
    if rest:
        page.text(f"read as: {'; '.join(rest)}", 2)
    if facts:
        page.text(f"taken, where the log does not say it: {'; '.join(facts)}", 2)
    if report.measured:
        page.text(f"read, and conforms: {', '.join(_measured(each) for each in report.measured)}", 2)
    if report.compared is not None:
        _compared(page, report.compared)
    if report.not_compared:
        page.text(f"compared with no plan: {report.not_compared}", 2)
    judged_page(page, report)


_TAKEN = " taken as "


def taken_as(assumed: str) -> str:
    """What was assumed, in words."""
    name, taken, value = assumed.partition(_TAKEN)
    return f"{name.replace('-', ' ')} {value}" if taken else assumed


def unknown_job(report: LogReport) -> str:
    """Said first of a log of which nothing is known but where it was, so that every kind of work was looked at."""
    if set(report.job_known) - {"location"} or not report.findings:
        return ""
    but = " but the place" if report.job_known else ""
    return f"Nothing is known of this job{but}: every kind of work is judged."


def facts_row(page: Page, told: Arranged) -> None:
    """The facts that the job does not give, and how much waits for them."""
    if told.facts:
        facts = ", ".join(name.replace("-", " ") for name in told.facts)
        waiting = "1 rule waits for it" if told.facts_rules == 1 else f"{told.facts_rules} rules wait for it"
        page.row(("can't say", "job", f"the job does not say: {facts} ({waiting})"), WIDTHS, 2)


def unfinished_text(report: LogReport, told: Arranged) -> str:
    """What a log that is not finished leaves open, in one sentence; empty where it is finished."""
    count = len(told.unfinished)
    said = [f"{'1 rule' if count == 1 else f'{count} rules'} cannot be said yet"] if count else []
    kept = len(told.so_far)
    said += [f"{'1 is' if kept == 1 else f'{kept} are'} kept so far"] if kept else []
    return f"the log ends after {report.ends_after}: {', '.join(said)}" if said else ""


def _unfinished(page: Page, report: LogReport, told: Arranged) -> None:
    text = unfinished_text(report, told)
    if text:
        page.row(("can't say", "end", text), WIDTHS, 2)
        for label, rules in (("cannot be said yet", told.unfinished), ("kept so far", told.so_far)):
            if rules:
                page.row(("", "", f"{label}: {', '.join(rules)}"), WIDTHS, 2)


def _measured(each: Measured) -> str:
    side = f", side {each.side}" if each.side else ""
    where = f"{each.line}:{each.letter}" if each.letter else f"line {each.line}"
    return f"{where} {f'{each.rule} ' if each.computed else ''}{each.found}{side} ({each.needed})"


def judged_page(page: Page, report: LogReport) -> None:
    """What was judged, and what is said aloud."""
    judged = ", ".join(name.replace("-", " ") for name in report.judged) or "nothing"
    scope = "conforms in these subjects, as written, and in no other" if report.verdict == "conforms" else "judged"
    page.text(f"{scope}: {judged}; {count(report.counts.conforms, 'rule conforms', 'rules conform')}", 2)
    for said in report.aloud:
        page.text(said, 2)


def rows_of(line: Line) -> str:
    """The rows of a line, the first three."""
    return ", ".join(line.rows[:3]) + (" ..." if len(line.rows) > 3 else "")


def _broken(page: Page, line: Line) -> None:
    head = line.head
    side = f", side {head.side}" if head.side else ""
    page.row((line.class_, rows_of(line), f"{head.rule}{side}: {head.message}"), WIDTHS, 2, ("bold", "bold", ""))
    seen = "; ".join(each for each in head.evidence if each != head.found)
    page.row(("", "", f"{seen}. By {head.basis}" if seen else f"By {head.basis}"), WIDTHS, 2)
    others = [rule for rule in line.rules if rule != head.rule]
    if others:
        cause = f" ({line.common})" if line.common else ""
        page.row(("", "", f"also breaks, by the same cause{cause}: {', '.join(others)}"), WIDTHS, 2)
    for found in shortened(line.elsewhere):
        page.row(("", "", f"also {found}"), WIDTHS, 2)


def unsaid(line: Line) -> str:
    """What cannot be said, and why."""
    head = line.head
    seen = [
        each for each in head.evidence if each != head.found and not each.partition(",")[0].endswith("is not there")
    ]
    if shown := likely(head):
        side = f", side {head.side}" if head.side else ""
        return f"{', '.join(line.rules)}{side}: {head.found}, {head.needed} ({shown})"
    why = "; ".join([*([head.why_undetermined] if head.why_undetermined else []), *seen])
    return f"{', '.join(line.rules)}: {head.found or head.message}" + (f" ({why})" if why else "")


def likely(finding: Finding) -> str:
    """The probability by which a reading with an uncertainty was judged; empty for any other."""
    return next((each for each in finding.evidence if each.startswith(PROBABILITY)), "")


def as_planned(compared: PlanCompared) -> str:
    """Of a log in which nothing differs from its plan; what it does not say is no difference, and is told."""
    unwritten = len(compared.not_written)
    return f"done as planned in {compared.plan}" + (f", as far as it is written: {unwritten} not" if unwritten else "")


def _compared(page: Page, compared: PlanCompared) -> None:
    if not compared.differs:
        page.text(as_planned(compared), 2)
        return
    page.text(f"against the plan {compared.plan}:" + ("" if compared.exact else " (one way to pair repeated steps)"), 2)
    for label, steps in (
        ("left out", compared.left_out), ("added", compared.added), ("moved", compared.out_of_order),
        ("unwritten", compared.not_written),
    ):  # fmt: skip
        if steps:
            page.row((label, "", ", ".join(steps)), WIDTHS, 2)
    for fact in compared.facts:
        side = f" {fact.side}" if fact.side else ""
        said = f"{fact.fact.replace('-', ' ')}{side}: planned {fact.planned}, done {fact.done}"
        page.row(("job", "", said), WIDTHS, 2)
    for pair in compared.swapped:
        page.row(("swapped?", str(pair.places[0][1]), f"sides-swapped: {pair.says}"), WIDTHS, 2)
    for each in compared.changed:
        side = f" {each.side}" if each.side else ""
        said = f"{each.step} {each.reading.replace('-', ' ')}{side}: planned {each.planned}, done {each.done}"
        page.row(("changed", str(each.line), said), WIDTHS, 2)

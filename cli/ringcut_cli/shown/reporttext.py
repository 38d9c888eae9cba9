"""A report as a splicer reads it: the verdict, what can hurt, what can leak, what is untidy, what is still to do.

The arrangement comes from ``ringcut.report.outline``; here are only its words on a page.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence

from ringcut.judge.findings import CLASSES, CONFORMS, NOT_APPLICABLE, UNDETERMINED, Finding, Report, ToMeasure
from ringcut.report.outline import Outline, Told, outline, shown_order
from ringcut.report.readas import ReadAs
from ringcut_cli.shown.choicetext import to_choose
from ringcut_cli.shown.page import Page, Part, wrapped
from ringcut_cli.shown.problemtext import reading_notes

TITLES = {"critical": "WHAT CAN HURT", "major": "WHAT CAN LEAK", "minor": "WHAT IS UNTIDY"}
LOUD: dict[str, str] = {"nonconforming": "bold red", UNDETERMINED: "bold yellow", CONFORMS: "bold green"}
SIGNAL = {"DANGER": "bold white on red", "WARNING": "bold red", "CAUTION": "bold yellow", "NOTICE": "bold blue"}
LABEL, HANG = 2, 10
"""Columns where the label of a field and its text begin."""
MOST_LINES = 5
"""Places or pieces of evidence of one finding that are told; the report in JSON has them all."""
LINES = re.compile(r"line \d+(?: [A-Z]+)?")
"""The row, and in a sheet the column, that a piece of evidence names."""


def report_page(page: Page, report: Report, read: Sequence[ReadAs] = ()) -> None:
    """Write a report onto a page; ``read`` is what was read in an unusual form."""
    told = outline(report)
    _verdict(page, report, told)
    for name in CLASSES:
        _findings(page, TITLES[name], name, told.broken[name])
    _findings(page, "CANNOT SAY", "missing evidence never conforms", told.cannot_say)
    _findings(page, "UNDER CONCESSION", "", told.conceded)
    to_choose(page, told.to_choose)
    _to_measure(page, told.to_measure)
    _taken(page, report, read)
    _warnings(page, told)
    _judged_by(page, report)


def verdict_word(verdict: str) -> str:
    """The verdict as people say it: undetermined is "cannot say"."""
    return "CANNOT SAY" if verdict == UNDETERMINED else verdict.upper()


def verdict_line(report: Report) -> list[Part]:
    """The verdict, the file, the job's reference."""
    parts: list[Part] = [(verdict_word(report.verdict), LOUD.get(report.verdict, "bold")), (f"  {report.file}", "")]
    return [*parts, (f"  {report.reference}", "")] if report.reference else parts


def counts_line(report: Report) -> str:
    """What is broken by class, what cannot be said, separate causes, and what conforms."""
    counts = report.counts
    by_class = [f"{number} {name}" for name in CLASSES if (number := getattr(counts, name))]
    said = [f"Rules broken: {', '.join(by_class)}"] if by_class else []
    said += [f"cannot be said: {counts.undetermined}"] if counts.undetermined else []
    said += [f"under concession: {counts.under_concession}"] if counts.under_concession else []
    said += [f"causes: {counts.causes}"] if said and counts.causes else []
    if report.steps == 0:
        return f"{'; '.join(said)}. Not one step was done, so that nothing was found to conform.".lstrip(". ")
    told = "; ".join([*said, f"conform: {counts.conforms}"]) + "."
    return told[:1].upper() + told[1:] if said else f"Rules that conform: {counts.conforms}. Broken: none."


def _verdict(page: Page, report: Report, told: Outline) -> None:
    page.parts(verdict_line(report), hang=LABEL)
    page.text(counts_line(report), LABEL)
    if report.verdict == NOT_APPLICABLE:
        page.text("No rule applies to it, so it was not found to conform.", LABEL)
    judged = ", ".join(name.replace("-", " ") for name in report.judged) or "nothing"
    scope = "Conforms in these subjects, as written, and in no other: " if report.verdict == CONFORMS else "Judged: "
    page.parts([(scope, ""), (f"{judged}.", "")], LABEL)
    if report.not_covered:
        page.parts([("Not judged: ", "bold"), ("; ".join(report.not_covered) + ".", "")], LABEL)
    if report.stock:
        page.text(f"Sleeves are those of {report.stock}.", LABEL)
    for aloud in report.aloud:
        page.text(aloud, LABEL)


def _findings(page: Page, title: str, note: str, items: Sequence[Told]) -> None:
    if not items:
        return
    page.heading(title, note)
    for told in items:
        page.gap()
        _finding(page, told)


def _finding(page: Page, told: Told) -> None:
    head = told.head
    page.ends([(where(head), "bold"), (f"  {about(head)}", "")], f"{head.rule} ({head.class_})", 0)
    page.text(head.says, LABEL)
    page.field("cause", head.in_common, LABEL, HANG)
    page.field("found", head.found, LABEL, HANG)
    needed = f"{head.needed}: {head.margin}" if head.margin else head.needed
    page.field("needed", needed, LABEL, HANG)
    if head.why_undetermined:
        page.field("reason", head.why_undetermined, LABEL, HANG)
    for line in shortened([line for line in head.evidence if line != head.found]):
        page.field("seen", line, LABEL, HANG)
    order = shown_order(head)
    if order:
        page.field("order", "allowed by the plan: " + ", ".join(step or "..." for step in order), LABEL, HANG)
    for line in shortened([_place(other, head) for other in told.places]):
        page.field("also", line, LABEL, HANG)
    page.field("do", head.remedy, LABEL, HANG)
    page.field("basis", head.basis, LABEL, HANG)
    page.field("concession", head.concession, LABEL, HANG + 4)
    page.field("breaks", _breaks(told), LABEL, HANG)


def _breaks(told: Told) -> str:
    """The other rules that one cause breaks: a few each with what was found of it, many by class alone."""
    if not told.also:
        return ""
    if len(told.also) < MOST_LINES:
        rules = "; ".join(_also(each, told.head) for each in told.also)
    else:
        by_class = {name: [each.rule for each in told.also if each.class_ == name] for name in CLASSES}
        rules = "; ".join(f"{name}: {', '.join(named)}" for name, named in by_class.items() if named)
    return f"also, by the same cause: {rules}"


def shortened(lines: Sequence[str]) -> list[str]:
    """Lines; of many, the first and the last, and how many are between, with their places."""
    if len(lines) <= MOST_LINES:
        return list(lines)
    between = lines[MOST_LINES - 2 : -1]
    at = [found[-1] for line in between if (found := LINES.findall(line))]
    named = f": {at[0]} to {at[-1]}" if len(set(at)) > 1 else f": {at[0]}" if at else ""
    return [*lines[: MOST_LINES - 2], f"and {len(between)} more{named}", lines[-1]]


def _also(other: Finding, head: Finding) -> str:
    """Another rule that one cause breaks, with what was found of it where that is something else."""
    found = f", {other.found}" if other.found and other.found != head.found else ""
    return f"{other.rule} ({other.class_}{found})"


def _place(other: Finding, head: Finding) -> str:
    line = "; ".join(part for part in (other.found, other.margin) if part and part != head.found)
    return f"{where(other)}  {about(other)}" + (f": {line}" if line else "")


def where(finding: Finding) -> str:
    """The place of a finding in its file, as people say it."""
    if not finding.line:
        return "whole file"
    return f"line {finding.line}{f' {finding.letter}' if finding.letter else ''}"


def about(finding: Finding) -> str:
    """The step that a finding stands at, with side and closure where it is about one."""
    parts = [finding.steps[0] if finding.steps else finding.subject.replace("-", " ")]
    parts += [f"side {finding.side}"] if finding.side else []
    parts += [f"closure {finding.closure}"] if finding.closure else []
    return ", ".join(parts)


def _to_measure(page: Page, rows: Sequence[ToMeasure]) -> None:
    if not rows:
        return
    page.heading("YOURS TO MEASURE", "line, step, reading, and when it conforms")
    page.gap()
    told = list(_steps(rows))
    step = min(max(len(name) for _, name, _ in told), 24)
    reading = min(max(len(name) for _, _, readings in told for name, _ in readings), 20)
    for lines, name, readings in told:
        cells = [(lines, name, *readings[0]), *(("", "", *each) for each in readings[1:])]
        places = ["".join(text for text, _ in line).strip() for line in wrapped([(lines, "")], 6)]
        if 1 < len(places) <= len(cells):
            places += [""] * (len(cells) - len(places))
            cells = [(place, *cell[1:]) for place, cell in zip(places, cells, strict=True)]
        for cell in cells:
            page.row(cell, (6, step, reading), LABEL)


def _steps(rows: Iterable[ToMeasure]) -> Iterator[tuple[str, str, list[tuple[str, str]]]]:
    """(lines, step, readings): a step that is done several times with the same readings is told once."""
    steps: dict[tuple[str, int, str], list[tuple[str, str]]] = {}
    for row in rows:
        side = f" {row.side}" if row.side else ""
        reading = row.reading.replace("-", " ") + side
        steps.setdefault((row.step, row.line, row.closure), []).append((reading, row.conforms_when))
    same: dict[tuple[str, str, tuple[tuple[str, str], ...]], list[int]] = {}
    for (step, line, closure), readings in steps.items():
        same.setdefault((step, closure, tuple(readings)), []).append(line)
    for (step, closure, told), lines in same.items():
        yield " ".join(str(line) for line in lines if line), step + (f" {closure}" if closure else ""), list(told)


def _taken(page: Page, report: Report, read: Sequence[ReadAs]) -> None:
    notes = [each for each in read if each.kind != "yes-no"]
    if report.assumptions or notes:
        page.heading("TAKEN AS GIVEN")
        page.gap()
        if report.assumptions:
            page.text("Assumed, because the file does not say: " + "; ".join(report.assumptions) + ".", LABEL)
        reading_notes(page, notes, LABEL)


def _warnings(page: Page, told: Outline) -> None:
    if not told.warnings:
        return
    page.heading("WATCH OUT")
    page.gap()
    for notice in told.warnings:
        page.parts([(f"{notice.signal:<7}", SIGNAL.get(notice.signal, "bold")), (f" {notice.says}", "")], LABEL, HANG)


def _judged_by(page: Page, report: Report) -> None:
    page.heading("JUDGED BY", f"{report.rulebook}" + (f", for {report.as_of}" if report.as_of else ""))
    digests = report.digests
    said = [f"{report.procedure} {digests.procedure[:12]}", f"rulebook {digests.rulebook[:12]}"]
    said += [f"concessions {digests.concessions[:12]}"] if digests.concessions else []
    said += [f"stock list {digests.stock[:12]}"] if digests.stock else []
    page.text(", ".join([*said, f"ringcut {digests.version}"]), LABEL)
    page.gap()
    page.text(report.ends_with)

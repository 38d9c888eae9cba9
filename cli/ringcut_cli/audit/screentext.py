"""One log on a part of one screen: what does not conform, what cannot be said and why, what to ask the crew.

A line a cause. What waits for the crew bears the number of its question; evidence, remedies and bases follow below the
screen, in the details.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from ringcut.archive.ledger import ranges
from ringcut.archive.quoting import missing_step
from ringcut.archive.results import Ask, LogReport, PlanCompared
from ringcut.archive.telling import Arranged, Line, arranged
from ringcut.judge.findings import CLASSES, CONFORMS, Finding
from ringcut_cli.audit.logtext import (
    as_planned,
    facts_row,
    judged_page,
    likely,
    rows_of,
    title_page,
    unfinished_text,
    unknown_job,
    unsaid,
)
from ringcut_cli.audit.readtext import count
from ringcut_cli.shown.page import Page, wide

_LONG = 60
"""A need with more letters is cut behind its first step; the whole stands in the details."""
_MANY = 3
_WIDTHS = (9, 6)
"""Columns of the kind of line and of its rows."""
_LIMITS = ("at most ", "at least ", "under ", "over ", "exactly ")
_ABSENT = ("Not in the log", "Not written", "Of the job")
_CLOCK = re.compile(r"\b\d\d:\d\d\b")
_LINE = re.compile(r" \(line \d+\)")
_SAYS = re.compile(r"line \d+ says ")


class Numbered(NamedTuple):
    """A question with its number in the file of questions."""

    number: int
    ask: Ask


def questions_of(reports: Sequence[LogReport], asks: Sequence[Ask]) -> list[list[Numbered]]:
    """The questions of each log, in the order of the logs; each question stands with one log."""
    left = [Numbered(number, each) for number, each in enumerate(asks, start=1)]
    found = []
    for report in reports:
        unsaid_rules = {each.rule for each in report.findings if each.verdict == "undetermined"}
        mine = [
            each
            for each in left
            if _file(each.ask) == report.file
            and each.ask.reference == report.reference
            and (not each.ask.rules or unsaid_rules & set(each.ask.rules))
        ]
        left = [each for each in left if each not in mine]
        found.append(mine)
    return found


def _file(ask: Ask) -> str:
    return f"{ask.file}#{ask.sheet}" if ask.sheet else ask.file


def screen_page(page: Page, report: LogReport, asks: Sequence[Numbered], detailed: bool = True) -> None:
    """Write a log; ``detailed``: its details follow below."""
    told = arranged(report)
    title_page(page, report)
    if said := unknown_job(report):
        page.text(said, 2, "bold")
    for class_, rows, text in _broken_rows(told.broken, detailed):
        page.row((class_, rows, text), _WIDTHS, 2, ("bold", "bold", ""))
    for line in told.conceded:
        page.row(("conceded", rows_of(line), f"{line.head.rule}: {line.head.message}"), _WIDTHS, 2)
    for each in asks:
        page.row(("can't say" if each.ask.rules else "to ask", rows_asked(each.ask), _asked(each, report)), _WIDTHS, 2)
    _rest(page, report, told, {rule for each in asks for rule in each.ask.rules})
    if report.compared is not None:
        page.text(beside_plan(report.compared), 2)
    if report.not_compared:
        page.text(f"compared with no plan: {report.not_compared}", 2)
    if told.not_recorded and not told.broken and not asks:
        page.text(_fitting(told.not_recorded, page.width - 2), 2)
    if report.verdict == CONFORMS:
        judged_page(page, report)


def _fitting(names: Sequence[str], width: int) -> str:
    """What is not recorded, in one line: as many names as it holds, and the number of the others."""
    for shown in range(len(names), 0, -1):
        more = f" and {len(names) - shown} more" if shown < len(names) else ""
        line = f"not recorded, as milestones may: {', '.join(names[:shown])}{more}"
        if wide(line) <= width:
            return line
    return f"not recorded, as milestones may: {len(names)} steps or readings"


def beside_plan(compared: PlanCompared) -> str:
    """How much was done otherwise than planned, in one line."""
    return f"against the plan {compared.plan}: {otherwise(compared)}" if compared.differs else as_planned(compared)


def otherwise(compared: PlanCompared) -> str:
    """How much was done otherwise than planned: the steps with their names as far as they are few, then numbers."""
    steps = {"left out": compared.left_out, "added": compared.added, "moved": compared.out_of_order}
    told = [f"{name} {_few(each)}" for name, each in steps.items() if each]
    counted = [
        count(len(compared.changed), "reading changed", "readings changed"),
        count(len(compared.facts), "job fact changed", "job facts changed"),
        f"{len(compared.not_written)} not written",
    ]
    return "; ".join([*told, *(each for each in counted if not each.startswith("0 "))])


def _few(steps: Sequence[str]) -> str:
    named = [_LINE.sub("", each).partition(", planned")[0] for each in steps]
    return ", ".join(named) if len(named) <= _MANY else f"{len(named)} steps"


def _rest(page: Page, report: LogReport, told: Arranged, waited: set[str]) -> None:
    """What cannot be said, and no answer of the crew would change."""
    for line in told.cannot_say:
        if not set(line.rules) <= waited:
            page.row(("can't say", rows_of(line), unsaid(line)), _WIDTHS, 2)
    if told.unfinished or told.so_far:
        page.row(("can't say", "end", unfinished_text(report, told)), _WIDTHS, 2)
    if told.facts and not set(told.facts_waiting) <= waited:
        facts_row(page, told)
    for gap in report.not_covered:
        if not gap.startswith("the job does not say"):
            page.row(("can't say", "", f"not covered: {gap}"), _WIDTHS, 2)


def _broken_rows(lines: Sequence[Line], detailed: bool) -> Iterator[tuple[str, str, str]]:
    """(class, rows, text) of what is broken, gravest first; many steps that are not there are one row a class."""
    for class_ in CLASSES:
        own = [line for line in lines if line.class_ == class_]
        absent = [line for line in own if _is_absent(line)]
        if len(absent) < _MANY:
            absent = []
        for line in own:
            if line not in absent:
                yield class_, rows_of(line), _broken(line)
        if absent:
            steps = dict.fromkeys(missing_step(line.head.cause) for line in absent)
            rules = dict.fromkeys(rule for line in absent for rule in line.rules)
            breaks = f"{len(rules)} rules, below" if detailed else f"breaks {', '.join(rules)}"
            yield class_, "", f"not in the log: {', '.join(steps)} ({breaks})"


def _is_absent(line: Line) -> bool:
    """Whether a step is simply not there; where a row says why, that is told."""
    return bool(missing_step(line.head.cause)) and not any(_SAYS.match(each) for each in line.head.evidence)


def _broken(line: Line) -> str:
    head = line.head
    side = f", side {head.side}" if head.side else ""
    claim = next((_SAYS.sub("", each) for each in head.evidence if _SAYS.match(each)), "")
    wrong = claim or _wrong(head)
    beside = ", ".join(part for part in (head.margin, likely(head)) if part)
    wrong += f" ({beside})" if beside else ""
    seen = "" if claim else _seen(head)
    more = len(line.rules) - 1
    named = f"{head.rule}{side}" + (f" and {count(more, 'rule')} more" if more else "")
    return f"{named}: {wrong}" + (f". {seen}" if seen else "") + _elsewhere(line)


def _elsewhere(line: Line) -> str:
    """What the same rule found at other places, with its row; of many the first."""
    own = [each for each in line.others if each.rule == line.head.rule and each.found not in ("", line.head.found)]
    told = [each.found + (f" ({each.margin})" if each.margin else "") for each in own]
    return "".join(f"; also {each}" for each in told[:1]) + (f" and {len(told) - 1} more" if told[1:] else "")


def _wrong(head: Finding) -> str:
    """What was found, and what is needed where that does not say it."""
    if not head.found or not head.needed or head.found == f"no {head.needed}":
        return head.found or head.message
    if head.needed.startswith(_LIMITS):
        return f"{head.found}, {head.needed}"
    first, more, _ = head.needed.partition(" or ")
    return f"{head.found}; needed: {first + ' ...' if more and len(head.needed) > _LONG else head.needed}"


def _seen(head: Finding) -> str:
    """The times that show it, or else the number that was read beside its limit; whatever else does is a detail."""
    others = [each for each in head.evidence if each not in (head.found, likely(head))]
    timed = [each for each in others if _CLOCK.search(each)]
    read = [each for each in others if any(f" {limit}" in each for limit in _LIMITS)]
    return next((_LINE.sub("", each) for each in (*timed, *read)), "")


def shorter(line: Line) -> tuple[str, ...]:
    """What is wrong, from all that one line may hold to the least: with the margin, without it, only what was found."""
    head = line.head
    claim = next((_SAYS.sub("", each) for each in head.evidence if _SAYS.match(each)), "")
    wrong = claim or _wrong(head)
    ways = (*((f"{wrong} ({head.margin})",) if head.margin else ()), wrong, head.found or wrong)
    return tuple(_LINE.sub("", each) for each in ways)


def rows_asked(ask: Ask) -> str:
    """The rows, and where it says more the columns, that a question is about."""
    columns = {each.column for each in ask.wants}
    if len(ask.wants) > 1 and len(columns) == 1 and "" not in columns:
        return f"{ranges([each.row for each in ask.wants])}:{ask.column}"
    if len(ask.wants) == 1 or len({each.column for each in ask.wants if each.column}) > 1:
        letters = ", ".join(each.column for each in ask.wants if each.column)
        return f"{ask.row}:{letters}" if letters else str(ask.row or "")
    return ranges([each.row for each in ask.wants if each.row])


def _asked(numbered: Numbered, report: LogReport) -> str:
    ask = numbered.ask
    missing = [each for each in ask.wants if each.reading]
    computed = [f"{each.rule} {each.found}, {each.needed}" for each in report.measured
                if each.computed and len(missing) == 1 and each.line == ask.row]  # fmt: skip
    grown = [note.says for note in report.notes if note.kind == "grown" and len(missing) > 1]
    also = "; ".join([*computed, *grown])
    return f"{asked(ask)}{f'; {also}' if also else ''} [{numbered.number}]"


def _row_says(question: str) -> tuple[str, str]:
    """What the row says instead, in a few words, and the question behind it."""
    found = _ROW_SAYS.match(question)
    return (f'"{found["text"]}"; ', question[found.end() :]) if found else ("", question)


_ROW_SAYS = re.compile(r'(?:The row says )?"(?P<text>[^"]*)"(?: does not tell it)?\. (?=Not )')


def asked(ask: Ask) -> str:
    """A question in a few words: the rules that wait for it, and what is not there or not understood."""
    more = f" and {len(ask.rules) - 1} more" if len(ask.rules) > 1 else ""
    named = f"{ask.rules[0]}{more}" if ask.rules else ""
    missing = [each for each in ask.wants if each.reading]
    first = f'"{ask.text}" ' if ask.text and {each.text for each in ask.wants} == {ask.text} else ""
    row_says, absent = _row_says(ask.question)
    if len(missing) > 1 and absent.startswith(_ABSENT):
        said = f"{row_says}not written: " + ", ".join(_name(each.reading, each.side) for each in missing)
    elif missing and absent.startswith(_ABSENT):
        said = f"{row_says}{_name(ask.reading, ask.side)} is not written"
    else:
        said = ask.question.partition(" Not written: ")[0].partition(" What should stand here?")[0]
        said = said.partition(" Answer in this order")[0].rstrip(".")
        said = said.removeprefix(repr(ask.text)).strip()
        first = "" if said.startswith(ask.text) else first
    return f"{named + ': ' if named else ''}{first}{said}"


def _name(reading: str, side: str) -> str:
    return " ".join(part for part in (reading.replace("-", " "), side) if part)

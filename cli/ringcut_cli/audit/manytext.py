"""Many logs on one screen: which do not conform, what breaks most, what keeps us from saying, what to ask.

Logs are named one a line, the gravest first. Where more have a critical finding than the screen has lines, those
are gathered under their worst rule, so that as many as possible are named.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from heapq import nsmallest
from itertools import groupby

from ringcut.archive.results import Ask, FileRead
from ringcut.archive.summary import Summary
from ringcut_cli.audit.countstext import interval
from ringcut_cli.audit.gravest import Departures, Grave
from ringcut_cli.audit.readtext import by_file, count
from ringcut_cli.audit.running import Ended
from ringcut_cli.audit.screentext import Numbered, asked, otherwise, rows_asked, shorter
from ringcut_cli.shown.page import Page, wide
from ringcut_cli.shown.reporttext import LOUD, verdict_word

ROOM = 12
"""Lines of the screen for logs that do not conform."""
RULES, CAUSES, QUESTIONS, OTHERWISE = 5, 5, 3, 5
_CLASS, _NAME = 8, 24
_BROKEN = 12
"""Columns that may stay empty at the end of a line that is broken between words."""
_ORDER = ("nonconforming", "undetermined", "under concession", "conforms", "not applicable")


def files_line(page: Page, files: Sequence[FileRead], several: bool = False) -> None:
    """What was read of many files, in one line; each has its own below. ``several``: with the tables that each of
    several column files read."""
    logs = sum(each.logs for each in files)
    assumed, left = sum(len(each.assumptions) for each in files), sum(len(each.not_taken) for each in files)
    bad = sum(len(each.problems) for each in files)
    said = [count(logs, "log"), *([count(assumed, "assumption")] if assumed else []),
            *([f"not taken: {count(left, 'cell')}"] if left else []),
            *([f"{count(bad, 'bad place')} in the text"] if bad else [])]  # fmt: skip
    page.parts([(count(len(files), "file"), "bold"), (f"   {', '.join(said)}", "")])
    by = Counter(by_file(table) for each in files for table in each.tables if several)
    if by:
        page.text("; ".join(f"{count(number, 'table')} {said}" for said, number in by.items()), 2)


def many_page(page: Page, ended: Ended, grave: Sequence[Grave], questions: str, planned: Departures) -> None:
    """Write the screen. ``grave``: the gravest logs, in their order; ``questions``: the file that has them, if any."""
    summary = ended.summary
    page.heading(f"{count(summary.logs, 'log')}", f"{summary.not_read:,} not read" if summary.not_read else "")
    for verdict in sorted(summary.verdicts, key=_ORDER.index):
        parts = [(f"{summary.verdicts[verdict]:>8,}  ", ""), (verdict_word(verdict), LOUD.get(verdict, "bold"))]
        page.parts([*parts, (f"   {_by_class(summary)}" if verdict == "nonconforming" else "", "")], 2)
    if not summary.logs:
        return
    page.text(f"nonconforming: {interval(summary.rate)}", 2)
    _logs(page, summary, grave)
    _otherwise(page, planned)
    _rules(page, summary)
    _causes(page, summary)
    _questions(page, ended, questions)


def _by_class(summary: Summary) -> str:
    return "gravest finding: " + ", ".join(f"{name} {logs:,}" for name, logs in summary.classes.items() if logs)


def _logs(page: Page, summary: Summary, grave: Sequence[Grave]) -> None:
    if not grave:
        return
    bad = summary.rate.nonconforming
    critical = [each for each in grave if each.worst.class_ == "critical"]
    if len(critical) <= ROOM:
        page.heading("DO NOT CONFORM", "the gravest first, each with its worst finding")
        _grave_rows(page, grave[:ROOM])
        _more(page, bad - min(len(grave), ROOM), "", bad <= len(grave))
        return
    page.heading("DO NOT CONFORM", "logs with a critical finding, by the worst rule of each")
    shown = _by_rule(page, critical, len(critical) == summary.classes["critical"])
    left = summary.classes["critical"] - shown
    _more(page, bad - shown, f"{left:,} of them critical" if left else "none of them critical", bad <= len(grave))


def _grave_rows(page: Page, grave: Sequence[Grave]) -> None:
    """Class, name, and as much of its worst finding as a line holds; two lines a log, where the logs are few."""
    names = min(max(wide(each.name) for each in grave), _NAME)
    room = page.width - 2 - _CLASS - 2 - names - 2
    room = 2 * room - _BROKEN if 2 * len(grave) <= ROOM else room
    for each in grave:
        page.row((each.worst.class_, each.name, _fitting(each, room)), (_CLASS, names), 2, ("bold", "bold", ""))


def _fitting(each: Grave, room: int) -> str:
    """The longest telling that fits into one line; a rule's name is never cut, and no number in the middle."""
    line = each.worst
    side = f", side {line.head.side}" if line.head.side else ""
    more = f" and {each.more} more" if each.more else ""
    cell = f"{line.rows[0]} " if line.rows and ":" in line.rows[0] else ""
    named = f"{line.head.rule}{side}{more}"
    texts = shorter(line)
    ways = [f"{where}{named}: {text}" for text in texts for where in (cell, "")]
    if fits := next((way for way in ways if wide(way) <= room), ""):
        return fits
    kept = ""
    for word in texts[-1].split():
        if wide(f"{named}: {kept} {word} ...") > room:
            break
        kept = f"{kept} {word}".strip()
    return f"{named}: {kept} ..." if kept else named


def _by_rule(page: Page, critical: Sequence[Grave], all_: bool) -> int:
    """Logs under their worst rule, the rule of most logs first; gives how many were named. ``all_``: these are all."""
    by_rule = sorted(critical, key=lambda each: each.worst.head.rule)
    groups = [list(group) for _, group in groupby(by_rule, key=lambda each: each.worst.head.rule)]
    groups.sort(key=lambda group: (-len(group), group[0].worst.head.rule))
    width = max(wide(group[0].worst.head.rule) for group in groups[:ROOM])
    shown, left = 0, ROOM
    for number, group in enumerate(groups[:ROOM]):
        lines = max(left - (min(len(groups), ROOM) - number - 1), 1)
        named = list(_names(group, (page.width - 2 - width - 2) * lines - 2 * _NAME * (lines > 1)))
        after = f" and {len(group) - len(named)} more" if len(named) < len(group) else ""
        after = " ..." if after and not all_ else after
        text = ", ".join(named) + after
        page.row((group[0].worst.head.rule, text), (width,), 2, ("bold", ""))
        left -= max(-(-wide(text) // (page.width - 2 - width - 2)), 1)
        shown += len(named)
    return shown


def _names(group: Sequence[Grave], room: int) -> Iterator[str]:
    used = len(" and 000 more")
    for number, each in enumerate(group):
        used += wide(each.name) + 2
        if used > room and number:
            return
        yield each.name


def _more(page: Page, number: int, about: str, below: bool) -> None:
    """``below``: every one of them follows below the screen."""
    if number > 0:
        where = ": all below" if below else ": --format csv names all"
        page.text(f"and {number:,} more{f', {about}' if about else ''}{where}", 2)


def _of(shown: int, number: int, more: str) -> str:
    return f"; {shown} of {number:,}, {more} has all" if number > shown else ""


def _otherwise(page: Page, planned: Departures) -> None:
    """What was done otherwise than planned, also where it conforms."""
    if not planned.compared:
        return
    page.heading("OTHERWISE THAN PLANNED", f"{planned.differ:,} of {count(planned.compared, 'log')} with a plan")
    told = planned.found()[:OTHERWISE]
    names = min(max((wide(each.name) for each in told), default=0), _NAME)
    for each in told:
        page.row((each.name, otherwise(each.compared)), (names,), 2, ("bold", ""))
    if planned.differ > len(told):
        page.text(f"and {planned.differ - len(told):,} more: --format html and json have all", 2)


def _rules(page: Page, summary: Summary) -> None:
    rules = summary.breaks_most
    if rules:
        page.heading("BREAKS MOST", f"logs, class, rule{_of(RULES, len(rules), '--format json')}")
    for each in rules[:RULES]:
        page.row((f"{each.logs:>6,}", each.class_, each.rule), (6, 8), 2)


def _causes(page: Page, summary: Summary) -> None:
    causes = summary.keeps_from_saying
    if causes:
        page.heading("KEEPS US FROM SAYING", f"logs, cause{_of(CAUSES, len(causes), '--format json')}")
    for each in causes[:CAUSES]:
        page.row((f"{each.logs:>6,}", each.cause), (6,), 2)


def _questions(page: Page, ended: Ended, written: str) -> None:
    """The questions for which most rules wait; ``written``: the file that has all."""
    if not ended.asks:
        return
    numbered = (Numbered(number, each) for number, each in enumerate(ended.asks, start=1))
    first = nsmallest(QUESTIONS, numbered, key=lambda each: (-len(each.ask.rules), each.number))
    note = f"{count(len(ended.asks), 'question')}, {f'all in {written}' if written else '--questions FILE.csv has all'}"
    page.heading("TO ASK", f"{note}; most rules wait for these" if len(ended.asks) > len(first) else note)
    places = [" ".join(part for part in (_of_log(each.ask), rows_asked(each.ask)) if part) for each in first]
    for place, each in zip(places, first, strict=True):
        page.row((place, f"{asked(each.ask)} [{each.number}]"), (min(max(map(wide, places)), _NAME),), 2)


def _of_log(ask: Ask) -> str:
    return ask.reference or ask.file

"""``audit --counts``: only counts, in one screen or as JSON; made for hundreds of thousands of logs."""

from __future__ import annotations

from collections.abc import Sequence

import click
import msgspec

from ringcut.archive.counting import Counter, stretches
from ringcut.archive.counts import Adding, Counts
from ringcut.archive.crowd import NoBench, WorkerLost, counted
from ringcut.archive.work import Settings
from ringcut_cli.audit.countstext import interval
from ringcut_cli.audit.progress import Progress
from ringcut_cli.audit.readtext import count
from ringcut_cli.audit.running import files_of
from ringcut_cli.exits import Exit, exit_of, worst
from ringcut_cli.shown.page import Page, out
from ringcut_cli.shown.reporttext import LOUD, verdict_word

SHOWN = 15
"""Rules that are shown in text; JSON has all."""


def counts(logs: Sequence[str], settings: Settings, form: str, fail_on: str, workers: int) -> Exit:
    """Count and write to stdout."""
    counter, adding = Counter(settings), Adding()
    files = list(files_of(logs))
    progress = Progress(sum(path.stat().st_size for path, _ in files if path.is_file()))
    stopped, lost = False, None
    with progress:
        try:
            for work, found in counted(stretches(files), settings, workers, counter):
                adding.add(found, work.name)
                progress.moved(work.size, adding.logs)
        except KeyboardInterrupt:
            stopped = True
        except WorkerLost as error:
            lost = error
    result = adding.counts(settings.as_of, counter.bench.context())
    out(_text(result) if form == "text" else msgspec.json.format(msgspec.json.encode(result)).decode() + "\n")
    if stopped:
        click.echo(f"Stopped. {adding.logs:,} logs were counted.", err=True)
        return Exit.STOPPED
    if lost is not None:
        click.echo(f"A worker process was lost: {lost}. {adding.logs:,} logs were counted before.", err=True)
        return Exit.BAD_INPUT if isinstance(lost, NoBench) else Exit.INTERNAL
    ends = [exit_of(*end, fail_on) for end in adding.ends]
    return worst([*ends, Exit.BAD_INPUT] if adding.not_read or not adding.logs else ends)


def _text(result: Counts) -> str:
    page = Page()
    page.heading(count(result.logs, "log"), f"{result.not_read:,} not read" if result.not_read else "")
    for verdict, number in sorted(result.verdicts.items(), key=lambda each: -each[1]):
        page.parts([(f"{number:>10,}  ", ""), (verdict_word(verdict), LOUD.get(verdict, "bold"))], 2)
    if result.logs:
        page.text(f"nonconforming: {interval(result.nonconforming)}", 2)
    classes = ", ".join(f"{name} {number:,}" for name, number in result.worst_class.items())
    if classes:
        page.text(f"by the gravest rule broken: {classes}", 2)
    told = [each for each in result.rules if each.nonconforming or each.undetermined]
    if told:
        page.heading("RULES", "logs in which they are broken, in which they cannot be said; class")
        for each in told[:SHOWN]:
            page.row((f"{each.nonconforming:>9,}", f"{each.undetermined:>9,}", each.class_, each.rule), (9, 9, 8), 2)
        if len(told) > SHOWN:
            page.text(f"and {len(told) - SHOWN} more: --format json has them", 2)
    if result.problems:
        page.heading("NOT READ", "the first of them" if result.not_read > len(result.problems) else "")
        for problem in result.problems:
            where = f"{problem.file}:{problem.line}" if problem.line else problem.file
            page.text(f"{where}: {problem.found}", 2)
    page.gap()
    page.text("Counts of what the logs say, by this rulebook; never a permit. ringcut audit tells of each log why.")
    return page.written()

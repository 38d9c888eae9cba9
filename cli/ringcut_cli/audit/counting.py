"""``audit --counts``: only counts, in one screen or as JSON; made for hundreds of thousands of logs."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path

import click
import msgspec

from ringcut.archive.counting import Counter, stretches
from ringcut.archive.counts import Adding, Counts
from ringcut.archive.crowd import NoBench, WorkerLost, counted
from ringcut.archive.work import Settings
from ringcut.reading.problems import Place, Problem, Unreadable
from ringcut_cli.audit.countstext import interval
from ringcut_cli.audit.progress import Progress
from ringcut_cli.audit.readtext import count
from ringcut_cli.audit.running import files_of
from ringcut_cli.audit.settings import writable
from ringcut_cli.exits import Exit, exit_of, worst
from ringcut_cli.failures import NotWritten
from ringcut_cli.shown.page import Page, out
from ringcut_cli.shown.reporttext import LOUD, verdict_word

SHOWN = 15
"""Rules that are shown in text; JSON has all."""


def counts(
    logs: Sequence[str], settings: Settings, form: str, fail_on: str, workers: int, aside: Path | None = None
) -> Exit:
    """Count and write to stdout; the lines of logs that need a closer look to a file of their own.

    Raises Unreadable where that file cannot be written or is one of the logs, NotWritten where it was not in the end.
    """
    files = list(files_of(logs))
    if aside is not None:
        writable(aside)
        if any(_same(path, aside) for path, _ in files):
            raise Unreadable([Problem(Place(str(aside)), "is one of the logs: it would be overwritten")])
    counter, adding = Counter(settings), Adding()
    progress = Progress(sum(path.stat().st_size for path, _ in files if path.is_file()))
    stopped, lost = False, None
    with progress, _opened(aside) as write:
        try:
            for work, found in counted(stretches(files, aside=aside is not None), settings, workers, counter):
                write(found.aside)
                adding.add(found, work.name)
                progress.moved(work.size, adding.logs)
        except KeyboardInterrupt:
            stopped = True
        except WorkerLost as error:
            lost = error
    result = adding.counts(settings.as_of, counter.bench.context())
    out(
        _text(result, aside, adding.beside)
        if form == "text"
        else msgspec.json.format(msgspec.json.encode(result)).decode() + "\n"
    )
    if stopped:
        click.echo(f"Stopped. {adding.logs:,} logs were counted.", err=True)
        return Exit.STOPPED
    if lost is not None:
        click.echo(f"A worker process was lost: {lost}. {adding.logs:,} logs were counted before.", err=True)
        return Exit.BAD_INPUT if isinstance(lost, NoBench) else Exit.INTERNAL
    ends = [exit_of(*end, fail_on) for end in adding.ends]
    return worst([*ends, Exit.BAD_INPUT] if adding.not_read or not adding.logs else ends)


def _same(path: Path, other: Path) -> bool:
    try:
        return path.samefile(other)
    except OSError:  # one of them is not there
        return False


@contextmanager
def _opened(path: Path | None) -> Iterator[Callable[[list[bytes]], None]]:
    """What writes lines to a file, or nowhere. Raises NotWritten."""
    if path is None:
        yield lambda lines: None
        return
    stream = path.open("wb")

    def write(lines: list[bytes]) -> None:
        try:
            stream.writelines(lines)
            stream.flush()
        except OSError as error:
            raise NotWritten(str(path), error) from error

    try:
        yield write
    finally:
        with suppress(OSError):  # nothing is left to be written but what could not be
            stream.close()


def _text(result: Counts, aside: Path | None, beside: int) -> str:
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
    if aside is not None:
        page.heading("SET ASIDE", f"{count(result.set_aside, 'line')} in {aside}")
        if result.set_aside:
            page.text(f"ringcut audit {aside} tells why, and what to ask the crew", 2)
        if beside:
            page.text(f"{count(beside, 'log')} of other files not: audit these files", 2)
    page.gap()
    page.text("Counts of what the logs say, by this rulebook; never a permit. ringcut audit tells of each log why.")
    return page.written()

"""``ringcut rules compare``: what a new edition tightens and loosens, with examples, and what it does to past jobs."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from ringcut_cli.exits import Exit
from ringcut_cli.options import as_of_option, today

if TYPE_CHECKING:
    from ringcut.language.ir import Rulebook
    from ringcut.reading.raw import RawProcedure

FILE = click.Path(exists=True, dir_okay=False, path_type=Path)
PLACE = click.Path(exists=True, path_type=Path)


BUILT_IN = "base-practice"


class Book(click.Path):
    """A rulebook folder or house file, or the name of the built-in rulebook where no file is called so."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """The path; of the built-in rulebook, wherever that is installed."""
        if str(value) == BUILT_IN and not Path(value).exists():
            from ringcut.rulebookfiles import builtin_rulebook

            return builtin_rulebook()
        return super().convert(value, param, ctx)


BOOK = Book(exists=True, path_type=Path)


@click.command()
@click.argument("old", type=BOOK)
@click.argument("new", type=BOOK)
@click.argument("logs", nargs=-1, type=PLACE, metavar="[LOG...]")
@click.option(
    "--columns",
    type=FILE,
    multiple=True,
    metavar="FILE",
    help="The column file of the contractor whose sheets these are; may be repeated.",
)
@click.option("--jobs", type=FILE, metavar="FILE", help="Facts of each work order, joined by reference.")
@as_of_option
def command(
    old: Path, new: Path, logs: tuple[Path, ...], columns: tuple[Path, ...], jobs: Path | None, as_of: str | None
) -> Exit:
    """Compare two rulebooks (folders or house files; base-practice is the built-in one), as if both were in force.

    For every rule that is new, gone, tighter or looser a small procedure is shown that the one accepts and the other
    does not, where one is found. With logs (files or folders): which verdicts change. Of several column files, each
    table is read by that one whose headings it has.

    Ends with 2 where a log cannot be read by one of the two, or there is none; what was read is compared all the same.
    """
    from ringcut.language.layering import load_layers
    from ringcut.proof.compare import differences, over_logs
    from ringcut.rulebookfiles import builtin_rulebook
    from ringcut_cli.shown.comparetext import differences_page, logs_page
    from ringcut_cli.shown.page import Page, out

    day = as_of or today()
    one, two = (load_layers(path, builtin_rulebook(), day).book for path in (old, new))
    found = differences(one, two)
    page = Page()
    differences_page(page, one, two, found)
    end = Exit.CONFORMS
    if logs:
        bad: list[str] = []
        names = [each.effect.rule for each in found if each.kind != "gone"]
        judged = over_logs(one, two, _read(logs, two, columns, jobs, bad), names)
        logs_page(page, judged, bad)
        end = Exit.BAD_INPUT if bad or judged.unread else Exit.CONFORMS
    out(page.written())
    return end


def _read(
    paths: tuple[Path, ...], book: Rulebook, columns: tuple[Path, ...], jobs: Path | None, bad: list[str]
) -> Iterator[tuple[str, RawProcedure]]:
    """Every log of the files and folders; what cannot be read is told in ``bad``."""
    from ringcut.archive.columnfile import each_of
    from ringcut.archive.jobs import read_jobs
    from ringcut.archive.lexicon import RulebookLexicon
    from ringcut.archive.streams import read_logs
    from ringcut.archive.whichstep import settled
    from ringcut.reading.problems import Problem, Unreadable
    from ringcut_cli.audit.running import files_of

    lexicon = RulebookLexicon(book)
    problems: list[Problem] = []
    given = each_of(columns, lexicon, problems)
    try:
        known = read_jobs(jobs, jobs.name, lexicon) if jobs else None
    except Unreadable as error:
        problems += error.problems
    if problems:
        raise Unreadable(problems)
    files = list(files_of([str(path) for path in paths]))
    if not files:
        bad.append(f"{', '.join(map(str, paths))}: no file of logs here")
    for path, name in files:
        try:
            opened = read_logs(path, name, lexicon, given, known)
            for log in opened.logs:
                if isinstance(log, Problem):
                    bad.append(str(log))
                else:
                    read = settled(log, book)[0] if opened.sheet else log
                    yield f"{path.name} {log.reference}".strip(), read.raw
        except Unreadable as error:
            bad += [str(problem) for problem in error.problems]

"""``ringcut check``: judge plans (or single logs) one after the other and say what can hurt, leak, or is untidy."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from ringcut_cli.exits import Exit, exit_for, worst
from ringcut_cli.options import as_of_option, rulebook_option, today

if TYPE_CHECKING:
    from ringcut.judge.findings import Report
    from ringcut.report.published import NotRead
    from ringcut_cli.judging import Unread


@click.command()
@click.argument("files", nargs=-1, required=True, metavar="PLAN...")
@click.option(
    "--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True, help="What to write."
)
@click.option(
    "--fail-on",
    type=click.Choice(["critical", "major", "minor"]),
    default="minor",
    show_default=True,
    help="End with 1 only where a rule of this class or a graver one is broken.",
)
@click.option(
    "--concessions",
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
    metavar="FILE",
    help="A file of concessions: one job, one rule, a reason, an approver, a last day.",
)
@click.option(
    "--stock",
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
    metavar="FILE",
    help="Your stock list of sleeves, CSV or YAML.  [default: the rulebook's, which is invented]",
)
@as_of_option
@rulebook_option
def command(
    files: tuple[str, ...], form: str, fail_on: str, concessions: Path | None, stock: Path | None,
    as_of: str | None, folder: Path | None,
) -> Exit:  # fmt: skip
    """Judge plans, or single logs, by the rulebook. A dash reads from standard input.

    Several files are judged each for itself, and the exit code is the gravest: 2 (a file cannot be read) before 1
    (nonconforming) before 3 (cannot say) before 0. Nothing that is printed is a permit to work.
    """
    from ringcut_cli.judging import Judging, Unread
    from ringcut_cli.shown.page import err

    judging = Judging(folder, as_of or today(), concessions, stock)
    ends: list[Exit] = []
    results: list[Report | NotRead] = []
    for number, file in enumerate(files):
        result, page = judging.judge(file)
        if isinstance(result, Unread):
            ends.append(Exit.BAD_INPUT)
            err(page + ("\n" if form == "text" and number + 1 < len(files) else ""))
            results.append(_published(result))
        else:
            ends.append(exit_for(result, fail_on))
            results.append(result)
            if form == "text":
                _text(page, last=number + 1 == len(files))
    if form == "json":
        _json(results)
    for line in judging.left_over():
        err(f"{line}\n")
    return worst(ends)


def _text(page: str, last: bool) -> None:
    from ringcut_cli.shown.page import out

    out(page if last else f"{page}\n\n")


def _json(results: list[Report | NotRead]) -> None:
    from ringcut.report.published import encoded
    from ringcut_cli.shown.page import out_bytes

    # bytes, because the encoding of a terminal is no matter of JSON, which is UTF-8
    out_bytes(encoded(results))


def _published(result: Unread) -> NotRead:
    from ringcut.report.published import not_read

    return not_read(result.file, result.problems)

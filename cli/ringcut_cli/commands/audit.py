"""``ringcut audit``: judge logs as they come, one or many; what was read comes first, questions to the crew last."""

from __future__ import annotations

from pathlib import Path

import click

from ringcut_cli.exits import Exit
from ringcut_cli.options import as_of_option, rulebook_option, today

FILE = click.Path(exists=True, dir_okay=False, path_type=Path)
FORMATS = ("text", "json", "csv", "junit", "sarif", "html")


@click.command()
@click.argument("logs", nargs=-1, metavar="LOG...")
@click.option("--format", "form", type=click.Choice(FORMATS), default="text", show_default=True, help="What to write.")
@click.option("--columns", type=click.Path(dir_okay=False, path_type=Path), multiple=True, metavar="FILE",
              help="The column file of the contractor whose sheets these are; may be repeated.")  # fmt: skip
@click.option("--ask", is_flag=True, help="Make the column file of a contractor by asking; --columns names it.")
@click.option("--jobs", type=FILE, metavar="FILE", help="Facts of each work order, joined by reference.")
@click.option("--plan", "plans", type=FILE, multiple=True, metavar="PLAN", help="Compare with a plan; may be repeated.")
@click.option("--concessions", type=FILE, metavar="FILE", help="A file of concessions.")
@click.option("--answers", type=FILE, metavar="FILE", help="A file of questions with the crew's answers.")
@click.option("--questions", type=click.Path(dir_okay=False, path_type=Path), metavar="FILE.csv",
              help="Write the questions to the crew, one a row.")  # fmt: skip
@click.option("--fail-on", type=click.Choice(["critical", "major", "minor"]), default="minor", show_default=True,
              help="End with 1 only where a rule of this class or a graver one is broken.")  # fmt: skip
@click.option("--workers", type=click.IntRange(1, 256), default=1, show_default=True, help="Processes.")
@click.option("--store", type=click.Path(dir_okay=False, path_type=Path), metavar="FILE",
              help="Keep results; the next run judges only what changed.")  # fmt: skip
@click.option("--counts", is_flag=True,
              help="Only count verdicts, over all and by rule (text or json): for very many logs.")  # fmt: skip
@click.option("--aside", type=click.Path(dir_okay=False, path_type=Path), metavar="FILE.jsonl",
              help="With --counts: write there the lines of logs that need a closer look.")  # fmt: skip
@click.option("--verify", type=FILE, metavar="REPORT", help="Make a JSON report again and compare.")
@as_of_option
@rulebook_option
def command(
    logs: tuple[str, ...],
    form: str,
    columns: tuple[Path, ...],
    ask: bool,
    jobs: Path | None,
    plans: tuple[Path, ...],
    concessions: Path | None,
    answers: Path | None,
    questions: Path | None,
    fail_on: str,
    workers: int,
    store: Path | None,
    counts: bool,
    aside: Path | None,
    verify: Path | None,
    as_of: str | None,
    folder: Path | None,
) -> Exit:
    """Judge logs: YAML, JSON, JSON Lines, CSV or .xlsx, or folders of them.

    What was read, assumed and not taken is told first. A bad line or cell costs that line or cell; the rest goes on,
    and the exit code says so. Each log is judged by the edition in force on its day. Of several column files, each
    table is read by that one whose headings it has.
    """
    from ringcut_cli.audit.settings import Asked, audit

    if verify is not None:
        from ringcut_cli.audit.verifying import verified

        return verified(verify)
    if not logs:
        raise click.UsageError("Give at least one log, or a folder of logs.")
    if ask:
        from ringcut_cli.audit.columnasking import asked as asked_for

        if len(columns) > 1:
            raise click.UsageError("--ask makes the column file of one contractor: give --columns once.")
        return asked_for(logs, columns[0] if columns else None, as_of or today(), folder)
    for each in columns:
        if not each.exists():
            raise click.BadParameter(
                f"File '{each}' does not exist. --ask makes a column file by asking.", param_hint="--columns"
            )
    asked = Asked(
        logs, as_of or today(), folder, columns, jobs, plans, concessions, answers,
    )  # fmt: skip
    if counts:
        if form not in ("text", "json") or store or questions:
            raise click.UsageError("--counts writes text or json only, and makes no questions and no store.")
        from ringcut_cli.audit.counting import counts as counted

        return counted(logs, asked.settings(), form, fail_on, workers, aside)
    if aside is not None:
        raise click.UsageError("--aside goes with --counts: an audit tells of each log why by itself.")
    return audit(asked, form, fail_on, workers, store, questions)

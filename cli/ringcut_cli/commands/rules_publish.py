"""``ringcut rules publish``: the rulebook as a small site of plain files."""

from __future__ import annotations

from pathlib import Path

import click

from ringcut_cli.exits import Exit
from ringcut_cli.options import as_of_option, rulebook_option, today


@click.command()
@click.argument("target", type=click.Path(file_okay=False, path_type=Path), metavar="FOLDER")
@click.option("--force", is_flag=True, help="Write into a folder that is not empty.")
@as_of_option
@rulebook_option
def command(target: Path, force: bool, as_of: str | None, folder: Path | None) -> Exit:
    """Write the pages of a rulebook into FOLDER: a page for each rule and each kind of work, and indexes.

    The cases are run while the pages are made. The pages need no network and no script.
    """
    from ringcut.rulebookfiles import builtin_rulebook
    from ringcut_cli.publish.site import publish
    from ringcut_cli.rulebooks import rulebook

    if target.exists() and any(target.iterdir()) and not force:
        raise click.UsageError(f"{target} is not empty. Give another folder, or --force.")
    models = folder if folder is not None and (folder / "procedures").is_dir() else builtin_rulebook()
    book = rulebook(folder, as_of or today())
    written = publish(book, models, target)
    click.echo(f"{len(written)} files in {target}. Open {target / 'index.html'}.")
    return Exit.CONFORMS

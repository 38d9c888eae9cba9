"""``ringcut rules list``: every rule in force with its class and what it says, by subject."""

from __future__ import annotations

from pathlib import Path

import click

from ringcut_cli.exits import Exit
from ringcut_cli.options import as_of_option, rulebook_option, today


@click.command()
@click.option("--subject", metavar="SUBJECT", help="Only rules on this subject.")
@click.option("--class", "class_", type=click.Choice(["critical", "major", "minor"]), help="Only rules of this class.")
@as_of_option
@rulebook_option
def command(subject: str | None, class_: str | None, as_of: str | None, folder: Path | None) -> Exit:
    """List the rules in force, by subject."""
    from ringcut.reading.suggest import canonical, near
    from ringcut_cli.rulebooks import rulebook
    from ringcut_cli.shown.page import Page, out
    from ringcut_cli.shown.ruletext import list_page

    book = rulebook(folder, as_of or today())
    wanted = canonical(subject) if subject else ""
    if wanted and wanted not in book.subjects:
        close = near(wanted, book.subjects)
        meant = f" Did you mean {close}?" if close else ""
        raise click.UsageError(f"There is no subject {subject}.{meant} The subjects are: {', '.join(book.subjects)}.")
    page = Page()
    list_page(page, book, wanted, class_ or "")
    out(page.written())
    return Exit.CONFORMS

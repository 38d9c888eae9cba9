"""``ringcut rules show``: rules as a person reads them, the formula last."""

from __future__ import annotations

from pathlib import Path

import click

from ringcut_cli.exits import Exit
from ringcut_cli.options import as_of_option, rulebook_option, today


@click.command()
@click.argument("names", nargs=-1, required=True, metavar="RULE...")
@as_of_option
@rulebook_option
def command(names: tuple[str, ...], as_of: str | None, folder: Path | None) -> Exit:
    """Show what a rule says, why, what to do, where it comes from, and its cases."""
    from ringcut.reading.suggest import canonical, near
    from ringcut_cli.rulebooks import rulebook
    from ringcut_cli.shown.page import Page, out
    from ringcut_cli.shown.ruletext import rule_page

    book = rulebook(folder, as_of or today())
    page = Page()
    for name in names:
        # a house change with a "when" makes two of one rule: one where it holds, one for the other jobs
        rules = [rule for rule in book.rules if rule.id == canonical(name)]
        if not rules:
            close = near(name, [rule.id for rule in book.rules])
            meant = f" Did you mean {close}?" if close else " ringcut rules list shows them all."
            raise click.UsageError(f"There is no rule {name}.{meant}")
        for rule in rules:
            rule_page(page, rule, book)
    out(page.written())
    return Exit.CONFORMS

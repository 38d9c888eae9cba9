"""``ringcut rules schema``: the JSON Schemas of every format, for editors and other programs."""

from __future__ import annotations

from pathlib import Path

import click

from ringcut_cli.exits import Exit
from ringcut_cli.options import as_of_option, today


@click.command()
@click.argument("name", required=False)
@click.option("--write", "folder", type=click.Path(file_okay=False, path_type=Path), metavar="FOLDER",
              help="Write every schema into this folder.")  # fmt: skip
@click.option("--rulebook", "path", type=click.Path(exists=True, path_type=Path), metavar="PATH",
              help="Know the names of this house rulebook or rulebook folder, and no others.")  # fmt: skip
@as_of_option
def command(name: str | None, folder: Path | None, path: Path | None, as_of: str | None) -> Exit:
    """Print the schema of one format, list their names, or write all of them.

    They offer the names of the built-in rulebook and let others pass; with --rulebook they know the names of that
    one, and refuse others.

    "ringcut guide editor-schemas" says how an editor is told to use them.
    """
    from ringcut.language.layering import load_layers
    from ringcut.reading.suggest import canonical, near
    from ringcut.rulebookfiles import builtin_rulebook
    from ringcut_cli.publish.schemafiles import schema_files, write_schemas
    from ringcut_cli.shown.page import out

    book = load_layers(path, builtin_rulebook(), as_of or today()).book if path is not None else None
    if folder is not None:
        for written in write_schemas(folder, book):
            out(f"{written}\n")
        return Exit.CONFORMS
    files = schema_files(book)
    by_name = {each.removesuffix(".json"): text for each, text in files.items()}
    if name is None:
        out("".join(f"{each}\n" for each in by_name))
        return Exit.CONFORMS
    asked = canonical(name.removesuffix(".json"))
    if asked not in by_name:
        close = near(asked, by_name)
        meant = f"Did you mean {close}?" if close else f"There are: {', '.join(by_name)}."
        raise click.UsageError(f"There is no schema {name}. {meant}")
    out(by_name[asked].decode())
    return Exit.CONFORMS

"""``ringcut rules schema``: the JSON Schemas of every format, for editors and other programs."""

from __future__ import annotations

from pathlib import Path

import click

from ringcut_cli.exits import Exit


@click.command()
@click.argument("name", required=False)
@click.option("--write", "folder", type=click.Path(file_okay=False, path_type=Path), metavar="FOLDER",
              help="Write every schema into this folder.")  # fmt: skip
def command(name: str | None, folder: Path | None) -> Exit:
    """Print the schema of one format, list their names, or write all of them.

    "ringcut guide editor-schemas" says how an editor is told to use them.
    """
    from ringcut_cli.publish.schemafiles import schema_files, write_schemas
    from ringcut_cli.shown.page import out

    if folder is not None:
        for path in write_schemas(folder):
            out(f"{path}\n")
        return Exit.CONFORMS
    files = schema_files()
    if name is None:
        out("".join(f"{each.removesuffix('.json')}\n" for each in files))
        return Exit.CONFORMS
    found = files.get(f"{name.removesuffix('.json')}.json")
    if found is None:
        raise click.UsageError(f"There is no schema {name}. There are: {', '.join(files)}.")
    out(found.decode())
    return Exit.CONFORMS

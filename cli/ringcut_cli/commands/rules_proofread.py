"""``ringcut rules proofread``: everything that is wrong in a rulebook, at its place, with what to write instead."""

from __future__ import annotations

from pathlib import Path

import click

from ringcut_cli.exits import Exit, worst
from ringcut_cli.options import as_of_option, today


@click.command()
@click.argument(
    "paths", nargs=-1, required=True, metavar="FILE|FOLDER...", type=click.Path(exists=True, path_type=Path)
)
@as_of_option
def command(paths: tuple[Path, ...], as_of: str | None) -> Exit:
    """Proofread house rulebook files or rulebook folders.

    Ends with 2 where something keeps a rulebook from being in force, with 1 where it could be in force and has
    mistakes, else with 0. Advice alone changes nothing.
    """
    from ringcut.proof.proofread import proofread
    from ringcut.rulebookfiles import builtin_rulebook
    from ringcut_cli.shown.page import Page, out
    from ringcut_cli.shown.prooftext import proof_page

    ends = []
    for number, path in enumerate(each for given in paths for each in _rulebooks(given)):
        proof = proofread(path, builtin_rulebook(), as_of or today())
        page = Page()
        proof_page(page, proof, str(path))
        out(("\n" if number else "") + page.written())
        ends.append(Exit.BAD_INPUT if not proof.in_force else Exit.NONCONFORMING if proof.mistakes else Exit.CONFORMS)
    return worst(ends)


def _rulebooks(path: Path) -> list[Path]:
    """A file or a rulebook folder is itself; another folder is the house files in it."""
    if not path.is_dir() or (path / "rulebook.yaml").exists():
        return [path]
    found = [each for each in sorted(path.glob("*.y*ml")) if b"based-on" in each.read_bytes()]
    if not found:
        raise click.UsageError(f"{path} has no rulebook.yaml, and no house rulebook (a file with based-on:) in it.")
    return found

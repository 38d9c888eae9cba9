"""``ringcut rules proofread``: everything that is wrong in a rulebook, at its place, with what to write instead."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path

import click

from ringcut_cli.exits import Exit, worst
from ringcut_cli.options import as_of_option, today


@click.command()
@click.argument(
    "paths", nargs=-1, required=True, metavar="FILE|FOLDER...", type=click.Path(exists=True, path_type=Path)
)
@click.option("--changed", is_flag=True, help="The paths are changed files: proofread the rulebooks they are part of.")
@as_of_option
def command(paths: tuple[Path, ...], changed: bool, as_of: str | None) -> Exit:
    """Proofread house rulebook files or rulebook folders.

    With --changed, as a hook before a commit gives files, a file of a rulebook folder or a list of ids stands for its
    rulebook, and a file that belongs to no rulebook is passed over.

    Ends with 2 where something keeps a rulebook from being in force, with 1 where it could be in force and has
    mistakes, else with 0. Advice alone changes nothing.
    """
    from ringcut.proof.proofread import proofread
    from ringcut.rulebookfiles import builtin_rulebook
    from ringcut_cli.shown.page import Page, out
    from ringcut_cli.shown.prooftext import proof_page

    ends = []
    chosen = _touched(paths) if changed else [each for given in paths for each in _rulebooks(given)]
    for number, path in enumerate(chosen):
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


def _touched(paths: Sequence[Path]) -> list[Path]:
    """The rulebooks that files are part of, each once, in the order of the files."""
    found: dict[Path, None] = {}
    for path in paths:
        folder = next((each for each in path.parents if (each / "rulebook.yaml").is_file()), None)
        name = path.name.removesuffix(".ids.txt")
        beside = (
            [path] if path.suffix in (".yaml", ".yml") else [path.with_name(name + end) for end in (".yaml", ".yml")]
        )
        if folder is not None:
            found[folder] = None
        elif name != path.name or beside == [path]:
            found |= dict.fromkeys(each for each in beside if each.is_file() and _HOUSE.search(each.read_bytes()))
    return list(found)


_HOUSE = re.compile(rb"^(rulebook|based[-_ ]on|in[-_ ]force[-_ ]from|may[-_ ]approve)[ ]*:", re.MULTILINE)
"""A key that only a house rulebook has: one that is enough, since another may be the mistake."""

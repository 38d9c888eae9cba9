"""``ringcut correct``: the smallest change after which a plan conforms, shown as a diff; written only when asked."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from ringcut_cli.exits import Exit, exit_for
from ringcut_cli.options import as_of_option, rulebook_option, today

if TYPE_CHECKING:
    from ringcut.correct.correcting import Correction


@click.command()
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path), metavar="PLAN")
@click.option("--write", is_flag=True, help="Write the correction into the file; comments and order of the rest stay.")
@click.option(
    "--versions", type=click.IntRange(min=1), default=8000, show_default=True, metavar="NUMBER",
    help="How many versions of the plan to look at before giving up.",
)  # fmt: skip
@as_of_option
@rulebook_option
def command(file: Path, write: bool, versions: int, as_of: str | None, folder: Path | None) -> Exit:
    """Find the smallest change that makes a plan conform: steps moved, steps added, readings changed.

    Job facts are never changed, and what only the doing tells is never filled in: it is asked for. The correction is
    judged again before it is offered, and the file stays as it is without --write.
    """
    from ringcut.correct.correcting import correct
    from ringcut.draft.models import models_of
    from ringcut_cli.rulebooks import rulebook

    day = as_of or today()
    book = rulebook(folder, day)
    found = correct(file.read_bytes(), str(file), book, models_of(folder, book), day, versions)
    written = write and found.found and found.in_place
    if written:
        file.write_bytes(found.text.encode())
    _show(found, file, written)
    assert found.report is not None
    if found.found and not written:
        return Exit.NONCONFORMING
    return exit_for(found.report)


def _show(found: Correction, file: Path, written: bool) -> None:
    from ringcut_cli.shown.page import harmless, out

    lines = [*_head(found, file), *_diff(found, file)]
    if found.asks:
        lines += ["", "Only people can say:", *(f"  {each}" for each in found.asks)]
    if found.found:
        lines += ["", f"Judged again: {found.verdict}."]
        if written:
            lines.append(f"Written to {file}.")
        elif found.in_place:
            lines.append("Nothing is written. --write writes it.")
        else:
            lines.append("These edits cannot be made in the file as it is laid out; make them by hand.")
    out("\n".join(harmless(line) if line else "" for line in lines) + "\n")


def _head(found: Correction, file: Path) -> list[str]:
    if not found.edits:
        if found.why:
            lines = [f"{file}: no correction. {found.why}"]
            for member in found.conflict.members if found.conflict else ():
                along = f" (and with it {', '.join(member.along)})" if member.along else ""
                lines.append(f"  without {member.rule}{along} there would be one: {member.says}")
            for finding in found.against:
                lines += [f"  needed: {finding.needed}", *(f"    {each}" for each in finding.evidence)]
            return lines
        if found.verdict == "undetermined":
            return [f"{file}: {found.verdict}. Nothing is known to be wrong, but not everything can be said."]
        return [f"{file}: {found.verdict}. Nothing to correct."]
    number = len(found.edits)
    proved = "fewer will not do" if found.smallest else "not proved to be the fewest: the search ended early"
    lines = [f"{file}: {number} edit{'' if number == 1 else 's'}; {proved}."]
    for edit in found.edits:
        lines.append(f"  {edit.words}")
        lines += [f"    and with it {words}" for words in edit.along]
        if edit.rules:
            lines.append(f"    for {', '.join(edit.rules)}")
    return lines


def _diff(found: Correction, file: Path) -> list[str]:
    from ringcut.correct.telling import difference

    if not found.found or not found.in_place:
        return []
    before = found.before
    return ["", *difference(before, found.text, str(file))]

"""``ringcut correct``: the smallest change after which a plan conforms, shown as a diff; written only when asked."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import click

from ringcut_cli.exits import Exit, exit_for
from ringcut_cli.options import as_of_option, rulebook_option, today

if TYPE_CHECKING:
    from ringcut.correct.effort import Effort


@click.command()
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path), metavar="PLAN")
@click.option("--write", is_flag=True, help="Write the correction into the file; comments and order of the rest stay.")
@click.option(
    "--budget", type=click.IntRange(min=1), default=200_000, show_default=True, metavar="NUMBER",
    help="How much to look at before giving up, the default takes about ten seconds.",
)  # fmt: skip
@click.option("--stock", type=click.Path(exists=True, dir_okay=False, path_type=Path), metavar="FILE",
    help="Your stock list of sleeves, CSV or YAML.  [default: the rulebook's, which is invented]")  # fmt: skip
@as_of_option
@rulebook_option
def command(
    file: Path, write: bool, budget: int, stock: Path | None, as_of: str | None, folder: Path | None
) -> Exit:  # fmt: skip
    """Find the smallest change that makes a plan conform: steps moved, steps added, readings changed.

    Job facts are never changed, and what only the doing tells is never filled in: it is asked for. Where no change
    makes the whole plan conform, the change that leaves least wrong is shown, and what is left to do by hand. The
    correction is judged again before it is offered, and the file stays as it is without --write.
    """
    from ringcut.correct.correcting import correct
    from ringcut.correct.effort import Effort
    from ringcut.draft.models import models_of
    from ringcut_cli.rulebooks import rulebook
    from ringcut_cli.searching import Searching
    from ringcut_cli.shown.correctiontext import correction_text
    from ringcut_cli.shown.page import out

    day = as_of or today()
    book = rulebook(folder, day)
    if stock is not None:
        from ringcut.draft.stock import read_stock, with_stock

        book = with_stock(book, read_stock(stock.read_bytes(), str(stock)))
    data = file.read_bytes()
    models = models_of(folder, book)
    with Searching() as searching, stopping(effort := Effort(budget, searching.told)):
        found = correct(data, str(file), book, models, day, effort)
    written = write and found.found and found.in_place
    if written:
        replaced(file, data, found.text.encode())
    out(correction_text(found, file, written, stock))
    assert found.report is not None
    return Exit.NONCONFORMING if found.found and not written else exit_for(found.report)


@contextmanager
def stopping(effort: Effort) -> Iterator[None]:
    """Ctrl-C ends the search, and what it has found is shown; a second one ends the program."""
    import signal
    import threading

    if threading.current_thread() is not threading.main_thread():
        yield
        return

    def stop(number: int, frame: object) -> None:
        effort.stop()
        signal.signal(signal.SIGINT, before)

    before = signal.signal(signal.SIGINT, stop)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)


def replaced(file: Path, before: bytes, after: bytes) -> None:
    """The whole file or nothing of it, and only over what was read."""
    import os
    import tempfile

    from ringcut.reading.problems import Place, Problem, Unreadable

    target = file.resolve()
    with target.open("r+b") as there:  # a file that may not be written says so, though its folder may be
        found = there.read()
    if found != before:
        hint = "run correct again; nothing was written"
        raise Unreadable([Problem(Place(str(file)), "changed while it was corrected", "the file as it was read", hint)])
    handle, name = tempfile.mkstemp(prefix=f".{target.name}.", dir=target.parent)
    try:
        with os.fdopen(handle, "wb") as part:
            part.write(after)
        os.chmod(name, target.stat().st_mode)
        os.replace(name, target)
    except BaseException:
        os.unlink(name)
        raise

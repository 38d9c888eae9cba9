"""What is said, and with which exit code, when a command does not come to its end.

Input errors are the user's to mend and are told one a line, with their place. Anything unforeseen is a defect
of ours: one short message, a place to look, and the traceback only when asked for, because a crew's clerk can
do nothing with it.
"""

from __future__ import annotations

import errno
from types import TracebackType
from typing import IO, Any

import click

from ringcut_cli.exits import Exit

_NO_ROOM = (errno.ENOSPC, errno.EDQUOT, errno.EFBIG, errno.EROFS, errno.EIO)


class BadInput(click.ClickException):
    """Input that could not be read: one line for each problem."""

    exit_code = Exit.BAD_INPUT

    def __init__(self, lines: list[str]) -> None:
        super().__init__("\n".join(lines))

    def show(self, file: IO[Any] | None = None) -> None:
        """Write the problems to stderr, and that nothing was judged."""
        click.echo(self.message, file=file, err=file is None)
        click.echo("Nothing was judged.", file=file, err=file is None)


class NotWritten(click.ClickException):
    """What was to be written could not be, or not whole: a full disk, a folder without leave to write."""

    exit_code = Exit.BAD_INPUT

    def __init__(self, where: str, error: OSError, then: str = "What was written before is not whole.") -> None:
        super().__init__(f"{where}: cannot be written: {error.strerror or error}. {then}")

    def show(self, file: IO[Any] | None = None) -> None:
        """Write the message to stderr."""
        click.echo(self.message, file=file, err=file is None)


class InternalError(click.ClickException):
    """A defect in Ringcut, met while a command ran."""

    exit_code = Exit.INTERNAL

    def __init__(self, cause: Exception, version: str, debug: bool) -> None:
        lines = [
            f"ringcut {version}: internal error: {type(cause).__name__}: {cause} ({_where(cause.__traceback__)})",
            "This is a defect in Ringcut, not in your file. Nothing that was printed counts as judged.",
            "Please report it to the people who keep your copy of Ringcut, with the first line above, the"
            " command and the file.",
        ]
        if debug:
            from traceback import format_exception

            lines = ["".join(format_exception(cause)).rstrip(), *lines]
        else:
            lines.append("'ringcut --debug COMMAND ...' shows where it happened.")
        super().__init__("\n".join(lines))

    def show(self, file: IO[Any] | None = None) -> None:
        """Write the message to stderr."""
        click.echo(self.message, file=file, err=file is None)


def as_failure(error: Exception, debug: bool) -> click.ClickException:
    """Turn whatever a command raised into what its user should read."""
    if isinstance(error, click.ClickException):
        # click's own default is 1, which here means nonconforming
        return error if error.exit_code != Exit.NONCONFORMING else BadInput([error.format_message()])

    from ringcut import __version__
    from ringcut.reading.problems import Unreadable

    if isinstance(error, Unreadable):
        return BadInput([str(problem) for problem in error.problems])
    if isinstance(error, OSError) and error.filename is not None:
        return BadInput([f"{error.filename}: {error.strerror or error}"])
    if isinstance(error, OSError) and error.errno in _NO_ROOM:
        return NotWritten("standard output or a temporary file", error)
    return InternalError(error, __version__, debug)


def _where(trace: TracebackType | None) -> str:
    """The module and line that raised, without the folders of this machine."""
    if trace is None:
        return "place unknown"
    while trace.tb_next is not None:
        trace = trace.tb_next
    return f"{trace.tb_frame.f_globals.get('__name__', 'unknown module')}, line {trace.tb_lineno}"

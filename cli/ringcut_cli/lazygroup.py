"""A click group that imports a command only when it is used, and ends every command with a right exit code.

Importing all commands would cost each of them most of a second. The overview of the commands is therefore
written from a table, and a command's module is looked for without running it.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping
from importlib import import_module
from importlib.util import find_spec
from typing import Any, NamedTuple

import click

from ringcut_cli.exits import Exit
from ringcut_cli.failures import as_failure


class Entry(NamedTuple):
    """A line of the command table: ``target`` is ``module:name`` of a click command."""

    target: str
    summary: str

    @property
    def module(self) -> str:
        """The module that holds the command."""
        return self.target.partition(":")[0]

    def exists(self) -> bool:
        """Whether the module is there; its parents are imported, it is not."""
        try:
            return find_spec(self.module) is not None
        except ModuleNotFoundError:
            return False

    def load(self) -> click.Command:
        """Import the module and return its command; TypeError if the name holds none."""
        module, _, name = self.target.partition(":")
        command = getattr(import_module(module), name)
        if not isinstance(command, click.Command):
            raise TypeError(f"{self.target} is no click command")
        return command


class LazyGroup(click.Group):
    """A group over a table of commands, in the table's order.

    A command may return an exit code; what it raises is told by :mod:`ringcut_cli.failures`.
    """

    def __init__(self, *args: Any, table: Mapping[str, Entry], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.table = dict(table)

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Name the commands whose module is part of this installation."""
        return [name for name, entry in self.table.items() if entry.exists()]

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Import one command."""
        entry = self.table.get(cmd_name)
        return entry.load() if entry and entry.exists() else None

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Find the command that the first argument names, or say which there are."""
        known = self.list_commands(ctx)
        if args[0] not in known and not args[0].startswith("-") and not ctx.resilient_parsing:
            ctx.fail(_no_such_command(args[0], known))
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the overview without importing a command."""
        rows = [(name, self.table[name].summary) for name in self.list_commands(ctx)]
        if rows:
            with formatter.section("Commands"):
                formatter.write_dl(rows)

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command, and end with its exit code."""
        try:
            code = super().invoke(ctx)
            sys.stdout.flush()
        except (click.exceptions.Exit, SystemExit):
            raise
        except BrokenPipeError:
            _drop_output()
            code = Exit.READER_GONE
        except (click.Abort, KeyboardInterrupt):
            click.echo("Stopped.", err=True)
            code = Exit.STOPPED
        except Exception as error:
            raise as_failure(error, debug=bool(ctx.find_root().params.get("debug"))) from error
        ctx.exit(int(code or Exit.CONFORMS))


def _no_such_command(typed: str, known: list[str]) -> str:
    from difflib import get_close_matches

    near = get_close_matches(typed.lower(), known, n=1)
    meant = f" Did you mean {near[0]}?" if near else ""
    return f"There is no command {typed!r}.{meant} The commands are: {', '.join(known) or 'none'}."


def _drop_output() -> None:
    """Keep the interpreter from failing once more when it closes stdout."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())

"""The command ``ringcut``: its table of commands and the options that come before any of them."""

from __future__ import annotations

import os

import click

from ringcut import __version__
from ringcut_cli.lazygroup import Entry, LazyGroup

COMMANDS = {
    "check": Entry("ringcut_cli.commands.check:command", "Judge a plan before the first cut."),
    "draft": Entry("ringcut_cli.commands.draft:command", "Write a plan from the facts of a job."),
    "correct": Entry("ringcut_cli.commands.correct:command", "Find the smallest change that conforms."),
    "card": Entry("ringcut_cli.commands.card:command", "Make the work card of a plan."),
    "audit": Entry("ringcut_cli.commands.audit:command", "Judge the logs of work done."),
    "rules": Entry("ringcut_cli.commands.rules:command", "Read, write and test rules."),
    "demo": Entry("ringcut_cli.commands.demo:command", "See it work on invented jobs."),
    "guide": Entry("ringcut_cli.commands.guide:command", "Explain a topic."),
}
"""Every command of the design, in the order in which help shows them."""


@click.group(
    cls=LazyGroup,
    table=COMMANDS,
    context_settings={"help_option_names": ["-h", "--help"]},
    epilog="Exit codes: 0 conforms, 1 nonconforming, 2 a file or the command line cannot be read, "
    "3 undetermined, 4 internal error.",
)
@click.version_option(__version__, prog_name="ringcut", message="%(prog)s %(version)s")
@click.option("--debug", is_flag=True, help="Show the traceback of an internal error.")
@click.pass_context
def cli(ctx: click.Context, debug: bool) -> None:
    """Check procedures for repairing the sheath of telephone cables against a rulebook.

    A result is about the written procedure and the rules it was judged by. It is never a permit to work.
    """
    if os.environ.get("NO_COLOR"):
        ctx.color = False


def main() -> None:
    """Run the command line and exit."""
    cli(prog_name="ringcut")

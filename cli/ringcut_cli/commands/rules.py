"""``ringcut rules``: the commands around a rulebook, each imported when it is used."""

from __future__ import annotations

import click

from ringcut_cli.lazygroup import Entry, LazyGroup

COMMANDS = {
    "list": Entry("ringcut_cli.commands.rules_list:command", "List the rules, by subject."),
    "show": Entry("ringcut_cli.commands.rules_show:command", "Show a rule as a person reads it."),
    "new": Entry("ringcut_cli.commands.rules_new:command", "Begin a house rulebook."),
    "proofread": Entry("ringcut_cli.commands.rules_proofread:command", "Find what is wrong in a rulebook."),
    "cases": Entry("ringcut_cli.commands.rules_cases:command", "Run the cases that stand beside rules."),
    "compare": Entry("ringcut_cli.commands.rules_compare:command", "Tell what a change tightens or loosens."),
    "publish": Entry("ringcut_cli.commands.rules_publish:command", "Make pages of a rulebook."),
    "schema": Entry("ringcut_cli.commands.rules_schema:command", "Write the JSON Schemas of every format."),
}
"""The commands of an author, in the order in which help shows them."""


@click.group(cls=LazyGroup, table=COMMANDS, context_settings={"help_option_names": ["-h", "--help"]})
def command() -> None:
    """Read, write and test the rules that procedures are judged by."""

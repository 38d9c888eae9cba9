"""``ringcut rules new``: a few questions, and a house rulebook that passes, with an example of each thing in it."""

from __future__ import annotations

import re
from pathlib import Path

import click

from ringcut_cli.exits import Exit
from ringcut_cli.options import Day, today

TEMPLATE = """\
# The practice of {name}, on top of {below}. Proofread it with
#   ringcut rules proofread {file}
# and judge a plan by it with
#   ringcut check PLAN --rulebook {file}

rulebook: {name_text}
edition: "1"
based-on: {below}
in-force-from: {day}

# Who may approve what is looser than the layer below, by class.
may-approve:
  critical: [{approver}]
  major: [{approver}]
  minor: [{approver}]

# What differs here. Take the # away and change it. What is tighter needs nothing more; what is looser needs a reason
# and a named approver. "when" limits it to some jobs, "expires" to the end of a day. "ringcut rules show RULE" shows
# the values that a rule has.
#
# change:
#   - {{rule: adhesive-bond-length, shortest: 6 in, when: location is aerial, reason: "cold, wind"}}
#   - {{rule: fire-watch-long-enough, watch: 20 min, reason: why it will do, approved-by: {approver}}}

# Rules of your own. Ids are never used again; they are listed in {ids}.
# A rule shows itself by cases: at least one that conforms and one that does not, just on each side of a limit.
#
# rules:
#   - rule: {prefix}-photo-of-bond
#     says: The permanent bond is photographed before the tape goes on.
#     class: minor
#     when: work is trouble-opening
#     need: bond-photographed
#     before: wrap-rubber-tape
#     reason: Nobody can see it afterwards.
#     remedy: Unwrap, photograph, wrap again.
#     basis: {{house: "who decided it, and where it is written"}}
#     cases:
#       - {{steps: [photograph-bond, wrap-rubber-tape], verdict: conforms}}
#       - {{steps: [wrap-rubber-tape], verdict: nonconforming}}

# Words of your own, for rules of your own.
#
# conditions:
#   bond-photographed: {{says: the permanent bond was photographed}}
# steps:
#   photograph-bond: {{says: photograph the permanent bond, makes: [bond-photographed]}}
"""
IDS = """\
# Ids of the rules of {name}, one a line; it only grows. A rule that is withdrawn stays here as
#   its-id:withdrawn
"""


@click.command()
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path), metavar="FILE.yaml")
@click.option("--name", prompt="Name of the district or company", help="Whose practice it is.")
@click.option("--approver", prompt="Who may approve what is looser (a person's name)", help="A named person.")
@click.option(
    "--in-force-from", "day", type=Day(), default=today, prompt="In force from (as 2026-03-01)", help="The first day."
)
@click.option("--based-on", "below", default="base-practice", show_default=True, help="The layer below.")
def command(file: Path, name: str, approver: str, day: str, below: str) -> Exit:
    """Write a new house rulebook to FILE, and the list of its rules' ids beside it.

    What is not given as an option is asked. A file that is there is left alone.
    """
    from ringcut.language.house import names_a_person
    from ringcut.proof.ids import ids_file
    from ringcut.reading.suggest import canonical

    if not names_a_person(approver):
        raise click.UsageError(
            f"{approver!r} is not a person's name. Give first and last name, or initials: R. Example."
        )
    if file.suffix not in (".yaml", ".yml"):
        raise click.UsageError(f"{file} should end in .yaml.")
    listed = ids_file(file)
    for each in (file, listed):
        if each.exists():
            raise click.UsageError(f"{each} is there already. It is left alone; give another name.")
    name = " ".join(name.split())
    quoted = _quoted(name)
    prefix = re.match(r"[a-z][a-z0-9]*", canonical(name))
    text = TEMPLATE.format(
        name=name, name_text=quoted, below=below, day=day, approver=_quoted(approver), file=file.name, ids=listed.name,
        prefix=prefix[0] if prefix else "house",
    )  # fmt: skip
    file.write_text(text, encoding="utf-8")
    listed.write_text(IDS.format(name=name), encoding="utf-8")
    click.echo(f"Wrote {file} and {listed}. Next: ringcut rules proofread {file}")
    return Exit.CONFORMS


def _quoted(text: str) -> str:
    """A text that YAML reads as it is, in quotes where it has to be."""
    plain = text.replace(" ", "").replace(".", "").replace("-", "").isalnum() and not text[0].isdigit()
    return text if plain and not text.startswith("-") else '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'

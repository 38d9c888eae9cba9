"""``ringcut rules new``: a few questions, and a house rulebook that passes, with an example of each thing in it."""

from __future__ import annotations

import re
from collections.abc import Callable
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

# Rules of your own ("ringcut guide writing-a-rule"). Ids are never used again; they are listed in {ids}.
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

# Words of your own, for rules of your own ("ringcut guide own-words").
#
# conditions:
#   bond-photographed: {{says: the permanent bond was photographed, called: a photo of the bond}}
# steps:
#   photograph-bond: {{says: photograph the permanent bond, makes: [bond-photographed]}}
"""
IDS = """\
# Ids of the rules of {name}, one a line; it only grows. A rule that is withdrawn stays here as
#   its-id:withdrawn
"""


NAME, APPROVER = "Name of the district or company", "Who may approve what is looser (a person's name)"
DAY = "In force from (as 2026-03-01)"


@click.command()
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path), metavar="FILE.yaml")
@click.option("--name", help="Whose practice it is: the district or company.")
@click.option("--approver", metavar="PERSON", help="Who may approve what is looser: a named person.")
@click.option("--in-force-from", "day", type=Day(), metavar="DATE", help="The first day, as 2026-03-01.")
@click.option("--based-on", "below", default="base-practice", show_default=True, help="The layer below.")
def command(file: Path, name: str | None, approver: str | None, day: str | None, below: str) -> Exit:
    """Write a new house rulebook to FILE, and the list of its rules' ids beside it.

    What is not given as an option is asked, so that with --name, --approver and --in-force-from nothing is. A file that
    is there is left alone.
    """
    from ringcut.proof.ids import ids_file
    from ringcut.reading.suggest import canonical

    listed = ids_file(file)
    _refuse(file, listed, below)
    name = _answer(file, NAME, name, _named)
    approver = _answer(file, APPROVER, approver, _a_person)
    day = _answer(file, DAY, day, Day(), today())
    prefix = re.match(r"[a-z][a-z0-9]*", canonical(name))
    text = TEMPLATE.format(
        name=name, name_text=_quoted(name), below=below, day=day, approver=_quoted(approver), file=file.name,
        ids=listed.name, prefix=prefix[0] if prefix else "house",
    )  # fmt: skip
    file.write_text(text, encoding="utf-8")
    listed.write_text(IDS.format(name=name), encoding="utf-8")
    click.echo(f"Wrote {file} and {listed}. Next: ringcut rules proofread {file}")
    return Exit.CONFORMS


def _refuse(file: Path, listed: Path, below: str) -> None:
    """What cannot be written is said before anything is asked."""
    if file.suffix not in (".yaml", ".yml"):
        raise click.UsageError(f"{file} should end in .yaml.")
    for each in (file, listed):
        if each.exists():
            raise click.UsageError(f"{each} is there already. It is left alone; give another name.")
    if not file.parent.is_dir():
        raise click.UsageError(f"There is no folder {file.parent}. Nothing was written.")
    if below != "base-practice" and not any((file.parent / f"{below}{end}").exists() for end in ("", ".yaml", ".yml")):
        raise click.UsageError(f"--based-on {below}: base-practice, or a rulebook that lies beside {file}.")


def _answer(
    file: Path, question: str, given: str | None, read: Callable[[str], str] | Day, proposed: str | None = None
) -> str:
    """What an option gave, or the answer to its question; nothing is written where the input ends or is stopped."""
    if given is not None:
        return given if isinstance(read, Day) else read(given)
    try:
        return str(click.prompt(question, default=proposed, value_proc=_reader(read), err=True))
    except click.Abort as stopped:
        if isinstance(stopped.__context__, KeyboardInterrupt):
            click.echo(f"\nNothing was written to {file}.", err=True)
            raise
        click.echo(err=True)
        every = f'ringcut rules new {file} --name "..." --approver "R. Example" --in-force-from {today()}'
        raise click.UsageError(
            f"The input ended before an answer to: {question}. Nothing was written to {file}. "
            f"Where nobody can be asked, give every answer as an option: {every}"
        ) from stopped


def _reader(read: Callable[[str], str] | Day) -> Callable[[str], str]:
    return (lambda text: read.convert(text, None, None)) if isinstance(read, Day) else read


def _named(text: str) -> str:
    name = " ".join(text.split())
    if not name:
        raise click.UsageError("A rulebook needs a name: the district or company whose practice it is.")
    return name


def _a_person(text: str) -> str:
    from ringcut.language.house import names_a_person

    if not names_a_person(text):
        raise click.UsageError(f"{text!r} is not a person's name. Give first and last name, or initials: R. Example.")
    return text


def _quoted(text: str) -> str:
    """A text that YAML reads as it is, in quotes where it has to be."""
    plain = text.replace(" ", "").replace(".", "").replace("-", "").isalnum() and not text[0].isdigit()
    return text if plain and not text.startswith("-") else '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'

"""``ringcut draft``: a plan from the facts of a job, from options, a packet, or a few questions at a terminal."""

from __future__ import annotations

import sys
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from ringcut_cli.exits import Exit, exit_for
from ringcut_cli.options import as_of_option, rulebook_option, today

if TYPE_CHECKING:
    from ringcut.draft.drafting import Draft
    from ringcut.draft.models import Job, Places
    from ringcut.fit.bindingwords import Conflict
    from ringcut_cli.asking import Halted

COMMON = {
    "work": "sheath-repair, trouble-opening, inter-sheath-dam, auxiliary-repair or sleeve-removal.",
    "sheath": 'lead or polyethylene; where the ends differ "A lead, B polyethylene".',
    "construction": "single or double.",
    "core": "paper, plastic or filled.",
    "pressurized": "yes or no.",
    "location": "manhole, vault, pit, buried, aerial or building.",
    "cable-diameter": "Outside diameter, as 2.05 in.",
    "opening-length": "Length of the opening or of the damage, as 14 in.",
}
"""The facts of the commonest job; all others with --fact."""


def _common(function: Any) -> Any:
    for name, told in reversed(COMMON.items()):
        function = click.option(f"--{name}", name.replace("-", "_"), metavar="VALUE", help=told)(function)
    return function


@click.command()
@_common
@click.option("--fact", "more", multiple=True, metavar="NAME=VALUE", help="Any other job fact; may be repeated.")
@click.option("--packet", type=click.Path(exists=True, dir_okay=False, path_type=Path), metavar="FILE",
    help="Job facts from a CSV or YAML file.")  # fmt: skip
@click.option("--reference", metavar="ORDER", help="The order number; with --packet, the job to take.")
@click.option("--stock", type=click.Path(exists=True, dir_okay=False, path_type=Path), metavar="FILE",
    help="Your stock list of sleeves, CSV or YAML.  [default: the rulebook's, which is invented]")  # fmt: skip
@click.option("--output", type=click.Path(dir_okay=False, path_type=Path), metavar="FILE", help="Write the plan there.")
@click.option("--force", is_flag=True, help="Overwrite the output file.")
@click.option("--ask/--no-ask", default=None, help="Ask for what is missing.  [default: at a terminal]")
@click.option("--budget", type=click.IntRange(min=1), default=100_000, show_default=True, metavar="NODES",
    help="How long to search before giving up.")  # fmt: skip
@as_of_option
@rulebook_option
def command(
    more: tuple[str, ...], packet: Path | None, reference: str | None, stock: Path | None, output: Path | None,
    force: bool, ask: bool | None, budget: int, as_of: str | None, folder: Path | None, **common: str | None,
) -> Exit:  # fmt: skip
    """Write a plan that conforms: steps, cut lengths, sizes, angles, materials, and within which measures it holds.

    Facts come from options, from a packet, or from questions at a terminal, of which only those are asked that still
    matter. "not known" is an answer: the plan then keeps place for every case. The plan is judged again before it is
    written; one that does not conform says so.
    """
    from ringcut.draft.drafting import draft
    from ringcut.draft.jobfacts import problems_of
    from ringcut.draft.models import HERE, models_of
    from ringcut.fit.answers import Budget
    from ringcut.reading.problems import Place, Problem, Unreadable
    from ringcut_cli.rulebooks import rulebook

    if output is not None and output.exists() and not force:
        raise Unreadable([Problem(Place(str(output)), "the file is there already", "", "--force overwrites it")])
    day = as_of or today()
    book = rulebook(folder, day)
    if stock is not None:
        from ringcut.draft.stock import read_stock, with_stock

        book = with_stock(book, read_stock(stock.read_bytes(), str(stock)))
    models = models_of(folder, book)
    job, not_known, places = _facts(common, more, packet, reference)
    problems = problems_of(job, book, HERE, places)
    if problems:
        raise Unreadable(problems)
    if ask if ask is not None else sys.stdin.isatty():
        from ringcut_cli.asking import Halted, asked

        try:
            job, not_known = asked(job, not_known, book, models)
        except Halted as halt:
            options = {"packet": packet, "stock": stock, "output": output, "as-of": as_of, "rulebook": folder}
            return _halted(halt, options, reference if packet else None, {*places})
    made = draft(job, book, models, not_known, Budget(nodes=budget), day)
    return _written(made, output)


def _facts(
    common: dict[str, str | None], more: tuple[str, ...], packet: Path | None, reference: str | None
) -> tuple[Job, list[str], Places]:
    from ringcut.draft.jobfacts import is_not_known, merged, said_as
    from ringcut.draft.packet import Packed, read_packet
    from ringcut.reading.problems import Place, Problem, Unreadable
    from ringcut.reading.suggest import canonical

    given = {name.replace("_", "-"): text for name, text in common.items() if text is not None}
    wrong = []
    for pair in more:
        name, sign, text = pair.partition("=")
        if not sign or not name.strip() or not text.strip():
            wrong.append(Problem(Place("--fact"), pair, "a name and a value", "--fact manhole-depth='9 ft'"))
        else:
            given[name.strip()] = text.strip()
    if wrong:
        raise Unreadable(wrong)
    packed = read_packet(packet.read_bytes(), str(packet), reference or "") if packet else Packed({})
    typed: Job = {name: said_as(text) for name, text in given.items()}
    named: Job = {"reference": reference} if reference and not packet else {}
    job = merged(packed.job, named, typed)
    places = {name: at for name, at in packed.places.items() if canonical(name.split()[0]) not in merged(typed)}
    not_known = [name for name, text in job.items() if isinstance(text, str) and is_not_known(text)]
    return {name: value for name, value in job.items() if name not in not_known}, not_known, places


def _halted(halt: Halted, options: Mapping[str, object], reference: str | None, packed: set[str]) -> Exit:
    """Say with which command the questions go on where they ended; facts of a packet are in the packet."""
    import shlex

    from ringcut.draft.jobfacts import as_typed
    from ringcut_cli.shown.page import err, harmless

    err("\nStopped.\n" if halt.stopped else "The answers ended before the questions did.\n")
    texts = {name: as_typed(value) for name, value in halt.job.items()} | dict.fromkeys(halt.not_known, "not known")
    typed = [part for name, value in options.items() if value is not None for part in (f"--{name}", str(value))]
    typed += ["--reference", reference] if reference is not None else []
    for name, text in texts.items():
        if name not in packed and not any(each.startswith(f"{name} ") for each in packed):
            typed += [f"--{name}", text] if name in (*COMMON, "reference") else ["--fact", f"{name}={text}"]
    if texts:
        err(f"To go on from here:\n  {harmless(shlex.join(['ringcut', 'draft', *typed]))}\n")
    return Exit.STOPPED if halt.stopped else Exit.BAD_INPUT


def _written(made: Draft, output: Path | None) -> Exit:
    from ringcut.draft.told import footer
    from ringcut_cli.shown.page import err, harmless, out

    if not made.text:
        for line in _why_not(made):
            err(harmless(line) + "\n")
        return Exit.UNDETERMINED if made.gave_up or made.conflict is None else Exit.NONCONFORMING
    if output is None:
        out(made.text)
    else:
        output.write_text(made.text, encoding="utf-8")
        told = [f"{output}: {made.verdict}", *footer(made.holds, made.times, made.materials, made.flames)]
        out("\n".join(harmless(line) if line else "" for line in told) + "\n")
    assert made.report is not None
    for line in (*made.estimates, made.stock, *made.left_open):
        if line:
            err(harmless(line) + "\n")
    if not made.conforms:
        err(f"The plan does not conform yet: {made.verdict}.\n")
        for finding in made.report.findings:
            err(harmless(f"  {finding.rule}: {finding.message}") + "\n")
        for gap in made.report.not_covered:
            err(harmless(f"  not covered: {gap}") + "\n")
    return exit_for(made.report)


def _why_not(made: Draft) -> list[str]:
    lines = ["No plan: " + "; ".join(made.why), *made.estimates]
    if made.conflict is not None:
        head = "without any one of these there would be one" if made.conflict.minimal else "the conflict is among these"
        if made.besides:
            head = "these rules leave no choice together"
        lines += _members(head, made.conflict)
        for other in made.besides:
            lines += _members(f"and there is more, {other.words}", other)
    return [*lines, *made.advice]


def _members(head: str, conflict: Conflict) -> list[str]:
    lines = [f"{head}:"]
    for member in conflict.members:
        along = f" (and with it {', '.join(member.along)})" if member.along else ""
        lines.append(f"  {member.rule}{along}: {member.says}")
    return lines

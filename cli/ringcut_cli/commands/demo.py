"""``ringcut demo``: plans for invented jobs, judged as they stand, and copies of them to play with."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

import click

from ringcut_cli.exits import Exit
from ringcut_cli.options import today

GOOD = "lead-opening.yaml"
"""The plan that conforms comes first; the others are it with one mistake each."""


@click.command()
@click.option(
    "--write", "folder", type=click.Path(path_type=Path), metavar="FOLDER",
    help="Copy the plans into a folder; nothing that is there is overwritten.",
)  # fmt: skip
def command(folder: Path | None) -> Exit:
    """Judge some plans for jobs in the town of Quillbridge, which does not exist.

    One plan conforms; the others are the same plan with one mistake each. Nothing here is a plan for a real cable.
    """
    return _shown() if folder is None else _written(folder)


def plans() -> dict[str, bytes]:
    """The plans of the demo by file name, the good one first."""
    found = {
        item.name: item.read_bytes()
        for item in (files("ringcut_cli") / "demo").iterdir()
        if item.name.endswith(".yaml")
    }
    return {name: found[name] for name in sorted(found, key=lambda name: (name != GOOD, name))}


def _shown() -> Exit:
    from ringcut.checking import check
    from ringcut.reading.problems import Unreadable
    from ringcut.report.outline import outline
    from ringcut_cli.rulebooks import rulebook
    from ringcut_cli.shown.page import Page, out
    from ringcut_cli.shown.reporttext import LOUD, verdict_word

    day = today()
    book = rulebook(None, day)
    page = Page()
    page.text(
        "Plans for jobs in the town of Quillbridge, which does not exist. One is good, the others have a mistake each."
    )
    page.gap()
    for name, data in plans().items():
        try:
            report = check(data, name, book, day)
        except Unreadable as unreadable:
            page.row(("CANNOT BE READ", name), (14,), 2, ("bold", "bold"))
            page.row(("", f"{len(unreadable.problems)} places, each told with how to write it"), (14,), 2)
            continue
        page.row((verdict_word(report.verdict), name), (14,), 2, (LOUD.get(report.verdict, "bold"), "bold"))
        told = outline(report)
        said = [f"breaks ({each.head.class_}): {each.head.says}" for items in told.broken.values() for each in items]
        said += [f"cannot say ({each.head.class_}): {each.head.says}" for each in told.cannot_say]
        said += [f"not covered: {gap}" for gap in report.not_covered] if report.uncovered else []
        for line in said or [
            f"{report.counts.conforms} rules conform, on {len(report.judged)} subjects. Not a permit."
        ]:
            page.row(("", line), (14,), 2)
    page.heading("What to try next")
    page.gap()
    for typed, why in NEXT:
        page.parts([(typed, "bold")], 2)
        page.text(why, 6)
    out(page.written())
    return Exit.CONFORMS


NEXT = (
    ("ringcut demo --write quillbridge", "Puts the plans into a folder of your own."),
    (
        "ringcut check quillbridge/bond-too-late.yaml",
        "The whole report. Swap the two steps that it names and check again.",
    ),
    (
        "ringcut check quillbridge/as-typed.yaml",
        "What a file that cannot be read gets back. Mend the places and check again.",
    ),
    ("ringcut guide reading-a-report", "What the parts of a report mean."),
    (
        "ringcut audit quillbridge/office/week-14.csv --columns quillbridge/office/columns.yaml "
        "--jobs quillbridge/office/workorders.csv",
        "A contractor's sheet, as a reviewer gets it.",
    ),
    (
        "ringcut rules proofread quillbridge/district/house.yaml",
        "A district's first house rules, with two mistakes in them.",
    ),
    ("ringcut rules show adhesive-bond-length", "A rule: what it says, why, and where it comes from."),
)


def everything() -> dict[str, bytes]:
    """All files of the demo by their path in it: the plans, a contractor's sheet, a district's first house rules."""
    found = plans()
    for room in ("office", "district"):
        folder = files("ringcut_cli") / "demo" / room
        found |= {f"{room}/{item.name}": item.read_bytes() for item in sorted(folder.iterdir(), key=lambda i: i.name)}
    return found


def _written(folder: Path) -> Exit:
    there = [name for name in everything() if (folder / name).exists()]
    if there:
        raise click.UsageError(f"{folder} already has {', '.join(there)}. Name another folder; nothing was written.")
    for name, data in everything().items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(data)
        click.echo(folder / name)
    return Exit.CONFORMS

"""A correction on a page: its edits with the rules behind them, the diff, what is left and what is to be asked."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from ringcut.correct.correction import Correction
from ringcut.correct.telling import difference
from ringcut.judge.findings import CLASSES, UNDETERMINED, Finding
from ringcut_cli.shown.page import Page, harmless
from ringcut_cli.shown.problemtext import sentence
from ringcut_cli.shown.reporttext import about, where

INDENT, HANG = 2, 10
SOONER_DRAFTED = 12
"""Edits from which it is said that a new draft may be the shorter way."""


def correction_text(found: Correction, file: Path, written: bool, stock: Path | None = None) -> str:
    """The text of a correction; the lines of its diff are not broken. ``stock``: a list of sleeves of one's own."""
    above, below = Page(), Page()
    first = harmless(f"{file}: {_head(above, found)}")
    for edit in found.edits:
        above.parts([(edit.words, "")], INDENT, 2 * INDENT)
        for words in edit.along:
            above.parts([(f"and with it {words}", "")], 2 * INDENT, 3 * INDENT)
        if edit.rules:
            above.parts([(f"for {', '.join(edit.rules)}", "")], 2 * INDENT, 3 * INDENT)
    _left(below, found)
    if found.asks:
        below.heading("Only people can say:", style="")
        for each in found.asks:
            below.parts([(each, "")], INDENT, 2 * INDENT)
    if stock is not None:
        below.gap()
        below.text(f"Sleeves are those of {stock}.")
    if found.found:
        _end(below, found, file, written)
    diff = difference(found.before, found.text, str(file)) if found.found and found.in_place else []
    parts = [
        f"{first}\n{above.written()}".rstrip() + "\n",
        "".join(f"{harmless(line)}\n" for line in diff),
        below.written().lstrip("\n"),
    ]
    return "\n".join(part for part in parts if part)


def _head(page: Page, found: Correction) -> str:
    """The first line, never broken; what is to be said about it goes onto the page."""
    if found.found:
        number = len(found.edits)
        edits = f"{number} edit{'' if number == 1 else 's'}"
        if found.in_part:
            page.text("Not all is right after them: what is left stands below the diff.", INDENT)
            if found.why:
                page.text(f"{sentence(found.why)} With a larger --budget more may be found.", INDENT)
        elif not found.smallest:
            steps = number - found.changed_readings
            least = (
                f"; at least {found.at_least} steps have to be edited, here {steps}"
                if 1 < found.at_least < steps
                else ""
            )
            page.text(f"Not proved to be the fewest, since the search ended early{least}.", INDENT)
        elif found.changed_readings and number > 1:
            return f"{edits}; no fewer steps to move or add will do, nor fewer readings to change with them."
        if number >= SOONER_DRAFTED:
            page.text("With so many edits, 'ringcut draft' may be the shorter way to a plan.", INDENT)
        return f"{edits}; fewer will not do." if found.smallest else f"{edits}."
    if found.why:
        return f"no correction. {sentence(found.why)}"
    if found.verdict == UNDETERMINED:
        return f"{found.verdict}. Nothing is known to be wrong, but not everything can be said."
    return f"{found.verdict}. Nothing to correct."


def _left(page: Page, found: Correction) -> None:
    left = found.left if found.in_part or not found.found else ()
    for conflict in found.conflicts:
        page.gap()
        page.text(f"No edit mends this: {conflict.words}.", 0)
        for member in conflict.members:
            along = f" (and with it {', '.join(member.along)})" if member.along else ""
            page.text(f"without {member.rule}{along} there would be a way: {member.says}", INDENT)
    if not left:
        return
    counts = [f"{n} {name}" for name in CLASSES if (n := sum(each.class_ == name for each in left))]
    page.heading(f"LEFT TO DO BY HAND: {', '.join(counts)}")
    for each in _gravest_first(left):
        page.ends([(where(each), "bold"), (f"  {about(each)}", "")], f"{each.rule} ({each.class_})", 0)
        page.field("found", each.found, INDENT, HANG)
        page.field("needed", f"{each.needed}: {each.margin}" if each.margin else each.needed, INDENT, HANG)
        for line in each.evidence if each in found.against else ():
            page.field("seen", line, INDENT, HANG)
        page.field("do", each.remedy, INDENT, HANG)


def _gravest_first(left: tuple[Finding, ...]) -> Iterator[Finding]:
    for name in CLASSES:
        yield from (each for each in left if each.class_ == name)


def _end(page: Page, found: Correction, file: Path, written: bool) -> None:
    page.gap()
    page.text(f"Judged again: {found.verdict}.", 0)
    if written:
        page.text(f"Written to {file}.", 0)
    elif found.in_place:
        page.text("Nothing is written. --write writes it.", 0)
    else:
        page.text("These edits cannot be made in the file as it is laid out; make them by hand.", 0)

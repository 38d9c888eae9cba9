"""Files that cannot be read: every place at once, what stands there, what is expected, how to write it."""

from __future__ import annotations

import re
from collections.abc import Sequence

from ringcut.reading.problems import Problem
from ringcut.report.readas import ReadAs
from ringcut_cli.shown.page import Page

SHORT = 40
"""An explanation longer than this is not told twice in a row."""


def problems_page(page: Page, file: str, problems: Sequence[Problem], read: Sequence[ReadAs] = ()) -> None:
    """Write what keeps a file from being read, in the order of the file, and what was read in an unusual form."""
    located = [problem for problem in problems if problem.place.line]
    count = f": {len(problems)} place{'' if len(problems) == 1 else 's'}" if located else ""
    page.parts([(file, "bold"), (f" cannot be read yet{count}. Nothing was judged.", "")])
    page.gap()
    before = ""
    for problem in sorted(problems):
        before = _problem(page, file, problem, before)
    if read:
        page.gap()
        reading_notes(page, read, 0)


def _problem(page: Page, file: str, problem: Problem, before: str) -> str:
    place = problem.place
    column = place.letter or (str(place.column) if place.column else "")
    at = f"{place.line}:{column}" if place.line and column else str(place.line or "")
    if place.file not in (file, ""):
        page.text(str(place), 1, "bold")
        at = ""
    told = " ".join(sentence(part) for part in (problem.expected, problem.hint) if part)
    said = "The same." if told == before and len(told) > SHORT else told
    page.row((f"{at:>6}", problem.found, said), (6, max(page.width // 3, 20)), styles=("bold", "", ""))
    return told


def sentence(text: str) -> str:
    """A part of a problem as a sentence."""
    text = text.strip()
    if text[:1].isalpha() and text[:2].islower() and not re.match(r"\S*[-_\d:]", text):
        text = text[:1].upper() + text[1:]
    return text if text.endswith((".", "?", "!", '"', ":")) else f"{text}."


def reading_notes(page: Page, read: Sequence[ReadAs], indent: int) -> None:
    """What was taken for what, and comments that may have been meant as values."""
    told = []
    for each in read:
        if each.kind == "yes-no":
            told.append(f"{each.name} {each.typed}")
        elif each.kind == "clock":
            told.append(f"{each.name} {each.typed} = {each.taken} (clock, seen from A)")
        elif each.kind == "word":
            told.append(f"{each.name} {each.typed} = {each.taken}".strip())
    if told:
        page.text("Read as: " + ", ".join(told) + ".", indent)
    for each in read:
        if each.kind == "comment":
            page.text(
                f'Line {each.line} has a comment "{each.typed}": it is not read. If it is a value, write it as one.',
                indent,
            )

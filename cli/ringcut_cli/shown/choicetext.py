"""What a plan leaves open, as a splicer reads it: the values that are left, and what stands in the way of others."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ringcut.judge.findings import ToChoose
from ringcut_cli.shown.page import Page

INDENT = 2
MOST_WORDS = 10
WIDEST_STEP, WIDEST_READING = 24, 16


def to_choose(page: Page, rows: Sequence[ToChoose]) -> None:
    """The part of a page about readings that are still to be decided; nothing where there are none."""
    if not rows:
        return
    page.heading("YOURS TO CHOOSE", "line, step, reading, and the values that are left")
    page.gap()
    if len(rows) > 1:
        page.text("Each with the others still open: choose one, check again, choose the next.", INDENT)
        page.gap()
    named = [(str(row.line) if row.line else "", _step(row), _reading(row)) for row in rows]
    step = min(max(len(name) for _, name, _ in named), WIDEST_STEP)
    reading = min(max(len(name) for _, _, name in named), WIDEST_READING)
    last = ("", "")
    for row, (line, name, what) in zip(rows, named, strict=True):
        place = ("", "") if (line, name) == last else (line, name)
        last = (line, name)
        for number, told in enumerate(_told(row)):
            cells = (*place, what) if not number else ("", "", "")
            page.row((*cells, told), (4, step, reading), INDENT)


def _step(row: ToChoose) -> str:
    return row.step + (f" {row.closure}" if row.closure else "")


def _reading(row: ToChoose) -> str:
    return row.reading.replace("-", " ") + (f" {row.side}" if row.side else "")


def _told(row: ToChoose) -> Iterator[str]:
    yield _shortened(row.values_left) or "not known: the search gave up"
    both = row.not_less if row.not_less == row.not_more else ()
    ends = (("no other", both),) if both else (("not less", row.not_less), ("not more", row.not_more))
    for label, rules in (*ends, ("no others", row.not_others)):
        if rules:
            yield f"{label}: {', '.join(rules)}"


def _shortened(values: str) -> str:
    """The values left; of many words the first and how many there are besides, as the report in JSON has them all."""
    head, colon, words = values.partition(": ")
    named = words.split(", ")
    if not colon or len(named) <= MOST_WORDS:
        return values
    return f"{head}: {', '.join(named[:MOST_WORDS])} and {len(named) - MOST_WORDS} more"

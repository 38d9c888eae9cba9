"""Marks of a status column: words, ticks, and what symbol fonts leave of ticks in a plain text."""

from __future__ import annotations

import msgspec

from ringcut.archive.columns import Marks

_FONT = {"ü": "done", "P": "done", "û": "not-done", "O": "not-done"}
"""Code points of two common symbol fonts at which a tick (ü, P) and a cross (û, O) are drawn."""

_TICKS = "\u2713\u2714\u2611\u221a\u2705"
_CROSSES = "\u2717\u2718\u2612\u2715\u274c"


class Mark(msgspec.Struct, frozen=True):
    """A status, and in which way the mark had to be understood (empty: as written)."""

    status: str
    assumed: str = ""


def read_mark(text: str, marks: Marks) -> Mark | None:
    """The status that a mark stands for; None where it is not known."""
    said = text.strip()
    if not said:
        return Mark(marks.empty, f"an empty mark is {marks.empty.replace('-', ' ')}")
    if marks.symbol_font and said in _FONT:
        sign = "a tick" if _FONT[said] == "done" else "a cross"
        return Mark(_FONT[said], f"{said} is {sign} of a symbol font")
    if said in _TICKS:
        return Mark("done")
    if said in _CROSSES:
        return Mark("not-done")
    folded = said.casefold()
    groups = (
        ("done", marks.done),
        ("not-done", marks.not_done),
        ("not-applicable", marks.not_applicable),
        ("not-recorded", marks.not_recorded),
    )
    for status, words in groups:
        if folded in {word.casefold() for word in words}:
            return Mark(status)
    return None

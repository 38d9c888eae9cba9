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


_GROUPS = ("done", "not_done", "not_applicable", "not_recorded")


def read_mark(text: str, marks: Marks) -> Mark | None:
    """The status that a mark stands for; None where it is not known. What the column file says of a mark counts before
    what it usually means."""
    said = text.strip()
    if not said:
        return Mark(marks.empty, f"an empty mark is {marks.empty.replace('-', ' ')}")
    own = _group(said, marks, own=True)
    if own:
        return Mark(own)
    if marks.symbol_font and said in _FONT:
        sign = "a tick" if _FONT[said] == "done" else "a cross"
        return Mark(_FONT[said], f"{said} is {sign} of a symbol font")
    if said in _TICKS:
        return Mark("done")
    if said in _CROSSES:
        return Mark("not-done")
    usual = _group(said, marks, own=False)
    return Mark(usual) if usual else None


def _group(said: str, marks: Marks, own: bool) -> str:
    """The status among whose marks it is: those that the column file lists itself, or the usual ones."""
    usual = Marks()
    for name in _GROUPS:
        words: tuple[str, ...] = getattr(marks, name)
        if (words != getattr(usual, name)) == own and said.casefold() in {word.casefold() for word in words}:
            return name.replace("_", "-")
    return ""

"""Questions to a person about a sheet, each with its own check, so that a wrong answer is told at once.

An interview is a generator: it yields questions and notes, and is sent the checked answer, or None where the person
does not know. Whoever runs it shows and reads; nothing here prints.
"""

from __future__ import annotations

from collections.abc import Callable, Generator, Sequence
from typing import Any

import msgspec

from ringcut.archive.columns import fold

Interview = Generator["Question | Note", Any, Any]


class NotAnAnswer(Exception):
    """Why a text answers nothing, in words for the person who typed it."""


class Note(msgspec.Struct, frozen=True):
    """Something to be shown before the next question: a title and rows of cells."""

    title: str
    rows: tuple[tuple[str, ...], ...] = ()


class Question(msgspec.Struct, frozen=True):
    """One question. ``check`` makes the answer of a text, or raises NotAnAnswer."""

    about: str
    """The key of the column file that waits for it."""
    says: str
    check: Callable[[str], Any]
    seen: tuple[str, ...] = ()
    """What stands in the sheet, with its place."""
    choices: tuple[tuple[str, str], ...] = ()
    """Words that may be answered, each with its meaning."""
    guess: str = ""
    """What an empty answer takes."""
    why: str = ""
    """Why that is the guess."""


def one_of(*words: str) -> Callable[[str], str]:
    """A check for one of some words; their beginning will do where it is of one alone."""

    def check(text: str) -> str:
        said = "-".join(text.casefold().split())
        near = [word for word in words if word == said] or [word for word in words if word.startswith(said)]
        if len(near) != 1:
            raise NotAnAnswer(f"{text!r} is none of {', '.join(words)}.")
        return near[0]

    return check


def yes_no(text: str) -> bool:
    """A check for yes or no."""
    said = text.casefold()
    if said in ("y", "yes", "j"):
        return True
    if said in ("n", "no"):
        return False
    raise NotAnAnswer(f"{text!r} is neither yes nor no.")


def chosen(text: str, names: Sequence[str]) -> tuple[str, ...]:
    """Some of the names, separated by semicolons (or commas, where no name has one). Raises NotAnAnswer."""
    known = {fold(name): name for name in names}
    said = [part.strip() for part in text.split(";") if part.strip()]
    if any(fold(part) not in known for part in said):
        said = [part.strip() for part in text.replace(";", ",").split(",") if part.strip()]
    wrong = [part for part in said if fold(part) not in known]
    if wrong or not said:
        raise NotAnAnswer(f"{', '.join(wrong) or text}: none of {', '.join(names)}.")
    return tuple(name for key, name in known.items() if key in {fold(part) for part in said})


def any_text(text: str) -> str:
    """A check that takes any text in one line."""
    said = " ".join(text.split())
    if len(said) > 200:
        raise NotAnAnswer("That is too long: at most 200 letters.")
    return said


def quoted(texts: list[str] | tuple[str, ...], most: int = 6) -> str:
    """Some texts as they stand in cells, the first ones of many."""
    shown = ", ".join(f'"{text[:40]}"' for text in texts[:most])
    return shown + (f" and {len(texts) - most} more" if len(texts) > most else "")

"""Questions shown on stderr and answered on stdin, line by line, from a terminal or a pipe.

Nothing goes to stdout, and Python's ``input`` is not used because it may write there.
"""

from __future__ import annotations

import io
import os
import stat
import sys
from typing import Any

from ringcut.archive.interview.question import NotAnAnswer, Note, Question
from ringcut_cli.shown.page import Page, err, harmless

UNKNOWN = ("?", "don't know", "dont know", "do not know", "not known", "unknown")
"""Answers that say that the answer is not known."""
_HELP = "Enter takes what stands in [brackets]. ? means: not known. Ctrl-C stops, and keeps what was said."


class Ended(Exception):
    """The answers came to their end before the questions did."""


class Back(Exception):
    """The answer before this one is to be given again."""


def can_answer() -> bool:
    """Whether anything can come from stdin: a terminal, a pipe or a file; not the null device."""
    if sys.stdin is None or sys.stdin.closed:
        return False
    try:
        kind = os.fstat(sys.stdin.fileno()).st_mode
    except (io.UnsupportedOperation, OSError, ValueError):
        return True  # no file of the system: somebody put answers there
    return sys.stdin.isatty() or not stat.S_ISCHR(kind)


class Terminal:
    """One conversation; numbers its questions, and explains the choices of a kind once.

    ``help``: what is said before the first question. ``back``: the word that goes one question back, if any.
    """

    def __init__(self, help: str = _HELP, back: str = "") -> None:
        self.number, self._help, self._back = 0, help, back
        self._explained: set[tuple[tuple[str, str], ...]] = set()

    def note(self, note: Note) -> None:
        """Show what was found."""
        page = Page()
        page.text(note.title)
        for row in note.rows:
            page.row(row, (3, 18)[: len(row) - 1], 2)
        err(f"\n{page.written()}")

    def ask(self, question: Question) -> Any:
        """The checked answer, or None where it is not known. Raises Ended, and Back."""
        self.number += 1
        if self._help:
            page = Page()
            page.text(self._help)
            err(page.written())
            self._help = ""
        self._show(question)
        while True:
            try:
                text = self._line() or question.guess
                if not text:
                    raise NotAnAnswer("An answer is needed, or ? for not known.")
                if self._back and text.casefold() == self._back:
                    self.number = max(0, self.number - 2)
                    raise Back
                return None if text.casefold() in UNKNOWN else question.check(text)
            except NotAnAnswer as error:
                err(f"  {harmless(error)}\n")

    def _show(self, question: Question) -> None:
        page = Page()
        page.row((str(self.number), question.says), (2,), 0, ("bold", "bold"))
        for line in question.seen:
            page.text(line, 4)
        if question.choices not in self._explained:
            self._explained.add(question.choices)
            width = max((len(word) for word, _ in question.choices), default=0)
            for word, meaning in question.choices:
                page.row((word, meaning), (width,), 4)
        if question.guess:
            page.text(f"[{question.guess}]" + (f"  {question.why}" if question.why else ""), 4)
        err(f"\n{page.written()}")

    def _line(self) -> str:
        err("> ")
        raw = sys.stdin.buffer.readline()
        if not raw:
            err("\n")
            raise Ended
        try:
            text = raw.decode(sys.stdin.encoding or "utf-8")
        except UnicodeDecodeError:
            raise NotAnAnswer("These letters cannot be read. Type them again.") from None
        if not sys.stdin.isatty():
            err(harmless(text.rstrip("\r\n")) + "\n")
        return " ".join(text.split())

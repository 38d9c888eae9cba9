"""A page of text in a terminal or a pipe: paragraphs with hanging indents, fields, small tables.

Text that comes from files is made harmless first; colour and weight only repeat what a word says already. In a pipe
the page is plain and 80 columns wide (or ``COLUMNS``), the same on every machine.
"""

from __future__ import annotations

import io
import os
import re
import sys
import unicodedata
from collections.abc import Iterable, Sequence
from functools import cached_property
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from rich.console import Console

WIDTH = 80
WIDEST = 100
"""Longer lines are hard to follow at arm's length."""

Part = tuple[str, str]
"""A text and its style; the empty style is plain."""


def harmless(text: object) -> str:
    """Text from a file, without what a terminal would obey or hide: controls are shown as their escape."""
    return "".join(_shown(letter) for letter in str(text))


def _shown(letter: str) -> str:
    if letter == "\n" or letter == "\t":
        return " "
    # Cc and Cs break a terminal; Cf holds the marks that reorder or hide letters, Zl and Zp break lines
    if unicodedata.category(letter) in ("Cc", "Cf", "Cs", "Zl", "Zp", "Co", "Cn"):
        return letter.encode("unicode_escape", "surrogatepass").decode("ascii")
    return letter


def width_of_output() -> int:
    """The columns to fill: the terminal's, up to a readable width; in a pipe ``COLUMNS`` or 80."""
    given = os.environ.get("COLUMNS", "")
    if given.isdigit() and int(given):
        return max(40, min(int(given), 500))
    if not sys.stdout.isatty():
        return WIDTH
    return max(40, min(os.get_terminal_size(sys.stdout.fileno()).columns, WIDEST))


def with_colour() -> bool:
    """Whether escape codes may be written: to a terminal that knows them, and where nobody asked for none."""
    if os.environ.get("NO_COLOR") or os.environ.get("TERM") == "dumb":
        return False
    context = click.get_current_context(silent=True)
    asked = context.color if context else None
    return sys.stdout.isatty() if asked is None else asked


class Page:
    """Collects a page; :meth:`written` gives its text."""

    def __init__(self, width: int | None = None, colour: bool | None = None) -> None:
        self.width = width or width_of_output()
        self._file = io.StringIO()
        self._colour = with_colour() if colour is None else colour

    def gap(self) -> None:
        """An empty line, never two, and none at the top."""
        text = self._file.getvalue()
        if text and not text.endswith("\n\n"):
            self._file.write("\n")

    def heading(self, text: str, note: str = "", style: str = "bold") -> None:
        """A line that begins a part, after a gap."""
        self.gap()
        self.parts([(text, style), (f"  {note}" if note else "", "")])

    def text(self, text: str, indent: int = 0, style: str = "") -> None:
        """A paragraph."""
        self.parts([(text, style)], indent)

    def parts(self, parts: Iterable[Part], indent: int = 0, hang: int | None = None) -> None:
        """A paragraph of parts; lines after the first are indented by ``hang`` columns."""
        hang = indent if hang is None else hang
        for number, line in enumerate(wrapped(parts, self.width - indent, self.width - hang)):
            self._print([(" " * (hang if number else indent), ""), *line])

    def field(self, label: str, text: str, indent: int, hang: int, style: str = "") -> None:
        """A label and its text; every line of the text begins in column ``hang``."""
        for number, line in enumerate(wrapped([(text, style)], self.width - hang) if text else []):
            self._print([(" " * indent + f"{'' if number else label:<{hang - indent}}", ""), *line])

    def ends(self, left: Sequence[Part], right: str, indent: int = 0, style: str = "") -> None:
        """A line with a text at its right end; on a line of its own where both do not fit."""
        left = [(harmless(text), looks) for text, looks in left]
        right = harmless(right)
        room = self.width - indent - sum(wide(text) for text, _ in left) - wide(right)
        if room >= 2:
            self._print([(" " * indent, ""), *left, (" " * room, ""), (right, style)])
        else:
            self.parts(left, indent, indent + 2)
            self.parts([(right, style)], indent + 2)

    def row(self, cells: Sequence[str], widths: Sequence[int], indent: int = 0, styles: Sequence[str] = ()) -> None:
        """A row of a table: each cell wraps in its own column; the last takes what is left."""
        left = max(self.width - indent - sum(widths) - 2 * len(widths), 10)
        columns = [wrapped([(cell, "")], width) for cell, width in zip(cells, (*widths, left), strict=True)]
        styles = styles or [""] * len(columns)
        for number in range(max(len(column) for column in columns)):
            line = [(" " * indent, "")]
            for column, width, style in zip(columns, (*widths, 0), styles, strict=True):
                said = "".join(text for text, _ in column[number]) if number < len(column) else ""
                line += [(said, style), (" " * max(width - wide(said) + 2, 0), "")]
            self._print(line)

    def written(self) -> str:
        """The page, ending with one newline."""
        return self._file.getvalue().rstrip("\n") + "\n"

    def _print(self, line: Iterable[Part]) -> None:
        if self._colour:
            self._coloured(list(line))
        else:
            self._file.write("".join(said for said, _ in line).rstrip(" ") + "\n")

    def _coloured(self, line: list[Part]) -> None:
        # rich is imported for a terminal only: in a pipe there is nothing for it to do
        from rich.text import Text

        text = Text()
        for said, style in line:
            text.append(said, style or None)
        text.rstrip()
        self._console.print(text, soft_wrap=True)

    @cached_property
    def _console(self) -> Console:
        from rich.console import Console

        return Console(
            file=self._file,
            width=self.width,
            force_terminal=True,
            color_system="standard",
            highlight=False,
            markup=False,
            emoji=False,
            legacy_windows=False,
        )


def wide(text: str) -> int:
    """The columns a text takes in a terminal."""
    if text.isascii():
        return len(text)
    from rich.cells import cell_len

    return cell_len(text)


def wrapped(parts: Iterable[Part], first: int, rest: int | None = None) -> list[list[Part]]:
    """Parts made harmless and broken into lines: the first at most ``first`` columns wide, the others ``rest``.

    Lines break at blanks; a word wider than a line is cut.
    """
    rest = first if rest is None else rest
    lines: list[list[Part]] = [[]]
    used, room = 0, max(first, 1)
    for said, style in parts:
        for word in re.findall(r" +|[^ ]+", harmless(said)):
            if word[0] == " " and not used and len(lines) > 1:
                continue
            if word[0] != " " and used and used + wide(word) > room:
                lines.append([])
                used, room = 0, max(rest, 1)
            while wide(word) > room - used and word[0] != " ":
                cut = _fitting(word, room - used)
                lines[-1].append((word[:cut], style))
                lines.append([])
                word, used, room = word[cut:], 0, max(rest, 1)
            lines[-1].append((word, style))
            used += wide(word)
    return [line for number, line in enumerate(lines) if line or not number]


def _fitting(word: str, room: int) -> int:
    """How many letters of a word fit into some columns, at least one."""
    cut = 1
    while cut < len(word) and wide(word[: cut + 1]) <= room:
        cut += 1
    return cut


def out(text: str) -> None:
    """Write a result to stdout; letters that its encoding lacks are shown as their escape."""
    encoding = sys.stdout.encoding or "utf-8"
    if sys.stdout.isatty():
        click.echo(text.encode(encoding, "backslashreplace").decode(encoding), nl=False, color=True)
    else:
        out_bytes(text.replace("\n", os.linesep).encode(encoding, "backslashreplace"))


def out_bytes(data: bytes) -> None:
    """Write to stdout, all of it: where Python does not buffer, one write may take a part and tell nobody."""
    sys.stdout.flush()
    stream = sys.stdout.buffer
    left = data
    while left:
        left = left[stream.write(left) :]
    stream.flush()


def err(text: str) -> None:
    """Write everything that is not the result to stderr."""
    encoding = sys.stderr.encoding or "utf-8"
    click.echo(text.encode(encoding, "backslashreplace").decode(encoding), nl=False, err=True, color=True)

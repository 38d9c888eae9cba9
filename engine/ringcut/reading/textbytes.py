"""The bytes of a file as text: UTF-8, or UTF-16 with a mark; anything else is a located problem.

What stands in the file is not repaired: a byte that is no UTF-8 is shown with its line, never replaced.
"""

from __future__ import annotations

import codecs
import re

from ringcut.reading.problems import Place, Problem

__all__ = ["LARGEST", "text_of"]

LARGEST = 20_000_000
"""Bytes of the largest file that is read."""

_NOT_TEXT = re.compile(r"[^\t\n\r\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_BREAK = re.compile(r"\r\n|\r|\n")


def text_of(data: bytes | str, file: str, problems: list[Problem]) -> str | None:
    """The text of a file without a byte order mark, line ends as ``\\n``; None where it is not text.

    Every problem that was found is appended to ``problems``.
    """
    if len(data) > LARGEST:
        told = f"the file has {len(data) / 1e6:.0f} MB"
        problems.append(Problem(Place(file), told, f"at most {LARGEST / 1e6:.0f} MB", "split it"))
        return None
    text = data if isinstance(data, str) else _decoded(data, file, problems)
    if text is None:
        return None
    text = text.removeprefix("\ufeff")
    if "\r" in text:
        text = _BREAK.sub("\n", text)
    wrong = _NOT_TEXT.search(text)
    if wrong is None:
        return text
    if "\0" in text:
        problems.append(Problem(Place(file), "not a text file", "text in UTF-8"))
        return None
    for wrong in _NOT_TEXT.finditer(text):
        found = f"a control character (U+{ord(wrong[0]):04X})"
        problems.append(Problem(_place(text, wrong.start(), file), found, "text", "delete it"))
    return None


def _decoded(data: bytes, file: str, problems: list[Problem]) -> str | None:
    wide = data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE))
    try:
        return data.decode("utf-16" if wide else "utf-8")
    except UnicodeDecodeError as wrong:
        if b"\0" in data and not wide:
            problems.append(Problem(Place(file), "not a text file", "text in UTF-8"))
            return None
        before = data[: wrong.start].decode("utf-16" if wide else "utf-8", "replace")
        byte = f"0x{data[wrong.start]:02X}"
        found = f"the byte {byte} (number {wrong.start + 1} of the file) is not {'UTF-16' if wide else 'UTF-8'}"
        place = _place(_BREAK.sub("\n", before.removeprefix("\ufeff")), None, file)
        problems.append(Problem(place, found, "text in UTF-8", "save the file as UTF-8"))
        return None


def _place(text: str, index: int | None, file: str) -> Place:
    """The place of a character of the text; with no index, just behind its end."""
    before = text if index is None else text[:index]
    return Place(file, before.count("\n") + 1, len(before) - before.rfind("\n"))

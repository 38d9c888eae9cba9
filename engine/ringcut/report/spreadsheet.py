"""Text for a cell of a spreadsheet, so that no spreadsheet takes a text from a file for a formula."""

from __future__ import annotations

STARTS = ("=", "+", "-", "@", "\t", "\r")
"""A cell that begins so may be run."""


def defused(text: str) -> str:
    """The text, with an apostrophe before it where it could be taken for a formula."""
    return f"'{text}" if text.startswith(STARTS) else text


def plain(text: str) -> str:
    """The text without the apostrophe that :func:`defused` put before it."""
    return text[1:] if text[:1] == "'" and text[1:].startswith(STARTS) else text

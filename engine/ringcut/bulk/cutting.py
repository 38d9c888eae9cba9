"""A line of JSON Lines cut into the texts of its entries, their times, and the frame around them.

No entry is decoded here. The cut is right wherever the line is JSON and its pieces, each read by itself, are objects:
an unescaped quote cannot stand inside a text, so a key that is found with its quotes is a key. A line of any other
shape gives None.
"""

from __future__ import annotations

from typing import NamedTuple

STAMP = "\x7f"
"""Stands in an entry's text where its time was."""
DATE = len("2026-03-01")
_REFERENCE = ('"reference":"', '"reference": "')


class Cut(NamedTuple):
    """The parts of a line."""

    head: str
    """From the beginning to the key ``steps``, without the reference."""
    tail: str
    reference: str
    day: str
    """The date of the first entry."""
    entries: list[str]
    """The inside of each object, its time replaced by ``STAMP``."""
    long: int
    """Characters of a time; without its date, where all are of one day."""


def cut(line: bytes) -> Cut | None:
    """The parts of a line in which every entry has one time; None for any other."""
    try:
        text = line.decode().strip()
    except UnicodeDecodeError:
        return None
    if STAMP in text:
        return None
    key, between, at = '"steps":[{', "},{", '"at":"'
    first = text.find(key)
    if first < 0:
        key, between, at = '"steps": [{', "}, {", '"at": "'
        first = text.find(key)
    last = text.rfind("}]")
    if first < 0 or last < first:
        return None
    inside = text[first + len(key) : last]
    begin = inside.find(at) + len(at)
    day = inside[begin : begin + DATE]
    pieces = inside.split(at + day)
    entries, long = _apart(pieces, at, between)
    if len(entries) != len(pieces) - 1:
        pieces = inside.split(at)
        entries, long = _apart(pieces, at, between)
        if len(entries) != len(pieces) - 1:
            return None
    head = text[:first]
    start, reference = _reference(head)
    return Cut(head[:start] + head[start + len(reference) :], text[last + 2 :], reference, day, entries, long)


def _apart(pieces: list[str], at: str, between: str) -> tuple[list[str], int]:
    """Entries, and the length of a time, of what stood between the keys of times."""
    long = pieces[-1].find('"')
    rests = [piece[long:] for piece in pieces]
    rests[0] = pieces[0]
    return (at + STAMP).join(rests).split(between), long


def _reference(head: str) -> tuple[int, str]:
    """Where the reference stands and what it is; nothing, where it is not a plain text."""
    for key in _REFERENCE:
        start = head.find(key) + len(key)
        if start >= len(key):
            found = head[start : head.find('"', start)]
            return (start, found) if found.isprintable() and "\\" not in found else (0, "")
    return 0, ""

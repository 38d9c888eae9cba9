"""A line of JSON Lines cut into the texts of its entries, their times, and the frame around them.

No entry is decoded here. The cut is right wherever the line is JSON and its pieces, each read by itself, are objects:
an unescaped quote cannot stand inside a text, so a key that is found with its quotes is a key. A line of any other
shape gives None.
"""

from __future__ import annotations

from typing import NamedTuple

STAMP = "\x7f"
"""Stands in an entry's text where its time was."""
HAND = "\x80"
"""Stands there for the name of the first who is said to have done something in the log."""
DATE = len("2026-03-01")
_REFERENCE = ('"reference":"', '"reference": "')


class Cut(NamedTuple):
    """The parts of a line."""

    head: str
    """From the beginning to the key ``steps``, without the reference."""
    tail: str
    reference: str
    hand: str
    """Who ``HAND`` is; nobody, where the name is no plain text."""
    alone: bool
    """Whether every entry says that ``hand`` did it, and nobody else."""
    day: str
    """The date of the first entry."""
    entries: list[str]
    """The inside of each object, its time replaced by ``STAMP``."""
    long: int
    """Characters of a time."""


def cut(line: bytes) -> Cut | None:
    """The parts of a line in which every entry has one time; None for any other."""
    try:
        text = line.strip().decode()
    except UnicodeDecodeError:
        return None
    if STAMP in text or HAND in text:
        return None
    key, between, at, by = '"steps":[{', "},{", '"at":"', '"by":"'
    first = text.find(key)
    if first < 0:
        key, between, at, by = '"steps": [{', "}, {", '"at": "', '"by": "'
        first = text.find(key)
    last = text.rfind("}]")
    if first < 0 or last < first:
        return None
    inside = text[first + len(key) : last]
    hand, pieces = _hand(inside, by), inside.split(at)
    if len(pieces) < 2:
        return None
    long, day = pieces[-1].find('"'), pieces[1][:DATE]
    said = pieces[1][long : pieces[1].find(hand) + len(hand) + 1] if hand else ""
    alone = said.endswith(f'{by}{hand}"') and inside.count(said) == len(pieces) - 1
    if alone:
        entries = _entries(pieces, long + len(said), f'{at}{STAMP}{said[: -len(hand) - 1]}{HAND}"', between)
    else:
        pieces = inside.replace(f'{by}{hand}"', f'{by}{HAND}"').split(at) if hand else pieces
        entries = _entries(pieces, long, at + STAMP, between)
    if len(entries) != len(pieces) - 1:
        return None
    head, reference = split_reference(text[:first])
    return Cut(head, text[last + 2 :], reference, hand, alone, day, entries, long)


def _hand(inside: str, by: str) -> str:
    """The name of the first who did an entry."""
    start = inside.find(by) + len(by)
    hand = inside[start : inside.find('"', start)] if start >= len(by) else ""
    return hand if hand.isprintable() and "\\" not in hand else ""


def _entries(pieces: list[str], begin: int, joint: str, between: str) -> list[str]:
    """The entries of what stood between the keys of times; ``joint`` stands for what ``begin`` characters held."""
    rests = [piece[begin:] for piece in pieces]
    rests[0] = pieces[0]
    return joint.join(rests).split(between)


def split_reference(head: str) -> tuple[str, str]:
    """What stands before the steps without the reference, and the reference; nothing, where it is not a plain text."""
    for key in _REFERENCE:
        start = head.find(key) + len(key)
        if start >= len(key):
            found = head[start : head.find('"', start)]
            plain = found.isprintable() and "\\" not in found
            return (head[:start] + head[start + len(found) :], found) if plain else (head, "")
    return head, ""


def with_reference(head: str, reference: str) -> str:
    """What stands before the steps, with its reference again, for a vocabulary that says what that holds."""
    for key in _REFERENCE if reference else ():
        start = head.find(key) + len(key)
        if start >= len(key):
            return head[:start] + reference + head[start:]
    return head

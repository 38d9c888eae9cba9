"""Where a step stands in the text of a plan: in lines of its own after a dash, or between brackets."""

from __future__ import annotations

import re

from ringcut.reading.raw import RawGroup, RawStep

_OPEN, _CLOSE = "[{", "]}"


class NotInPlace(Exception):
    """An edit that cannot be made without writing the file anew."""


def in_flow(lines: list[str], item: RawStep | RawGroup) -> bool:
    """Whether an item stands between brackets."""
    line, column = item.place.line - 1, item.place.column - 1
    before = lines[line][:column].rstrip()
    if before.endswith("-") or not before and line and lines[line - 1].strip() == "-":
        return False
    return bool(before) or not lines[line][column:].lstrip().startswith("-")


def block_span(lines: list[str], item: RawStep | RawGroup) -> tuple[int, int, int]:
    """First and last line (from 0) of an item of a block list, and the column of its dash (from 0)."""
    first, column = item.place.line - 1, item.place.column - 1
    found = re.match(r"^(\s*(?:- +)*)$", lines[first][:column])
    if found is None or "-" not in lines[first][:column]:
        first -= 1
        if first < 0 or lines[first].strip() != "-":
            raise NotInPlace(f"line {item.place.line} is laid out in an unusual way")
        dash = lines[first].index("-")
    else:
        dash = lines[first][:column].rindex("-")
    if lines[first][:dash].strip():
        raise NotInPlace(f"line {item.place.line} has two dashes")
    last = first
    for number in range(first + 1, len(lines)):
        line = lines[number]
        if not line.strip():
            continue
        if len(line) - len(line.lstrip()) <= dash:
            break
        if not line.lstrip().startswith("#"):
            last = number
    return first, last, dash


def flow_span(text: str, item: RawStep | RawGroup) -> tuple[int, int]:
    """Where an item of a flow list begins, and where its comma or the closing bracket stands."""
    start = offset(text, item.place.line, item.place.column)
    return start, ends(text, start)


def offset(text: str, line: int, column: int) -> int:
    """The place of a line and column (from 1) in the text."""
    return sum(len(each) + 1 for each in text.split("\n")[: line - 1]) + column - 1


def ends(text: str, start: int) -> int:
    """The comma or bracket with which a value between brackets ends."""
    depth, quote = 0, ""
    for at in range(start, len(text)):
        letter = text[at]
        if quote:
            quote = "" if letter == quote else quote
        elif letter in "\"'" and (at == start or text[at - 1] in " :[{,\n"):
            quote = letter
        elif letter in _OPEN:
            depth += 1
        elif letter in _CLOSE:
            if not depth:
                return at
            depth -= 1
        elif letter == "," and not depth:
            return at
    raise NotInPlace("a bracket is not closed")

"""Edits made in the text of a plan: only the lines of the edited step change, comments and all others stay.

The text is read again after every edit, so that places are always those of the text at hand. A step lies in a block
list (lines of its own after a dash) or in a flow list (between brackets).
"""

from __future__ import annotations

import re

from ringcut.correct.edits import Add, Change, Edit, Path, leaves
from ringcut.draft.models import Items
from ringcut.draft.plantext import scalar, step_text
from ringcut.reading.phrase import Phrase
from ringcut.reading.procedurefile import read_procedure
from ringcut.reading.raw import RawGroup, RawStep
from ringcut.reading.suggest import canonical

_OPEN, _CLOSE = "[{", "]}"


class NotInPlace(Exception):
    """An edit that cannot be made without writing the file anew."""


def edited(text: str, edits: tuple[Edit, ...]) -> str:
    """The text with the edits made one after the other; :class:`NotInPlace` where one cannot be."""
    for edit in edits:
        text = _edited(text, edit)
    return text


def _edited(text: str, edit: Edit) -> str:
    items = _items(text)
    if isinstance(edit, Change):
        return _changed(text, items, edit)
    if isinstance(edit, Add):
        return _put_in(text, items, edit.end, step_text(edit.step), "")
    path = edit.start
    block, indent = _source(text, items, path)
    without = _cut(text, items, path)
    return _put_in(without, _items(without), edit.end, block, indent)


def _items(text: str) -> Items:
    return read_procedure(text.encode(), "plan").steps


def _item(items: Items, path: Path) -> RawStep | RawGroup:
    item = items[path[0]]
    if len(path) == 1:
        return item
    assert isinstance(item, RawGroup)
    return _item(item.branches[path[1]], path[2:])


def _source(text: str, items: Items, path: Path) -> tuple[str, str]:
    """A step as it stands, without its dash, and the indent of its later lines (empty: one line)."""
    step = _item(items, path)
    lines = text.split("\n")
    if _in_flow(lines, step):
        first, last = _flow_span(text, step)
        return text[first:last].strip(), ""
    first_line, last_line, dash = _block_span(lines, step)
    block = lines[first_line : last_line + 1]
    block[0] = block[0][dash + 1 :].lstrip()
    return "\n".join(block), " " * dash


def _cut(text: str, items: Items, path: Path) -> str:
    while len(path) > 2 and len(_sequence(items, path)) == 1:
        group = _item(items, path[:-2])
        assert isinstance(group, RawGroup)
        if len(group.branches) > 1:
            break
        path = path[:-2]
    item = _item(items, path)
    lines = text.split("\n")
    if not _in_flow(lines, item):
        first, last, _ = _block_span(lines, item)
        return "\n".join([*lines[:first], *lines[last + 1 :]])
    start, end = _flow_span(text, item)
    if text[end : end + 1] == ",":
        rest = text[end + 1 :]
        return text[:start] + rest.lstrip(" ")
    before = text[:start].rstrip()
    return before.removesuffix(",") + text[end:]


def _put_in(text: str, items: Items, path: Path, block: str, indent: str) -> str:
    sequence = _sequence(items, path)
    if not sequence:
        raise NotInPlace("nothing is left beside which it could stand")
    at = path[-1]
    beside = sequence[at - 1] if at else sequence[0]
    lines = text.split("\n")
    if _in_flow(lines, beside):
        if "\n" in block or "#" in block or not (block.startswith("{") or ":" not in block):
            raise NotInPlace("a step of several lines, or with a comment, does not go into brackets")
        start, end = _flow_span(text, beside)
        if at:
            return text[:end].rstrip() + f", {block}" + text[end:]
        return text[:start] + f"{block}, " + text[start:]
    first, last, dash = _block_span(lines, beside)
    new = [
        " " * dash + f"- {line}" if not n else _indented(line, indent, dash) for n, line in enumerate(block.split("\n"))
    ]
    where = last + 1 if at else first
    return "\n".join([*lines[:where], *new, *lines[where:]])


def _indented(line: str, was: str, dash: int) -> str:
    return " " * dash + line.removeprefix(was) if line.strip() else line


def _sequence(items: Items, path: Path) -> Items:
    if len(path) == 1:
        return items
    group = items[path[0]]
    assert isinstance(group, RawGroup)
    return _sequence(group.branches[path[1]], path[2:])


def _in_flow(lines: list[str], item: RawStep | RawGroup) -> bool:
    line, column = item.place.line - 1, item.place.column - 1
    before = lines[line][:column].rstrip()
    if before.endswith("-") or not before and line and lines[line - 1].strip() == "-":
        return False
    return bool(before) or not lines[line][column:].lstrip().startswith("-")


def _block_span(lines: list[str], item: RawStep | RawGroup) -> tuple[int, int, int]:
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


def _flow_span(text: str, item: RawStep | RawGroup) -> tuple[int, int]:
    """Where an item of a flow list begins, and where its comma or the closing bracket stands."""
    start = _offset(text, item.place.line, item.place.column)
    return start, _ends(text, start)


def _offset(text: str, line: int, column: int) -> int:
    return sum(len(each) + 1 for each in text.split("\n")[: line - 1]) + column - 1


def _ends(text: str, start: int) -> int:
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


def _changed(text: str, items: Items, edit: Change) -> str:
    step = dict(leaves(items))[edit.at]
    found = _phrase(step, edit.reading, edit.side)
    if found is None:
        return _added(text, step, edit)
    start = _offset(text, found.place.line, found.place.column)
    if found.plain:
        if not text.startswith(found.text, start):
            raise NotInPlace(f"line {found.place.line} is laid out in an unusual way")
        end = start + len(found.text)
    else:
        end = text.index(text[start], start + 1) + 1
    return text[:start] + scalar(edit.after) + text[end:]


def _phrase(step: RawStep, name: str, side: str) -> Phrase | None:
    for reading in step.readings:
        if canonical(reading.name.text) == name:
            if not side:
                return reading.value
            return next((value for label, value in reading.sides if label.text == side), None)
    return None


def _added(text: str, step: RawStep, edit: Change) -> str:
    """A reading that the step did not have."""
    said = f"{edit.reading}: " + (f"{{{edit.side}: {scalar(edit.after)}}}" if edit.side else scalar(edit.after))
    start = _offset(text, step.place.line, step.place.column)
    lines = text.split("\n")
    if text[start] == "{":
        end = _ends(text, start + 1)
        while text[end] == ",":
            end = _ends(text, end + 1)
        return text[:end].rstrip() + f", {said}" + text[end:]
    if step.do.place == step.place:
        end = start + len(step.do.text)
        return text[:start] + f"{{do: {step.do.text}, {said}}}" + text[end:]
    if _in_flow(lines, step):
        raise NotInPlace(f"line {step.place.line} is laid out in an unusual way")
    _, last, _ = _block_span(lines, step)
    return "\n".join([*lines[: last + 1], " " * (step.place.column - 1) + said, *lines[last + 1 :]])

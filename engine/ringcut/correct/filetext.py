"""Edits made in the text of a plan: only the lines of the edited step change, comments and all others stay.

The text is read again after every edit, so that places are always those of the text at hand. A step lies in a block
list (lines of its own after a dash) or in a flow list (between brackets).
"""

from __future__ import annotations

from ringcut.correct import filekeys
from ringcut.correct.edits import Add, Change, Demand, Edit, Name, Path, Wait, leaves
from ringcut.correct.filespans import NotInPlace, block_span, flow_span, in_flow
from ringcut.draft.models import Items
from ringcut.draft.plantext import scalar, step_text
from ringcut.reading.procedurefile import read_procedure
from ringcut.reading.raw import RawGroup, RawStep


def edited(text: str, edits: tuple[Edit, ...]) -> str:
    """The text with the edits made one after the other; :class:`NotInPlace` where one cannot be."""
    for edit in edits:
        text = _edited(text, edit)
    return text


def _edited(text: str, edit: Edit) -> str:
    items = _items(text)
    if isinstance(edit, Change):
        return filekeys.changed(text, dict(leaves(items))[edit.at], edit)
    if isinstance(edit, Wait):
        return filekeys.waiting(text, dict(leaves(items))[edit.at], edit.after)
    if isinstance(edit, Demand):
        return filekeys.without_key(text, dict(leaves(items))[edit.at], "optional")
    if isinstance(edit, Name):
        return filekeys.with_key(text, dict(leaves(items))[edit.at], f"id: {scalar(edit.id)}")
    if isinstance(edit, Add):
        return _put_in(text, items, edit.end, edit.step, step_text(edit.step), "")
    path = edit.start
    block, indent = _source(text, items, path)
    without = _cut(text, items, path)
    return _put_in(without, _items(without), edit.end, edit.step, block, indent)


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
    if in_flow(lines, step):
        first, last = flow_span(text, step)
        return text[first:last].strip(), ""
    first_line, last_line, dash = block_span(lines, step)
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
    alone = len(path) > 2 and len(_sequence(items, path)) == 1
    if not in_flow(lines, item):
        first, last, dash = block_span(lines, item)
        if alone and dash and lines[first - 1].strip() == "-":
            first -= 1
        return "\n".join([*lines[:first], *lines[last + 1 :]])
    start, end = _bracketed(text, item) if alone else flow_span(text, item)
    if text[end : end + 1] == ",":
        rest = text[end + 1 :]
        return text[:start] + rest.lstrip(" ")
    before = text[:start].rstrip()
    return before.removesuffix(",") + text[end:]


def _put_in(text: str, items: Items, path: Path, step: RawStep, block: str, indent: str) -> str:
    sequence = _sequence(items, path)
    if not sequence:
        raise NotInPlace("nothing is left beside which it could stand")
    if len(path) > 1 and len(sequence) == 1:
        text = _as_list(text, sequence[0])
        sequence = _sequence(_items(text), path)
    at = path[-1]
    beside = sequence[at - 1] if at else sequence[0]
    lines = text.split("\n")
    if in_flow(lines, beside):
        above = _comments(block)
        block = flow_text(block, step)
        start, end = flow_span(text, beside)
        put = text[:end].rstrip() + f", {block}" + text[end:] if at else text[:start] + f"{block}, " + text[start:]
        return _above(put, items[min(path[0], len(items) - 1)], above)
    first, last, dash = block_span(lines, beside)
    new = [
        " " * dash + f"- {line}" if not n else _indented(line, indent, dash) for n, line in enumerate(block.split("\n"))
    ]
    where = last + 1 if at else first
    return "\n".join([*lines[:where], *new, *lines[where:]])


def flow_text(block: str, step: RawStep) -> str:
    """A step as it stands between brackets: in one line, without its comments."""
    if "\n" not in block and "#" not in block and (block.startswith("{") or ":" not in block):
        return block
    if step.after == () or any((step.at, step.started, step.status, step.reason, step.when)):
        raise NotInPlace(f"line {step.place.line} has a key that is not written in one line")
    return step_text(step)


def _comments(block: str) -> list[str]:
    """The comments of a step, without those that only stand between quotes."""
    found = []
    for line in block.split("\n"):
        quote = ""
        for at, letter in enumerate(line):
            if quote:
                quote = "" if letter == quote else quote
            elif letter in "\"'" and (not at or line[at - 1] in " :[{,"):
                quote = letter
            elif letter == "#" and (not at or line[at - 1] in " \t"):
                found.append(line[at:].rstrip())
                break
    return found


def _above(text: str, item: RawStep | RawGroup, comments: list[str]) -> str:
    """The text with comments in lines of their own above the item of the list that is told by its old place."""
    if not comments:
        return text
    lines = text.split("\n")
    if in_flow(lines, item):
        raise NotInPlace("a comment has no line of its own between brackets")
    first, _, dash = block_span(lines, item)
    return "\n".join([*lines[:first], *(" " * dash + each for each in comments), *lines[first:]])


def _as_list(text: str, item: RawStep | RawGroup) -> str:
    """The text with a branch of one step written as a list, so that another can stand beside it."""
    lines = text.split("\n")
    if in_flow(lines, item):
        start, end = flow_span(text, item)
        if _bracketed(text, item) != (start, end):
            return text
        whole = text[start:end].rstrip()
        return f"{text[:start]}[{whole}]{text[start + len(whole) :]}"
    first, last, dash = block_span(lines, item)
    if dash and lines[first - 1].strip() == "-" and lines[first - 1].index("-") < dash:
        return text
    own = [
        " " * (dash + 2) + lines[first][dash:],
        *(f"  {line}" if line.strip() else line for line in lines[first + 1 : last + 1]),
    ]
    return "\n".join([*lines[:first], " " * dash + "-", *own, *lines[last + 1 :]])


def _bracketed(text: str, item: RawStep | RawGroup) -> tuple[int, int]:
    """The span of an item with the brackets that it has for itself, inside those of its group."""
    start, end = flow_span(text, item)
    before = text[:start].rstrip()
    if before.endswith("[") and text[end : end + 1] == "]" and before[:-1].rstrip().endswith(("[", ",", "-")):
        return len(before) - 1, end + 1
    return start, end


def _indented(line: str, was: str, dash: int) -> str:
    return " " * dash + line.removeprefix(was) if line.strip() else line


def _sequence(items: Items, path: Path) -> Items:
    if len(path) == 1:
        return items
    group = items[path[0]]
    assert isinstance(group, RawGroup)
    return _sequence(group.branches[path[1]], path[2:])

"""What YAML would swallow without a word, told with its place and how to write it.

A comment that ate a value (``size: #6``), a blank that is missing after a colon (``{A:1 in}``), a comma that
cut a text short (``{reason: cold, wind}``) and a ``>5`` that begins a folded text are all correct YAML. Each
is mended in the nodes, so that the same slip is not told again under another name.
"""

from __future__ import annotations

import re

import yaml

from ringcut.reading.phrase import Phrase
from ringcut.reading.problems import Place, Problem
from ringcut.reading.textbytes import text_of
from ringcut.reading.yamlnodes import Map, Node, Scalar, Seq
from ringcut.reading.yamlsource import LOADER, Source

__all__ = ["comments_with_numbers", "eaten_block_text", "mend_entries", "mend_items", "quoted"]

_EATEN = re.compile(r"[ \t]*:?[ \t]+(#(?=\S).*)")
_GLUED = re.compile(r"(?P<name>[^\W\d][\w -]*):(?P<value>(?!//).+)", re.DOTALL)
_WIRE = re.compile(r"#\s*([1-4]/0|\d{1,2})\b")


def quoted(text: str) -> str:
    """The text in the quotes in which it needs nothing else changed."""
    if '"' not in text and "\\" not in text:
        return f'"{text}"'
    return "'" + text.replace("'", "''") + "'"


def mend_entries(node: Map, source: Source, problems: list[Problem]) -> list[tuple[Scalar, Node]]:
    """The entries of a mapping without its slips; called where one of them has no value."""
    kept: list[tuple[Scalar, Node]] = []
    glued: list[Scalar] = []
    for key, value in node.entries:
        if not isinstance(value, Scalar) or value.text or not value.plain:
            kept.append((key, value))
            continue
        rest = _behind(key, source)
        eaten = _EATEN.match(rest)
        if eaten and rest.lstrip().startswith(":"):
            column = key.place.column + _width(key, source) + eaten.start(1)
            problems.append(_eaten(Place(source.file, key.place.line, column), key.text, eaten[1]))
        elif not node.flow or rest.lstrip().startswith(":"):
            kept.append((key, value))
        elif found := _GLUED.fullmatch(key.text):
            glued.append(key)
            column = key.place.column + found.start("value")
            text = Scalar(found["value"], True, Place(source.file, key.place.line, column))
            kept.append((Scalar(found["name"], True, key.place), text))
        else:
            _cut(kept, key, problems)
    if glued:
        problems.append(_blank_missing(glued, kept))
    return kept


def mend_items(node: Seq, source: Source, problems: list[Problem]) -> list[Node]:
    """The items of a list without those that a comment ate; called where one of them is empty."""
    kept: list[Node] = []
    for item in node.items:
        if isinstance(item, Scalar) and item.plain and not item.text:
            rest = _line(item.place, source)[item.place.column - 1 :]
            eaten = _EATEN.match(rest)
            if eaten:
                column = item.place.column + eaten.start(1)
                problems.append(_eaten(Place(source.file, item.place.line, column), "", eaten[1]))
                continue
        kept.append(item)
    return kept


def eaten_block_text(node: Scalar, source: Source) -> Problem | None:
    """The problem of a ``>5`` that YAML takes for the beginning of a folded text, and so for nothing."""
    said = _line(node.place, source)[node.place.column - 1 :].strip()
    if node.text or len(said) < 2:
        return None
    return Problem(node.place, f"{said} begins a folded text in YAML and leaves nothing", "", f"write {quoted(said)}")


def comments_with_numbers(data: bytes | str, file: str) -> tuple[Phrase, ...]:
    """Comments behind a value that hold a number, such as ``scuff lead  # 6" both sides``: they are not read.

    No error, only worth saying. Empty where the file cannot be parsed.
    """
    text = text_of(data, file, [])
    if text is None or "#" not in text:
        return ()
    source = Source(text, file)
    lines, found, end = source.original, [], (0, 0)
    try:
        for token in yaml.scan(source.text, Loader=LOADER):
            begin = (token.start_mark.line, token.start_mark.column)
            for line in range(end[0], min(begin[0] + 1, len(lines))):
                first = end[1] if line == end[0] else 0
                last = begin[1] if line == begin[0] else len(lines[line])
                comment = re.search(r"#(.*\d.*)", lines[line][first:last])
                before = lines[line][: first + comment.start()].rstrip() if comment else ""
                if comment and before and before[-1] not in ":-":
                    place = Place(file, line + 1, first + comment.start() + 1)
                    found.append(Phrase(comment[1].strip(), place))
            end = max(end, (token.end_mark.line, token.end_mark.column))
    except yaml.YAMLError:
        return ()
    return tuple(found)


def _line(place: Place, source: Source) -> str:
    return source.original[place.line - 1] if place.line <= len(source.original) else ""


def _width(key: Scalar, source: Source) -> int:
    """How many columns a key takes; one over several lines ends with its first line."""
    said = _line(key.place, source)[key.place.column - 1 :]
    if key.plain:
        return len(key.text) if said.startswith(key.text) else len(said)
    closing = re.match(r"\"(?:[^\"\\]|\\.)*\"|'(?:[^']|'')*'", said)
    return closing.end() if closing else len(said)


def _behind(key: Scalar, source: Source) -> str:
    """What stands behind a key, or a colon where that cannot be told."""
    column = key.place.column - 1
    return _line(key.place, source)[column + _width(key, source) :] or ("" if key.plain else ":")


def _eaten(place: Place, key: str, comment: str) -> Problem:
    found = f"{key}: empty" if key else "empty"
    wire = _WIRE.match(comment)
    how = f"write {wire[1]} AWG, or {quoted(comment.strip())}" if wire else f"write {quoted(comment.strip())}"
    return Problem(place, f"{found}. In YAML everything after # is a comment", "", how)


def _cut(kept: list[tuple[Scalar, Node]], key: Scalar, problems: list[Problem]) -> None:
    """A key without colon: joined again with the text before the comma, where there is one."""
    name, cut = kept[-1] if kept else (key, key)
    if name is key or not isinstance(cut, Scalar) or not cut.text:
        problems.append(Problem(key.place, f"{key.text} has no value", "", f"write {key.text}: and its value"))
        return
    if _is_one_number(cut, key):
        kept[-1] = (name, Scalar(f"{cut.text}.{key.text}", False, cut.place))
        found = f"{cut.text},{key.text} has a decimal comma"
        problems.append(Problem(cut.place, found, "a decimal point", f"write {cut.text}.{key.text}, if that is meant"))
        return
    whole = f"{cut.text}, {key.text}"
    kept[-1] = (name, Scalar(whole, False, cut.place))
    hint = f"put it in quotes: {name.text}: {quoted(whole)}"
    problems.append(Problem(key.place, f"{key.text} is not a key. A comma cut the text short", "", hint))


def _is_one_number(cut: Scalar, key: Scalar) -> bool:
    """Digits on both sides of a comma without a blank: it was typed as one number."""
    beside = (cut.place.line, cut.place.column + len(cut.text) + 1) == (key.place.line, key.place.column)
    return beside and cut.text[-1].isdigit() and key.text[:1].isdigit()


def _blank_missing(glued: list[Scalar], kept: list[tuple[Scalar, Node]]) -> Problem:
    texts = [(key.text, value.text) for key, value in kept if isinstance(value, Scalar)]
    written = ", ".join(f"{key}: {value}" for key, value in texts)
    if len(texts) < len(kept):
        written = f"{written}, ..."
    found = f"{', '.join(key.text for key in glued)}: a blank is missing after the colon"
    return Problem(glued[0].place, found, "", f"write {{{written}}}")

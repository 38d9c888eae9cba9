"""One YAML syntax error: what people are told, and how the line is mended in memory so that reading goes on.

Each slip has a function that looks at the error and answers with the problem, or with None where it is
another slip; the first that answers has mended the source. What none of them knows is left out: the line and
what hangs on it.
"""

from __future__ import annotations

import re
from collections.abc import Callable

import msgspec
import yaml

from ringcut.reading.problems import Place, Problem
from ringcut.reading.yamlbuild import Builder
from ringcut.reading.yamlslips import quoted
from ringcut.reading.yamlsource import Source, indent_of, key_column

__all__ = ["repair"]

_GLUED = re.compile(r"(?P<before>[ ]*(?:- +)*(?P<key>[^\W\d][\w -]*):)(?P<value>[^\s:/].*)")
_STARTS = "%@`*&!|>,"
"""Characters with which a text cannot begin unless it is in quotes."""
_MOST_A_LINE = 5
"""Errors mended in a line before it is left out."""


class _Error(msgspec.Struct):
    """The error of the parser: the line and column it stopped at and those it began to read at, from 0."""

    line: int
    column: int
    from_line: int
    from_column: int
    said: str
    in_brackets: bool


_Slip = Callable[[Source, _Error, Builder], Problem | None]


def repair(source: Source, error: yaml.YAMLError, builder: Builder) -> tuple[Problem, bool]:
    """The problem, and whether the source was mended so that reading it again gets further."""
    if not isinstance(error, yaml.MarkedYAMLError) or error.problem_mark is None:
        return Problem(Place(source.file, 1), f"not YAML ({error})".replace("\n", " ")), False
    at, began = error.problem_mark, error.context_mark or error.problem_mark
    said = f"{error.context or ''}: {error.problem or ''}"
    bracket = builder.open_bracket()
    here = _Error(at.line, at.column, began.line, began.column, said, bracket is not None)
    source.mended[at.line] += 1
    for slip in _SLIPS if source.mended[at.line] <= _MOST_A_LINE else ():
        problem = slip(source, here, builder)
        if problem is not None:
            return _as_typed(problem, source), True
    return _leave_out(source, here)


def _as_typed(problem: Problem, source: Source) -> Problem:
    found, hint = source.restored(problem.found), source.restored(problem.hint)
    return Problem(problem.place, found, problem.expected, hint)


def _line(source: Source, number: int) -> str:
    return source.lines[number] if number < len(source.lines) else ""


def _char(source: Source, line: int, column: int) -> str:
    return _line(source, line)[column : column + 1]


def _tabs(source: Source, error: _Error, _: Builder) -> Problem | None:
    said = _line(source, error.line)
    if "\t" not in said[: indent_of(said)]:
        return None
    place = source.place(error.line, said.index("\t"))
    lines = []
    for number in range(error.line, len(source.lines)):
        start = source.lines[number][: indent_of(source.lines[number])]
        if "\t" in start and source.lines[number].strip():
            source.replace(number, 0, start, start.expandtabs(2))
            lines.append(number + 1)
    also = f" (also in line {', '.join(map(str, lines[1:6]))}{', ...' if len(lines) > 6 else ''})"
    found = f"a tab at the beginning of the line{also if lines[1:] else ''}"
    return Problem(place, found, "blanks", "YAML takes only blanks here: write two for each tab")


def _second_colon(source: Source, error: _Error, builder: Builder) -> Problem | None:
    said = _line(source, error.line)
    if _char(source, error.line, error.column) != ":" or "expected" in error.said and not error.in_brackets:
        return None
    bracket = builder.open_bracket()
    start = bracket.column if bracket and bracket.line == error.line + 1 else key_column(said)
    earlier = re.search(r":\s", said[start : error.column])
    if not earlier:
        return None
    place = source.place(error.line, error.column)
    for colon in list(re.finditer(r":(?=\s|$)", said[error.column :])):
        if error.in_brackets and colon.start():
            break
        source.take_as_text(error.line, error.column + colon.start())
    hint = "put the text in quotes"
    hint += ", or write the comma that is missing" if error.in_brackets else ""
    return Problem(place, "two colons", "", hint)


def _glued_above(source: Source, error: _Error, _: Builder) -> Problem | None:
    """``do:wrap tape`` or ``layers:2``: without the blank YAML sees no key and stumbles a line later."""
    if error.in_brackets:
        return None
    lines = [error.from_line] if "simple key" in error.said else [error.line, source.above(error.line)]
    for number in lines:
        glued = _GLUED.fullmatch(_line(source, number)) if number is not None else None
        if number is None or glued is None or re.search(r":(\s|$)", glued["value"]):
            continue
        place = source.place(number, glued.end("before") - 1)
        source.replace(number, glued.end("before"), "", " ")
        hint = f"write {glued['key']}: {glued['value']}"
        return Problem(place, "a blank is missing after the colon", "", hint)
    return None


def _indented(source: Source, error: _Error, _: Builder) -> Problem | None:
    """A key that stands further to the right than the one above it, which has a value already."""
    said = _line(source, error.line)
    above = source.above(error.line)
    if _char(source, error.line, error.column) != ":" or error.in_brackets or above is None:
        return None
    indent, wanted = indent_of(said), key_column(source.lines[above])
    if wanted >= indent:
        return None
    place = source.place(error.line, indent)
    for number in (error.line, *range(error.line + 1, len(source.lines))):
        if source.lines[number].strip():
            if indent_of(source.lines[number]) < indent:
                break
            source.replace(number, 0, " " * (indent - wanted), "")
    found = f"the line is indented further than line {above + 1}, which has its value already"
    return Problem(place, found, "", f"begin it in column {wanted + 1}")


def _no_colon(source: Source, error: _Error, _: Builder) -> Problem | None:
    if "simple key" not in error.said:
        return None
    said = _line(source, error.from_line)
    place = source.place(error.from_line, error.from_column)
    text = said[error.from_column :].strip()
    if re.match(r"-[^\s-]", said[error.from_column :]):
        source.replace(error.from_line, error.from_column + 1, "", " ")
        return Problem(place, "a blank is missing after the dash", "", f"write - {text[1:]}")
    source.blank(error.from_line, error.from_line)
    return Problem(place, f"{text}: no colon", "a key, a colon, a blank and its value")


def _open_quote(source: Source, error: _Error, builder: Builder) -> Problem | None:
    """A quote that is not closed runs to the next one, or to the end of the file."""
    line, column = error.from_line, error.from_column
    if "quoted scalar" not in error.said or "escape" in error.said:
        long = builder.long_quote
        if long is None or long[2] != error.line or long[0] == error.line:
            return None
        line, column = long[:2]
    if _char(source, line, column) not in ("'", '"'):
        return None
    place = source.place(line, column)
    source.take_as_text(line, column)
    return Problem(place, "the quote is not closed", "", "close it in the same line, or write none")


def _backslash(source: Source, error: _Error, _: Builder) -> Problem | None:
    if "escape" not in error.said:
        return None
    column = _line(source, error.line).rfind("\\", 0, error.column + 1)
    if column < 0:
        return None
    place = source.place(error.line, column)
    source.take_as_text(error.line, column)
    return Problem(place, "a backslash in double quotes", "", "write \\\\ or use single quotes")


def _bad_start(source: Source, error: _Error, _: Builder) -> Problem | None:
    for line, column in ((error.from_line, error.from_column), (error.line, error.column)):
        char = _char(source, line, column)
        dash = "not allowed" in error.said and char in ("-", "?")
        if char and (char in _STARTS or dash):
            place = source.place(line, column)
            text = _line(source, line)[column:].strip()
            source.take_as_text(line, column)
            hint = "begin the list in a line of its own, or put" if char == "-" else "put"
            return Problem(place, f"a text cannot begin with {char}", "", f"{hint} it in quotes: {quoted(text)}")
    return None


def _text_behind(source: Source, error: _Error, _: Builder) -> Problem | None:
    """``"6" AWG`` and ``[see photo] wet``: YAML is through with the value and finds more."""
    said = _line(source, error.line)
    before = said[: error.column].rstrip()
    if not before or error.in_brackets or _char(source, error.line, error.column) in ("", "]", "}"):
        return None
    marks = {'"': '"', "'": "'", "]": "[]", "}": "{}"}.get(before[-1])
    start = re.match(r"\s*(?:- +)*(?:[^\s\"'\[{][^:]*:\s+)?", said)
    if not marks or not start or start.end() >= error.column:
        return None
    text = said[start.end() :].strip()
    place = source.place(error.line, error.column)
    for column in range(start.end(), len(said)):
        if said[column] in marks:
            source.take_as_text(error.line, column)
    return Problem(place, f"text behind {before[-1]}", "", f"put all of it in quotes: {quoted(text)}")


def _bracket_too_many(source: Source, error: _Error, _: Builder) -> Problem | None:
    char = _char(source, error.line, error.column)
    if char not in ("]", "}") or error.in_brackets:
        return None
    place = source.place(error.line, error.column)
    source.replace(error.line, error.column, char, " ")
    return Problem(place, f"a {char} too many", "", "delete it, or put the text in quotes")


def _open_bracket(source: Source, error: _Error, builder: Builder) -> Problem | None:
    """A bracket that is not closed, or whose end a comment ate."""
    opened = builder.open_bracket()
    if opened is None:
        return None
    first, last = opened.line - 1, min(error.line, len(source.lines) - 1)
    for number in range(first, last + 1):
        eaten = re.search(r"(?<=[\s,\[{])#(?=\S).*[]}]", source.lines[number])
        if eaten:
            place = source.place(number, eaten.start())
            source.take_as_text(number, eaten.start())
            hint = f"put the text in quotes: {quoted(re.split('[],}]', eaten[0])[0])}"
            return Problem(place, "in YAML everything after # is a comment, the bracket too", "", hint)
    inside = error.line > first and indent_of(_line(source, error.line)) > key_column(source.lines[first])
    if inside and _char(source, error.line, error.column) == ":":
        above = source.above(error.line)
        if above is not None and above >= first and not re.search(r",\s*$|\s#", source.lines[above]):
            end = len(source.lines[above].rstrip())
            place = source.place(above, end)
            source.replace(above, end, "", ",")
            return Problem(place, "a comma is missing at the end of the line", "", "write the comma")
    bracket = source.original[first][opened.column - 1 : opened.column]
    source.blank(first, source.block(first))
    return Problem(opened, f"the {bracket} is not closed", "", f"write {']' if bracket == '[' else '}'} at its end")


def _leave_out(source: Source, error: _Error) -> tuple[Problem, bool]:
    """The line that does not fit, left out with what hangs on it."""
    line: int | None = error.line if _line(source, error.line).strip() else source.above(error.line)
    if line is None:
        return Problem(source.place(error.line, error.column), "not YAML here", "a key, a colon, a value"), False
    place = source.place(line, error.column if line == error.line else indent_of(source.lines[line]))
    last = source.block(line)
    source.blank(line, last)
    left = f"lines {line + 1} to {last + 1} were not read" if last > line else "the line was not read"
    found = f"the line does not fit under the lines above it; {left}"
    return Problem(place, found, "", "begin it exactly under the line it belongs with"), True


_SLIPS: tuple[_Slip, ...] = (
    _tabs,
    _open_quote,
    _second_colon,
    _glued_above,
    _indented,
    _no_colon,
    _backslash,
    _bad_start,
    _text_behind,
    _bracket_too_many,
    _open_bracket,
)

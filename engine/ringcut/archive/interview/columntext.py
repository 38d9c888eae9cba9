"""A column file as YAML that a person goes on with: short where it may be, with comments that say where each line is
from, and a line for each key that nobody knew.

``read_columns`` reads it back as it was.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import msgspec

from ringcut.archive.columns import Column
from ringcut.archive.interview.draft import Draft

_PLAIN = re.compile(r"[A-Za-z](?:[\w /.&+()-]*[\w.)+])?|[1-9]\d{0,5}", re.ASCII)
_WORDS = ("null", "true", "false", "yes", "no", "on", "off", "y", "n")
_WIDTH = 110
ORDER = (
    "contractor", "shape", "sheets", "encoding", "separator", "heading-row", "heading-rows", "fill-down", "leave-out",
    "facts-block", "job", "decimal", "dates", "week", "clock", "time-means", "timezone", "records", "sorted", "marks",
    "sides", "people", "between-people", "columns", "tasks", "readings", "units",
)  # fmt: skip
_ALWAYS = ("shape", "time-means", "records")
"""Written though they are as usual, because somebody said so."""


def text_of(draft: Draft, head: Sequence[str] = ()) -> str:
    """The file; ``head``: lines of its first comment."""
    lines = [f"# {_one_line(line)}" for line in head]
    plain: dict[str, Any] = msgspec.to_builtins(draft.spec)
    for key in _ALWAYS:
        if key in draft.why:
            plain.setdefault(key, msgspec.to_builtins(getattr(draft.spec, key.replace("-", "_"))))
    if "facts-block" in plain:
        short = {label: each["fact"] if len(each) == 1 else each for label, each in plain["facts-block"].items()}
        plain["facts-block"] = short
    if "readings" in plain:
        plain["readings"] = {said: each[0] if len(each) == 1 else each for said, each in plain["readings"].items()}
    for key in ORDER:
        if key in plain:
            lines += _key(key, plain[key], draft)
        lines += _left(key, draft)
    return "\n".join(lines) + "\n"


def _left(key: str, draft: Draft) -> Iterator[str]:
    """What nobody knew of a key, or of things below it."""
    for left, says in draft.left.items():
        room, _, name = left.partition(".")
        if room == key:
            inside = name and key in ("columns", "tasks")
            yield f"  # {_one_line(name)}: {_one_line(says)}" if inside else f"# {key}: {_one_line(says)}"


def _key(key: str, value: Any, draft: Draft) -> Iterator[str]:
    why = f"  # {_one_line(draft.why[key])}" if key in draft.why else ""
    if key == "columns":
        yield f"columns:{why}"
        for name, column in draft.spec.columns.items():
            yield from _column(name, column, draft.why.get(f"columns.{name}", ""))
    elif key in ("tasks", "leave-out"):
        yield f"{key}:{why}"
        for each in value:
            said = draft.why.get(f"tasks.{each['say'][0]}", "") if key == "tasks" else ""
            yield f"  - {_flow(_single(each))}" + (f"  # {_one_line(said)}" if said else "")
    elif isinstance(value, dict) and len(_flow(value)) > _WIDTH - len(key):
        yield f"{key}:{why}"
        yield from (f"  {scalar(name)}: {_flow(inside)}" for name, inside in value.items())
    else:
        yield f"{key}: {_flow(value)}{why}"


def _column(name: str, column: Column, why: str) -> Iterator[str]:
    plain = _single(msgspec.to_builtins(column))
    only = next(iter(plain)) if len(plain) == 1 else ""
    short = plain[only] if only == "holds" or (only == "reading" and isinstance(plain[only], str)) else None
    text = scalar(short) if short else _flow(plain)
    comment = f"  # {_one_line(why)}" if why else ""
    if len(text) <= _WIDTH - 20:
        yield f"  {scalar(name)}: {text}{comment}"
        return
    yield f"  {scalar(name)}:{comment}"
    for key, value in plain.items():
        if isinstance(value, list | tuple):
            yield f"    {key}:"
            yield from (f"      - {_flow(each)}" for each in value)
        else:
            yield f"    {key}: {_flow(value)}"


def _single(plain: Mapping[str, Any]) -> dict[str, Any]:
    """Lists of one as their one, where the reader takes that."""
    lists = ("reading", "step", "say", "do")
    return {
        key: value[0] if key in lists and isinstance(value, list | tuple) and len(value) == 1 else value
        for key, value in plain.items()
    }


def _flow(value: Any) -> str:
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{scalar(key)}: {_flow(inside)}" for key, inside in value.items()) + "}"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(_flow(each) for each in value) + "]"
    if isinstance(value, bool):
        return "yes" if value else "no"
    return str(value) if isinstance(value, int) else scalar(str(value))


def scalar(text: str) -> str:
    """A text as YAML 1.2 reads it back: bare where nothing in it could be taken for something else."""
    if _PLAIN.fullmatch(text) and text.casefold() not in _WORDS:
        return text
    escapes = {'"': '\\"', "\\": "\\\\", "\n": "\\n", "\r": "\\r", "\t": "\\t"}
    return '"' + "".join(escapes.get(sign) or (sign if sign.isprintable() else _escape(sign)) for sign in text) + '"'


def _escape(sign: str) -> str:
    code = ord(sign)
    return f"\\x{code:02x}" if code < 256 else f"\\u{code:04x}" if code < 65536 else f"\\U{code:08x}"


def _one_line(text: str) -> str:
    return " ".join("".join(sign if sign.isprintable() else " " for sign in text).split())

"""A row of a file of questions that asks for several things: its cells and its answer, joined and taken apart."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence

from ringcut.archive.results import Wanted
from ringcut.reading.suggest import canonical

_NOT_KNOWN = frozenset(["", "?", "-", "n/a", "not-known", "unknown", "not-recorded"])
_KEYS = ("row", "column", "step", "reading", "side")
_NUMBERED = re.compile(r"\(?(?P<number>\d+)[).:](?=\s|$)\s*(?P<said>.*)", re.DOTALL)


def between(texts: Iterable[str]) -> str:
    """Several texts in one cell, with semicolons; one, where all are equal."""
    told = list(texts)
    return told[0] if len(set(told)) == 1 else "; ".join(told)


def taken_apart(texts: Mapping[str, str]) -> tuple[Wanted, ...]:
    """What a row asks for; empty where its cells do not fit each other, or a row is no number."""
    cells = {key: [part.strip() for part in texts[key].split(";")] for key in _KEYS}
    count = max(map(len, cells.values()))
    if any(len(parts) not in (1, count) for parts in cells.values()):
        return ()
    whole = {key: parts * count if len(parts) == 1 else parts for key, parts in cells.items()}
    if any(row and not (row.isascii() and row.isdigit()) for row in whole["row"]):
        return ()
    told = [part.strip() for part in texts["their-text"].split(";")]
    # what is equal for all stands once, so that a text with a semicolon in it may as well be one text
    each = told if count == len(told) > 1 else [texts["their-text"]] * count
    return tuple(
        Wanted(int(row or 0), column, text, step, reading, side)
        for text, row, column, step, reading, side in zip(each, *(whole[key] for key in _KEYS), strict=True)
    )


def alike_of(wants: Sequence[Wanted]) -> bool:
    """Whether one word of one column is asked about in all of its rows, so that one answer counts for all."""
    return len({(each.column, each.reading, each.text) for each in wants}) == 1 and not wants[0].reading


def answered(text: str, wants: Sequence[Wanted], alike: bool = False) -> tuple[str, ...] | str:
    """An answer for each thing asked for, empty where it is not known; or what is wrong with the answer.

    ``alike``: one answer counts for all.
    """
    if _silent(text):
        return ("",) * len(wants)
    if len(wants) == 1:
        return (text,)
    if alike and not re.search(r"[;\n]", text):
        return (text.strip(),) * len(wants)
    parts = [part.strip() for part in re.split(r"[;\n]", text)]
    named = [_named(part, wants) for part in parts]
    told: dict[int, str] = {}
    if all(each is not None for each in named):
        for found in named:
            assert found is not None
            if found[0] in told:
                return f"{_name(wants[found[0]])} is answered twice"
            told[found[0]] = found[1]
    elif any(each is not None for each in named) or len(parts) != len(wants):
        names = [_name(each) for each in wants]
        rows = [f" in row {each.row}" if names.count(name) > 1 else "" for name, each in zip(names, wants, strict=True)]
        asked = ", ".join(f"({number}) {names[number - 1]}{row}" for number, row in enumerate(rows, start=1))
        return f"{len(parts)} {'part' if len(parts) == 1 else 'parts'} for {len(wants)} answers: {asked}"
    else:
        told = dict(enumerate(parts))
    return tuple("" if _silent(told.get(number, "")) else told[number] for number in range(len(wants)))


def _silent(text: str) -> bool:
    return canonical(text) in _NOT_KNOWN


def _name(wanted: Wanted) -> str:
    return " ".join(part for part in (wanted.reading.replace("-", " ") or wanted.column, wanted.side) if part)


def _named(part: str, wants: Sequence[Wanted]) -> tuple[int, str] | None:
    """The number of the thing that a part names, and what it says of it; None where it names none."""
    found = _NUMBERED.fullmatch(part)
    if found and 1 <= int(found["number"]) <= len(wants):
        return int(found["number"]) - 1, found["said"].strip()
    # the longest name first: «bond length» must not be taken for «bond length B»
    for number, each in sorted(enumerate(wants), key=lambda pair: -len(_name(pair[1]))):
        words = r"[\s_-]+".join(re.escape(word) for word in _name(each).split())
        label = re.fullmatch(rf"{words}(?:\s*[:=]\s*|\s+)(?P<said>.*)", part, re.IGNORECASE | re.DOTALL)
        if label:
            return number, label["said"].strip()
    return None

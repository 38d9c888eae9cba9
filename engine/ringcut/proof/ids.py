"""Ids of rules, which are never reused: the list beside a rulebook only grows.

A line is an id, or ``id:withdrawn`` for one that no rule has any more. A rulebook folder keeps
``rules/ids.txt``; a house file ``name.yaml`` keeps ``name.ids.txt`` beside it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

from ringcut.language import ir
from ringcut.language.sources import Sources
from ringcut.proof.told import Remark
from ringcut.reading.problems import Place
from ringcut.reading.suggest import canonical


def ids_file(path: Path) -> Path:
    """Where the ids of a rulebook folder or of a house file are kept."""
    return path / "rules" / "ids.txt" if path.is_dir() else path.with_suffix(".ids.txt")


def ids(path: Path, sources: Sources, lower: ir.Rulebook | None, builtin: Path, partly: bool = False) -> list[Remark]:
    """Ids reused, gone, or not listed. Without a list only ids of the layers below are looked at.

    ``partly``: ``sources`` may lack rules that cannot be read; an id that stands in the text is there.
    """
    own = {rule.rule.text: rule.rule.place for _, rule in sources.rules if _is_own(rule.rule.place, path)}
    kept = ids_file(path)
    found = [] if lower is None else _below(own, lower, builtin)
    if not kept.exists():
        return found
    listed: dict[str, tuple[int, str]] = {}
    for number, name, note in _lines(kept):
        if name in listed:
            said = f"{name} is listed twice, first in line {listed[name][0]}."
            found.append(Remark(Place(kept.name, number), "id-twice", said, "Take one line out.", rules=(name,)))
        listed.setdefault(name, (number, note))
    for name, place in own.items():
        if name not in listed:
            said = f"{name} is not in {kept.name}."
            found.append(Remark(place, "id-unlisted", said, f"Add the line {name} to it.", rules=(name,)))
        elif listed[name][1]:
            said = f"{name} was withdrawn ({kept.name}, line {listed[name][0]}) and is used again."
            found.append(Remark(place, "id-reused", said, "Give the rule an id of its own.", rules=(name,)))
    for name, (number, note) in listed.items():
        if name not in own and not note and not (partly and _is_written(name, path)):
            said = f"{name} is gone: no rule has this id."
            instead = f"If the rule was renamed, give it its id back; if it was withdrawn, write {name}:withdrawn."
            found.append(Remark(Place(kept.name, number), "id-gone", said, instead, rules=(name,)))
    return found


def _lines(file: Path) -> Iterator[tuple[int, str, str]]:
    """Number, id and remark of each line that has an id."""
    for number, line in enumerate(file.read_text(encoding="utf-8").splitlines(), 1):
        name, _, note = line.partition("#")[0].strip().partition(":")
        if name:
            yield number, canonical(name), note.strip()


def _below(own: dict[str, Place], lower: ir.Rulebook, builtin: Path) -> list[Remark]:
    """Own ids that a layer below has, or had once."""
    kept = ids_file(builtin)
    once = {name for _, name, _ in _lines(kept)} if kept.exists() else set()
    taken = {rule.id for rule in lower.rules} | once
    told = "is or was a rule of a layer below."
    return [
        Remark(place, "id-reused", f"{name} {told}", "Give the rule an id of its own.", rules=(name,))
        for name, place in own.items()
        if name in taken
    ]


def _is_own(place: Place, path: Path) -> bool:
    """Whether a rule stands in this file or folder, and not in a layer below."""
    return path.is_dir() or place.file == path.name


def _is_written(name: str, path: Path) -> bool:
    """Whether a rule of this rulebook is called so in its text, readable or not."""
    spelt = re.escape(name).replace(r"\-", "[-_ ]")
    called = re.compile(rf"\brule:\s*[\"']?{spelt}(?![\w-])".encode(), re.IGNORECASE)
    files = sorted((path / "rules").glob("*.y*ml")) if path.is_dir() else [path]
    return any(called.search(each.read_bytes()) for each in files)

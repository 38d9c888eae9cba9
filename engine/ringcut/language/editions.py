"""Which rulebook is in force on a day: one file has one edition, a folder of house files may have several.

A log is judged by the edition in force on its day, a plan by the day it is judged for. Before the first edition of a
house rulebook the layer below holds.
"""

from __future__ import annotations

from pathlib import Path

import msgspec

from ringcut.language.house import HouseText, read_house
from ringcut.language.ir import Rulebook
from ringcut.language.layering import Layered, load_layers
from ringcut.reading.problems import Problem
from ringcut.reading.yamltext import load


class Edition(msgspec.Struct, frozen=True):
    """A house rulebook file and the day from which it is in force, ISO 8601."""

    path: Path
    in_force_from: str
    edition: str


def editions(path: Path) -> list[Edition]:
    """The editions of a house rulebook, oldest first: the file itself, and files beside it of the same rulebook."""
    own = _title(path)
    if own is None:
        return []
    found = [Edition(path, own.in_force_from.text, own.edition.text)]
    for other in sorted(path.parent.glob("*.y*ml")):
        title = _title(other) if other != path else None
        if title is not None and title.rulebook == own.rulebook:
            found.append(Edition(other, title.in_force_from.text, title.edition.text))
    return sorted(found, key=lambda each: (each.in_force_from, each.edition))


def _title(path: Path) -> HouseText | None:
    problems: list[Problem] = []
    data = path.read_bytes()
    if b"based-on" not in data:
        return None
    node = load(data, path.name, problems)
    house = read_house(node, problems) if node is not None else None
    return None if problems else house


class Shelf:
    """Rulebooks by day, each compiled once."""

    def __init__(self, path: Path, builtin: Path) -> None:
        self.path, self.builtin = path, builtin
        self.known = [] if path.is_dir() else editions(path)
        self._books: dict[tuple[Path, str], Layered] = {}

    def on(self, day: str) -> Rulebook:
        """The rulebook in force on a day (ISO 8601); :class:`Unreadable` where it cannot be read."""
        in_force = [each for each in self.known if each.in_force_from <= day]
        if not self.known:
            return self._load(self.path, day).book
        if in_force:
            return self._load(in_force[-1].path, day).book
        first = self.known[0]
        lower = self._load(self.builtin, day).book
        said = f"{first.path.name} is in force only from {first.in_force_from}; judged by {lower.name}"
        return msgspec.structs.replace(lower, aloud=(*lower.aloud, said))

    def _load(self, path: Path, day: str) -> Layered:
        key = (path, day if self.known else "")
        if key not in self._books:
            self._books[key] = load_layers(path, self.builtin, day)
        return self._books[key]

"""Which rulebook is in force on a day: one file has one edition, a folder of house files may have several.

A log is judged by the edition in force on its day, a plan by the day it is judged for. Before the first edition of a
house rulebook the layer below holds.
"""

from __future__ import annotations

import hashlib
from pathlib import Path

import msgspec

from ringcut.language.house import HouseText, read_house
from ringcut.language.ir import Rulebook
from ringcut.language.store import digest, layer_below, load_rulebook
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


FOR_EVER = "9999-12-31"
"""The last day of changes that do not expire."""


def expiries(path: Path, builtin: Path) -> tuple[str, ...]:
    """The days, ISO 8601, to whose end a change of a house file or of a layer below it is in force; in order."""
    found: set[str] = set()
    seen: set[Path] = set()
    while not path.is_dir() and path.resolve() not in seen:
        seen.add(path.resolve())
        house = _title(path)
        found |= {change.said("expires") for change in house.change} if house is not None else set()
        path = layer_below(path, builtin)
    return tuple(sorted(found - {""}))


class Shelf:
    """Rulebooks by day; ``path`` is a folder or a house file, None the built-in folder. ``cache``: see
    ``store.load_rulebook``."""

    def __init__(self, path: Path | None, builtin: Path, cache: Path | None = None) -> None:
        self.path, self.builtin, self.cache = path or builtin, builtin, cache
        self.known = [] if self.path.is_dir() else editions(self.path)
        self._books: dict[tuple[Path, str], Rulebook] = {}
        self._ends: dict[Path, tuple[str, ...]] = {}

    @property
    def digest(self) -> str:
        """Over every edition that may be in force on some day, without compiling one."""
        paths = [each.path for each in self.known] or [self.path]
        return hashlib.sha256("".join(digest(each, self.builtin) for each in paths).encode()).hexdigest()

    def on(self, day: str) -> Rulebook:
        """The rulebook in force on a day, ISO 8601; before the first edition the built-in one, which is told."""
        if not self.known:
            return self._load(self.path, "" if self.path.is_dir() else day)
        in_force = [each for each in self.known if each.in_force_from <= day]
        if in_force:
            return self._load(in_force[-1].path, day)
        first = self.known[0]
        lower = self._load(self.builtin, "")
        said = f"{first.path.name} is in force only from {first.in_force_from}; judged by {lower.name}"
        return self._books.setdefault(
            (first.path, "before"), msgspec.structs.replace(lower, aloud=(*lower.aloud, said))
        )

    def _load(self, path: Path, day: str) -> Rulebook:
        key = (path, self._last_day_alike(path, day) if day else "")
        if key not in self._books:
            self._books[key] = load_rulebook(path, self.cache, builtin=self.builtin, as_of=key[1])
        return self._books[key]

    def _last_day_alike(self, path: Path, day: str) -> str:
        """The last day on which the same changes are in force as on a day: one rulebook does for all of them."""
        if path not in self._ends:
            self._ends[path] = expiries(path, self.builtin)
        return next((end for end in self._ends[path] if day <= end), FOR_EVER)

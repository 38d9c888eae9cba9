"""Which rulebook is in force on a day: one file has one edition, a folder of house files may have several.

A log is judged by the edition in force on its day, a plan by the day it is judged for. Before the first edition of a
house rulebook the layer below holds.
"""

from __future__ import annotations

import hashlib
from itertools import pairwise
from pathlib import Path

import msgspec

from ringcut.language.house import HouseText, read_house
from ringcut.language.ir import Rulebook
from ringcut.language.store import digest, layer_below, load_rulebook
from ringcut.reading.problems import NOWHERE, Place, Problem, Unreadable
from ringcut.reading.yamltext import load


class Edition(msgspec.Struct, frozen=True):
    """A house rulebook file and the day from which it is in force, ISO 8601."""

    path: Path
    in_force_from: str
    edition: str
    place: Place = NOWHERE
    """Where its day stands."""


def editions(path: Path) -> list[Edition]:
    """The editions of a house rulebook, oldest first: the file itself, and files beside it of the same rulebook.

    Raises :class:`Unreadable` where two are in force from one day, or a file beside it cannot be read: nobody could
    say then by which a log is judged.
    """
    problems: list[Problem] = []
    found = _beside(path, problems)
    problems += same_day(found)
    if problems:
        raise Unreadable(problems)
    return found


def _beside(path: Path, problems: list[Problem]) -> list[Edition]:
    wrong: list[Problem] = []
    own = _title(path, wrong)
    if own is None or wrong:
        return []
    found = []
    for each in sorted({path, *path.parent.glob("*.y*ml")}):
        told: list[Problem] = []
        title = own if each == path else _title(each, told)
        if title is not None and title.rulebook == own.rulebook:
            problems += told
            found.append(Edition(each, title.in_force_from.text, title.edition.text, title.in_force_from.place))
    return sorted(found, key=lambda each: (each.in_force_from, each.edition))


def same_day(found: list[Edition]) -> list[Problem]:
    """Editions of one rulebook that are in force from one day, each told with the other."""
    return [
        Problem(
            two.place,
            f"{one.path.name} is an edition of the same rulebook, in force from {two.in_force_from} too",
            "one edition a day",
            "give one another day or another name, or move it into another folder",
        )
        for one, two in pairwise(found)
        if one.in_force_from == two.in_force_from
    ]


def days_alike(path: Path) -> list[Problem]:
    """As :func:`same_day`, for the editions of which a file is one; files that cannot be read are passed over."""
    return same_day(_beside(path, []))


def _title(path: Path, problems: list[Problem]) -> HouseText | None:
    """The house rulebook of a file as far as it can be read; None where it is none."""
    data = path.read_bytes()
    if b"based-on" not in data:
        return None
    node = load(data, path.name, problems)
    return read_house(node, problems) if node is not None else None


FOR_EVER = "9999-12-31"
"""The last day of changes that do not expire."""


def expiries(path: Path, builtin: Path) -> tuple[str, ...]:
    """The days, ISO 8601, to whose end a change of a house file or of a layer below it is in force; in order."""
    found: set[str] = set()
    seen: set[Path] = set()
    while not path.is_dir() and path.resolve() not in seen:
        seen.add(path.resolve())
        house = _title(path, [])
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

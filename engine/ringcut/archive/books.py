"""The rulebook of a day: a folder has one, a house file has editions. Compiled ones are kept between runs."""

from __future__ import annotations

import hashlib
from pathlib import Path

import msgspec

from ringcut.language.editions import editions
from ringcut.language.ir import Rulebook
from ringcut.language.store import digest, load_rulebook


class DatedBooks:
    """Rulebooks by day; ``path`` is a folder or a house file, None the built-in folder. ``cache``: see
    ``store.load_rulebook``."""

    def __init__(self, path: Path | None, builtin: Path, cache: Path | None) -> None:
        self.path, self.builtin, self.cache = path or builtin, builtin, cache
        self.known = [] if self.path.is_dir() else editions(self.path)
        self._books: dict[tuple[Path, str], Rulebook] = {}

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
        key = (path, day)
        if key not in self._books:
            self._books[key] = load_rulebook(path, self.cache, builtin=self.builtin, as_of=day)
        return self._books[key]

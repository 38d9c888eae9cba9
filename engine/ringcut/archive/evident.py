"""Whether words of a crew speak of a known name: by whole words or their beginnings, and never by letters alone.

``Dia`` is one letter from ``dig`` and has nothing to do with it; ``AIR`` stands in ``air on`` and in much besides. So
most words of the name have to be there, and most of the crew's words have to be of the name.
"""

from __future__ import annotations

from collections.abc import Iterable

from ringcut.reading.suggest import canonical, near

_STEM = 4
"""Letters by which two forms of a word are one, as repaired and repair."""
_SHORT = 3
"""Letters of an abbreviation, at least."""
_SMALL = frozenset(["a", "an", "the", "of", "and", "is", "it", "ok", "done"])


_TURNS = frozenset(["away", "back", "down", "in", "off", "out", "removed", "restored", "stopped", "up"])
"""Words that turn what is done: cones are set, and cones away are not."""


def turned(text: str, name: str) -> bool:
    """Whether a text has a word that turns what is done, and the name has not."""
    return not _TURNS.isdisjoint(set(canonical(text).split("-")) - set(canonical(name).split("-")))


def evident(text: str, names: Iterable[str]) -> bool:
    """Whether a text speaks of something that is called by one of the names."""
    said = _words(text)
    return any(_same(said, _words(name)) for name in names)


def _same(said: list[str], name: list[str]) -> bool:
    there = [each for each in name if any(_is(word, each) for word in said)]
    used = [word for word in said if any(_is(word, each) for each in name)]
    if not there or 2 * len(used) < len(said):
        return False
    begun = len(said) > 1 and 2 * len(there) == len(name) and _is(said[0], name[0])
    return begun or 2 * len(there) > len(name)


def _is(word: str, known: str) -> bool:
    """Whether a word is a known one, another form of it, its beginning, or it with a slip of the pen."""
    if word == known:
        return True
    if len(word) >= _SHORT and known.startswith(word):
        return True
    if len(word) >= _STEM and len(known) >= _STEM and word[:_STEM] == known[:_STEM]:
        return True
    return len(word) > _STEM and near(word, [known]) is not None


def _words(text: str) -> list[str]:
    words = [word.strip(".,:;?!()\"'") for word in canonical(text).split("-")]
    words = [word for word in words if word]
    return [word for word in words if word not in _SMALL] or words

"""Sayings of a crew with a place for a text in them: ``Perm bond - bar {clock} oclk``."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import lru_cache

from ringcut.archive.columns import fold, squeeze

_PLACE = re.compile(r"\{([a-z][a-z0-9-]*)\}")
_LONGEST = 300
_MOST_PLACES = 4


def places(template: str) -> list[str]:
    """The names between braces, in order."""
    return _PLACE.findall(template)


@lru_cache(maxsize=2048)
def _pattern(template: str) -> re.Pattern[str]:
    parts = _PLACE.split(fold(template))
    names = parts[1::2]
    if len(names) > _MOST_PLACES or len(set(names)) < len(names):
        parts, names = [fold(template)], []  # told by the check of the column file
    made = re.escape(parts[0])
    for number, text in enumerate(parts[2::2]):
        made += f"(?P<p{number}>\\S(?:.*?\\S)??){re.escape(text)}"
    return re.compile(made.replace(r"\ ", r"\s*"), re.IGNORECASE)


def match(template: str, text: str) -> dict[str, str] | None:
    """The texts at the places of ``template``, if ``text`` says it; letter case and blanks do not matter."""
    if len(text) > _LONGEST:
        return None
    found = _pattern(template).fullmatch(squeeze(text))
    if not found:
        return None
    return dict(zip(places(fold(template)), (part.strip() for part in found.groups()), strict=False))


def fill(template: str, texts: Mapping[str, str]) -> str:
    """``template`` with the texts at its places; a place without a text stays as it is."""
    return _PLACE.sub(lambda place: texts.get(place[1], place[0]), template)


def shape(template: str) -> str:
    """The template with its letters and blanks as they are compared, whatever its places are called."""
    return _PLACE.sub("{}", fold(template))


def fixed(template: str) -> bool:
    """There is no place in it."""
    return not _PLACE.search(template)

"""Readings that words tell without a number: ``outer`` of the volume that was read, ``by hand`` of how it was cool."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from ringcut.archive.lexicon import Lexicon
from ringcut.reading.suggest import canonical

_DENIED = frozenset(["no", "not", "non", "never", "without", "n't"])


def said_words(text: str, steps: Sequence[str], lexicon: Lexicon, known: Collection[str] = ()) -> dict[str, str]:
    """Readings of some steps by name, each with its one choice, or the ``yes``, that stands in a text; none of
    ``known``, and none where the text denies something."""
    words = tuple(word.strip(".,:;?!()\"'") for word in canonical(text).split("-"))
    if _DENIED.intersection(words):
        return {}
    found: dict[str, str] = {}
    for word in (each for step in steps for each in lexicon.readings_of(step) if each.name not in known):
        named = any(_stands_in(words, each) for each in (word.name, *word.also))
        told = [each for each in word.choices if _stands_in(words, each)]
        if word.kind == "yes-no" and named:
            told = ["yes"]
        if len(told) == 1:
            found.setdefault(word.name, told[0])
    return found


def shown_words(readings: Mapping[str, str]) -> str:
    """Such readings as an answer has them."""
    return "; ".join(f"{name} = {value}" for name, value in readings.items())


def _stands_in(words: Sequence[str], name: str) -> bool:
    wanted = tuple(canonical(name).split("-"))
    return any(tuple(words[at : at + len(wanted)]) == wanted for at in range(len(words) - len(wanted) + 1))

"""Names as people write them: one spelling for all, and "did you mean" for a near miss.

Rather nothing than something silly: a suggestion needs few wrong letters, or the same words in another order,
or words that only one known name has together.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from functools import lru_cache

__all__ = ["canonical", "near"]

_READY = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")
_BETWEEN = re.compile(r"[\s_\-\u2010-\u2013]+")
_SMALL_WORDS = frozenset(["a", "an", "the", "of", "and", "to", "for", "in", "on", "is"])


@lru_cache(maxsize=8192)
def canonical(name: str) -> str:
    """The kebab-case spelling: ``Open Manhole``, ``open_manhole`` and ``open-manhole`` are one name."""
    if _READY.fullmatch(name):
        return name
    return _BETWEEN.sub("-", name.strip().lower().strip())


def near(name: str, known: Iterable[str], synonyms: Mapping[str, str] = {}) -> str | None:
    """The known name that was probably meant, or None.

    ``synonyms`` maps other words of the trade to known names. The order of ``known`` does not matter: two
    names equally near are no suggestion.
    """
    names = {canonical(word): word for word in sorted(known, reverse=True)}
    meant = {canonical(word): target for word, target in sorted(synonyms.items(), reverse=True)}
    return _nearest(canonical(name), tuple(sorted({**meant, **names}.items())))


@lru_cache(maxsize=1024)
def _nearest(name: str, names: tuple[tuple[str, str], ...]) -> str | None:
    if not name or len(name) > 80:
        return None
    for known, target in names:
        if known == name:
            return target
    letters: dict[str, int] = {}
    words: dict[str, int] = {}
    parts: dict[str, int] = {}
    beginnings = {known.split("-")[0] for known, _ in names}
    for known, target in names:
        wrong = _edits(name, known, _allowed(name))
        if wrong is None and _stem(name, known):
            wrong = _allowed(name)
        if wrong is not None:
            letters[target] = min(wrong, letters.get(target, wrong))
        elif found := _same_words(name, known):
            wrong, rest, more = found
            if name.split("-", maxsplit=1)[0] in beginnings.intersection(more):
                continue  # begun by what is done, which the known name does not say
            into = parts if rest else words
            into[target] = min(wrong, into.get(target, wrong))
    for costs in (letters, words):
        if costs:
            best = sorted(costs, key=lambda target: (costs[target], target))
            return best[0] if len(best) == 1 or costs[best[0]] < costs[best[1]] else None
    return next(iter(parts)) if len(parts) == 1 else None


def _stem(name: str, known: str) -> bool:
    """One is the beginning of the other, as sort of sorted."""
    few, many = sorted((name, known), key=len)
    return len(few) >= 4 and many.startswith(few) and len(many) - len(few) <= 3


def _same_words(name: str, known: str) -> tuple[int, int, list[str]] | None:
    """Wrong letters, words too many or few, and those too many, where all words of the shorter stand in the other.

    What is too many must not be left out where it begins by saying what is done: ``remove temp bond`` is no
    ``temp bond``.
    """
    found = _words(name, "")
    words = _words(known, name)
    few, many = (found, words) if len(found) <= len(words) else (words, found)
    if not few or (few is words and 2 * len(few) < len(many)) or len(many) - len(few) > 2:
        return None
    left, total = list(many), 0
    for word in few:
        counts = [_word_edits(word, other) for other in left]
        fits = [(wrong, at) for at, wrong in enumerate(counts) if wrong is not None]
        if not fits:
            return None
        wrong, at = min(fits)
        total += wrong
        left.pop(at)
    return total, len(left), left if few is words else []


def _word_edits(word: str, other: str) -> int | None:
    """Wrong letters of a word; of another form of it, as form of formed, one."""
    wrong = _edits(word, other, _allowed(word))
    return 1 if wrong is None and _stem(word, other) else wrong


def _words(name: str, keep: str) -> list[str]:
    """The words of a name; small words count only where no others are, or as ``keep``."""
    words = [word for word in name.split("-") if word]
    return [word for word in words if word not in _SMALL_WORDS or word == keep] or words


def _allowed(word: str) -> int:
    """How many wrong letters pass in a word of this length."""
    return 0 if len(word) < 3 else 1 if len(word) < 7 else 2 if len(word) < 12 else 3


def _edits(one: str, other: str, most: int) -> int | None:
    """Letters to insert, delete, replace or swap to make one of the other; None above ``most``."""
    if one == other:
        return 0
    if abs(len(one) - len(other)) > most:
        return None
    above: list[int] = []
    row = list(range(len(other) + 1))
    for i, letter in enumerate(one, 1):
        above, last, row = row, above, [i]
        for j, target in enumerate(other, 1):
            cost = min(above[j] + 1, row[j - 1] + 1, above[j - 1] + (letter != target))
            if i > 1 and j > 1 and letter == other[j - 2] and one[i - 2] == target:
                cost = min(cost, last[j - 2] + 1)
            row.append(cost)
        if min(row) > most:
            return None
    return row[-1] if row[-1] <= most else None

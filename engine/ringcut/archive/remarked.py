"""Whether the remark of a row may tell a reading that is missing in it: a number, or the word for it."""

from __future__ import annotations

import re

from ringcut.archive.interview.saidwords import said_words
from ringcut.archive.lexicon import RulebookLexicon
from ringcut.language import ir
from ringcut.reading.kinds import KINDS
from ringcut.reading.measures import kinds_of_unit

_NONE = frozenset(["no", "none", "zero"])


def may_tell(remark: str, step: str, reading: str, book: ir.Rulebook) -> bool:
    """Whether a remark that nobody has read has a number where a number is missing, or a word of the reading; a number
    with a unit tells nothing of another kind."""
    word = book.steps[step].readings.get(reading) if step in book.steps else None
    if not remark.strip() or word is None:
        return False
    if word.kind in KINDS:
        none = word.kind == "count" and not _NONE.isdisjoint(remark.casefold().split())
        kinds = [kinds_of_unit(unit) for unit in _NUMBER.findall(remark)]
        return none or any(not each or word.kind in each for each in kinds)
    return reading in said_words(remark, (step,), RulebookLexicon(book))


_NUMBER = re.compile(r"\d[\d.,/-]*\s*([^\W\d_]+|[%\"'\u00b0\u2033]?)")
"""A number and the word behind it, which may be its unit."""

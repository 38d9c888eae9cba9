"""Whether the remark of a row may tell a reading that is missing in it: a number, or the word for it."""

from __future__ import annotations

from ringcut.archive.interview.saidwords import said_words
from ringcut.archive.lexicon import RulebookLexicon
from ringcut.language import ir
from ringcut.reading.kinds import KINDS

_NONE = frozenset(["no", "none", "zero"])


def may_tell(remark: str, step: str, reading: str, book: ir.Rulebook) -> bool:
    """Whether a remark that nobody has read has a number where a number is missing, or a word of the reading."""
    word = book.steps[step].readings.get(reading) if step in book.steps else None
    if not remark.strip() or word is None:
        return False
    if word.kind in KINDS:
        none = word.kind == "count" and not _NONE.isdisjoint(remark.casefold().split())
        return none or any(map(str.isdigit, remark))
    return reading in said_words(remark, (step,), RulebookLexicon(book))

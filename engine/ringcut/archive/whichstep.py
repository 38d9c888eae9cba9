"""Words of a sheet that several steps share, settled by the job: «scuffed» is another step on lead and polyethylene.

A sheet is read before its job is known, so such a word stands for the first of its steps until here. What the column
file says of a word is said, and is left alone; it may say such a word itself. Where the job does not decide, the entry
is not taken, and asked about.
"""

from __future__ import annotations

import msgspec

from ringcut.archive.columns import fold
from ringcut.archive.ledger import NotTaken
from ringcut.archive.logs import ReadLog
from ringcut.archive.templates import match
from ringcut.language import ir
from ringcut.reading.phrase import Phrase
from ringcut.reading.raw import RawGroup, RawProcedure, RawStep
from ringcut.reading.suggest import canonical
from ringcut.relations.meant import meant
from ringcut.relations.resolve import resolve
from ringcut.relations.view import View


def settled(log: ReadLog, book: ir.Rulebook) -> tuple[ReadLog, tuple[NotTaken, ...]]:
    """The log with the steps that are meant, and the entries of which it cannot be said."""
    view: View | None = None
    steps: list[RawStep | RawGroup] = []
    refused = []
    for step in log.raw.steps:
        word = _shared_word(step, log, book)
        if not isinstance(step, RawStep) or not word:
            steps.append(step)
            continue
        view = view or View(resolve(RawProcedure("log", job=log.raw.job), book, []), book)
        sides = tuple(canonical(each.text).upper() for each in step.side) or view.sides
        found = meant(word, sides, view)
        if len(found) == 1:
            steps.append(msgspec.structs.replace(step, do=Phrase(found[0], step.do.place)))
        else:
            refused.append(_not_taken(step, log, found))
    raw = msgspec.structs.replace(log.raw, steps=tuple(steps))
    changed: ReadLog = msgspec.structs.replace(log, raw=raw)
    return changed, tuple(refused)


def _shared_word(step: RawStep | RawGroup, log: ReadLog, book: ir.Rulebook) -> str:
    """The word of a task cell, where several steps have it and the column file says this word, or nothing of it."""
    if not isinstance(step, RawStep) or not step.do.place.letter:
        return ""
    if canonical(step.do.text) in book.shared:
        return canonical(step.do.text)
    text = log.texts.get(f"{step.do.place.line}:{step.do.place.letter}", "")
    word = canonical(text)
    if canonical(step.do.text) not in book.shared.get(word, ()):
        return ""
    said = any(fold(each) == fold(text) or match(each, text) is not None for each in log.sayings)
    return "" if said else word


def _not_taken(step: RawStep, log: ReadLog, found: tuple[str, ...]) -> NotTaken:
    place = step.do.place
    text = log.texts[f"{place.line}:{place.letter}"]
    says = f"may be {' or '.join(found)}, and the job does not say which"
    return NotTaken("task", place, text, says, "Which of them?")

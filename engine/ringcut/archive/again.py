"""Questions that are asked a second time say what was answered, and why it was not taken."""

from __future__ import annotations

from collections.abc import Iterable

import msgspec

from ringcut.archive.given import Given
from ringcut.archive.ledger import clipped
from ringcut.archive.logs import Answered, ReadLog
from ringcut.archive.parts import alike_of, answered
from ringcut.archive.results import Ask, Note, Wanted


def asked_again(asks: Iterable[Ask], given: Given) -> tuple[Ask, ...]:
    """The questions of a log; one of which an answer was not taken begins with that answer."""
    refused = {each.where for each in given.not_taken}
    lost = [each for each in given.log.answered if each.says or f"{each.row}:{each.column}" in refused]
    return tuple(_again(ask, lost) for ask in asks)


def _again(ask: Ask, lost: Iterable[Answered]) -> Ask:
    told = {each.said.text: each.says for each in lost if any(_is_of(each, wanted) for wanted in ask.wants)}
    if not told:
        return ask
    said = " ".join(
        f'The answer "{clipped(text)}" was not taken' + (f": {why.rstrip('.')}." if why else ".")
        for text, why in told.items()
    )
    changed: Ask = msgspec.structs.replace(ask, question=f"{said} {ask.question}")
    return changed


def _is_of(answered: Answered, wanted: Wanted) -> bool:
    if answered.reading or wanted.reading:
        return (answered.step, answered.reading, answered.side) == (wanted.step, wanted.reading, wanted.side)
    return (answered.row, answered.column) == (wanted.row, wanted.column)


def not_taken_answers(log: ReadLog) -> tuple[Note, ...]:
    """The answers that were none, each once, with where they stand."""
    told = {each.said: each for each in reversed(log.answered) if each.says}
    return tuple(
        Note(
            each.row,
            each.column,
            said.text,
            f"answered in {said.place}, and not taken: {each.says.rstrip('.')}",
            "answer",
        )
        for said, each in reversed(told.items())
    )


def kept_beside(kept: Iterable[Ask], asks: Iterable[Ask]) -> tuple[Ask, ...]:
    """What was answered, without what is asked again: an answer that was not taken must not stand beside its question.

    Of an answer to several things the other parts stay.
    """
    again = {_key(ask, wanted) for ask in asks for wanted in ask.wants}
    found = []
    for each in kept:
        parts = answered(each.answer, each.wants, alike_of(each.wants))
        said = parts if isinstance(parts, tuple) else ()
        left = ["" if _key(each, one) in again else text for one, text in zip(each.wants, said, strict=False)]
        if any(left):
            whole = left == list(said)
            answer = each.answer if whole else "; ".join(text or "?" for text in left)
            found.append(msgspec.structs.replace(each, answer=answer))
    return tuple(found)


def _key(ask: Ask, wanted: Wanted) -> tuple[object, ...]:
    return ask.file, ask.sheet, wanted.row, wanted.column, wanted.step, wanted.reading, wanted.side

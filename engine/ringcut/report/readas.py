"""What was read although it was written in an unusual form: said aloud, so that a wrong reading is seen.

Answers that other YAML readers take for something else (yes, no), clock angles, other words for a step or a choice, and
comments that look as if they held a value.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

import msgspec

from ringcut.language import ir
from ringcut.reading.measures import Refusal, read_measure, show
from ringcut.reading.phrase import Phrase
from ringcut.reading.raw import RawGroup, RawProcedure, RawReading, RawStep
from ringcut.reading.suggest import canonical
from ringcut.reading.yamlslips import comments_with_numbers


class ReadAs(msgspec.Struct, frozen=True):
    """A name, what was typed, and what it was taken for (empty: taken as typed); ``kind`` says why it is told."""

    line: int
    kind: str
    """``yes-no``, ``clock``, ``word`` or ``comment``."""
    name: str
    typed: str
    taken: str = ""


def read_as(raw: RawProcedure, data: bytes, book: ir.Rulebook) -> tuple[ReadAs, ...]:
    """What is worth saying of a procedure as typed, in the order of the file, a thing said once."""
    found = [*_facts(raw, book), *_steps(raw, book)]
    found += [
        ReadAs(comment.place.line, "comment", "", comment.text)
        for comment in comments_with_numbers(data, raw.place.file)
    ]
    once: dict[tuple[str, str, str], ReadAs] = {}
    for each in found:
        once.setdefault((each.kind, each.name, each.typed), each)
    return tuple(sorted(once.values(), key=lambda each: each.line))


def _facts(raw: RawProcedure, book: ir.Rulebook) -> Iterator[ReadAs]:
    for given in raw.job:
        word = book.facts.get(canonical(given.name.text))
        if word is not None:
            yield from _values(given, word)


def _steps(raw: RawProcedure, book: ir.Rulebook) -> Iterator[ReadAs]:
    for step in _flat(raw.steps):
        typed = canonical(step.do.text)
        name = book.synonyms.get(typed, typed)
        # which step a shared word means is told by the step that findings name
        if name != typed and name in book.steps and typed not in book.shared:
            yield ReadAs(step.do.place.line, "word", "", step.do.text, name)
        for given in step.readings:
            word = book.steps[name].readings.get(canonical(given.name.text)) if name in book.steps else None
            if word is not None:
                yield from _values(given, word)


def _flat(items: tuple[RawStep | RawGroup, ...]) -> Iterator[RawStep]:
    for item in items:
        if isinstance(item, RawGroup):
            for branch in item.branches:
                yield from _flat(branch)
        else:
            yield item


def _values(given: RawReading, word: ir.Word) -> Iterator[ReadAs]:
    for phrase in (*((given.value,) if given.value else ()), *(value for _, value in given.sides), *given.items):
        said = _value(phrase, word)
        if said is not None:
            yield said


def _value(phrase: Phrase, word: ir.Word) -> ReadAs | None:
    typed, line = phrase.text, phrase.place.line
    if word.kind == "yes-no" and phrase.plain and canonical(typed) in ("yes", "no"):
        return ReadAs(line, "yes-no", word.name, typed)
    if word.kind == "angle" and re.search(r"\d{1,2}:\d{2}", typed):
        measure = read_measure(typed, "angle")
        if not isinstance(measure, Refusal) and measure.low is not None:
            return ReadAs(line, "clock", word.name, typed, show(measure.low, "angle", "deg"))
    taken = word.reads_as.get(canonical(typed), "")
    return ReadAs(line, "word", word.name, typed, taken) if taken else None

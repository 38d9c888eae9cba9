"""Interviews about damaged sheets, with answers of every kind: what is written is always read back as it was meant."""

from __future__ import annotations

import random
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from ringcut.archive.columnfile import read_columns
from ringcut.archive.interview.columntext import text_of
from ringcut.archive.interview.course import interview, needs_none
from ringcut.archive.interview.draft import Draft
from ringcut.archive.interview.question import NotAnAnswer, Note, Question
from ringcut.archive.lexicon import RulebookLexicon
from ringcut.archive.tables import read_tables
from ringcut.reading.problems import Unreadable

SHEETS = ("contractor-c.csv", "long-d.csv", "ticks-e.tsv", "own-form.csv")
TYPED = [
    "", "none", "yes", "no", "A", "done", "open-sheath", "note", "reference", "5 in", ">1000 megohm", "12", ";",
    "=", "month-first", "milestones", "test-atmosphere.combustible-gas", "duration = {n} min", "x; y", "each", "value",
]  # fmt: skip


def damaged(body: bytes, chance: random.Random) -> bytes:
    """Bytes lost, changed, put in, or said twice."""
    for _ in range(chance.randrange(3)):
        at = chance.randrange(len(body))
        way = chance.randrange(4)
        if way == 0:
            body = body[:at] + body[at + chance.randrange(1, 200) :] or b"x"
        elif way == 1:
            body = body[:at] + bytes([chance.randrange(256)]) + body[at + 1 :]
        elif way == 2:
            body = body[:at] + chance.choice([b'"', b"\0", b";", b"\n", b"x" * 3000]) * 3 + body[at:]
        else:
            body = body[:at] + body[max(0, at - 300) :]
    return body


def answered(question: Question, chance: random.Random) -> Any:
    """One of a few answers that the question takes, its guess, or not known."""
    for said in [*chance.sample(TYPED, 6), question.guess]:
        try:
            return question.check(said) if said else None
        except NotAnAnswer as error:
            assert str(error)
    return None


@pytest.mark.parametrize("seed", range(60))
def test_a_damaged_sheet(seed: int, data: Path, lexicon: RulebookLexicon) -> None:
    chance = random.Random(seed)
    answers: Callable[[Question], Any] = chance.choice(
        [lambda question: None, lambda question: answered(question, chance)]
    )
    body = damaged((data / chance.choice(SHEETS)).read_bytes(), chance)
    try:
        tables = read_tables(body, "sheet.csv")
    except Unreadable as error:
        assert error.problems
        return
    needs_none(tables, lexicon)
    draft = Draft()
    talk = interview(tables, draft, lexicon)
    step = next(talk)
    with pytest.raises(StopIteration):
        while True:
            step = talk.send(None if isinstance(step, Note) else answers(step))
    try:
        assert read_columns(text_of(draft, ["made"]).encode(), "columns.yaml", lexicon) == draft.spec
    except Unreadable as error:
        # nobody said which column has what was done, and nothing but that is wrong
        assert {each.found.startswith("no column holds") for each in error.problems} == {True}

"""A word that several steps share means the one that the job leaves; where it leaves several, nothing is read."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from ringcut.checking import read
from ringcut.language.ir import Rulebook
from ringcut.reading.problems import Unreadable

VOCABULARY = """\
facts: {reference: {kind: text, says: the job}, coat: {choices: [wool, silk], per: side, says: what it wears}}
steps:
  brush-wool: {says: brush wool, also: [brush], meant-where: coat is wool, per: side}
  brush-silk: {says: brush silk, also: [brush, stroke], meant-where: coat is silk, per: side}
"""
RULES = "  - {rule: one, says: One., class: minor, include: brush-wool}\n"


@pytest.fixture(scope="module")
def book(compiled: Callable[[str, str], Rulebook]) -> Rulebook:
    return compiled(VOCABULARY, RULES)


def steps(book: Rulebook, coat: str, step: str) -> list[str]:
    job = f"job: {{coat: {coat}}}\n" if coat else ""
    text = f"procedure: plan\n{job}steps: [{step}]\n"
    return [each.step for each in read(text.encode(), "p.yaml", book).occurrences]


@pytest.mark.parametrize(
    ("coat", "step", "meant"),
    [
        ("wool", "brush", "brush-wool"),
        ("silk", "brush", "brush-silk"),
        ("silk", "Brush", "brush-silk"),
        ("wool", "stroke", "brush-silk"),
        ("wool", "brush-silk", "brush-silk"),
        ("{A: wool, B: silk}", "{do: brush, side: B}", "brush-silk"),
        ("{A: wool, B: silk}", "{do: brush, side: A}", "brush-wool"),
    ],
)
def test_the_job_says_which(book: Rulebook, coat: str, step: str, meant: str) -> None:
    assert steps(book, coat, step) == [meant]


@pytest.mark.parametrize(("coat", "step"), [("", "brush"), ("{A: wool, B: silk}", "brush"), ("{A: wool}", "brush")])
def test_where_it_does_not_nothing_is_guessed(book: Rulebook, coat: str, step: str) -> None:
    with pytest.raises(Unreadable, match="brush may be brush-wool or brush-silk"):
        steps(book, coat, step)


def test_a_word_is_shared_only_where_every_step_says_where_it_is_meant(
    compiled: Callable[[str, str], Rulebook],
) -> None:
    with pytest.raises(Unreadable, match="«brush» means brush-silk and brush-wool"):
        compiled(VOCABULARY.replace(", meant-where: coat is silk", ""), RULES)
    with pytest.raises(Unreadable, match="«brush-wool» means brush-silk and brush-wool"):
        compiled(VOCABULARY.replace("also: [brush, stroke]", "also: [brush-wool]"), RULES)

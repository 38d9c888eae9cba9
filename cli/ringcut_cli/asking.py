"""Questions at a terminal for what a packet lacks and what still matters; every answer is checked at once."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from ringcut.draft.models import Job, Model
    from ringcut.draft.questions import Question
    from ringcut.language.ir import Rulebook


def asked(job: Job, not_known: Sequence[str], book: Rulebook, models: list[Model]) -> tuple[Job, list[str]]:
    """The facts with the answers, and those of which the answer is not known. Questions go to stderr."""
    from ringcut.draft.questions import open_questions, settled

    unknown = list(not_known)
    job = {**job, **settled(job, book, book.covers)}
    while questions := open_questions(job, book, models, unknown):
        question = questions[0]
        answer = _answer(question, job, book)
        if answer is None:
            unknown.append(question.fact)
        else:
            job = {**job, question.fact: answer}
            job = {**job, **settled(job, book, [name for name in book.covers if name not in unknown])}
    return job, unknown


def _answer(question: Question, job: Job, book: Rulebook) -> str | dict[str, str] | list[str] | None:
    from ringcut.draft.jobfacts import is_not_known, problems_of, said_as
    from ringcut.draft.models import HERE

    choices = (
        f" [{', '.join(question.choices)}]" if question.choices else f" [as 2.05 {question.unit}]" * bool(question.unit)
    )
    while True:
        typed = str(click.prompt(f"{question.fact}: {question.says}{choices}", err=True, prompt_suffix="\n> "))
        if is_not_known(typed):
            return None
        said = said_as(typed)
        problems = problems_of({**job, question.fact: said}, book, HERE)
        if not problems:
            return said
        for problem in problems:
            click.echo(f"  {problem.in_words}", err=True)

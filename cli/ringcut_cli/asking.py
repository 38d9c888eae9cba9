"""Questions at a terminal for what a packet lacks and what still matters; every answer is checked at once.

Whatever ends the questions, what was said is handed back, so that nobody has to say it again.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ringcut.archive.interview.question import Question as Asked
    from ringcut.draft.models import Job, Model
    from ringcut.draft.questions import Question
    from ringcut.language.ir import Rulebook

HELP = (
    "Answer a line at a time. ? means: not known; the plan then keeps place for every case. "
    "back goes to the question before. Ctrl-C stops, and tells how to go on."
)


class Halted(Exception):
    """The questions were not answered to their end. ``stopped``: by the person, else the answers were used up."""

    def __init__(self, job: Job, not_known: Sequence[str], stopped: bool) -> None:
        super().__init__("the questions were not answered to their end")
        self.job, self.not_known, self.stopped = job, tuple(not_known), stopped


def asked(job: Job, not_known: Sequence[str], book: Rulebook, models: list[Model]) -> tuple[Job, list[str]]:
    """The facts with the answers, and those of which the answer is not known. Questions go to stderr. Raises Halted."""
    from ringcut.draft.questions import open_questions, settled
    from ringcut_cli.audit.terminal import Back, Ended, Terminal, can_answer
    from ringcut_cli.shown.page import err

    unknown = list(not_known)
    before: list[tuple[Job, list[str]]] = []
    terminal = Terminal(HELP, "back")
    while questions := open_questions(
        {**job, **settled(job, book, [name for name in book.covers if name not in unknown])}, book, models, unknown
    ):
        if not can_answer():
            raise Halted(job, unknown, stopped=False)
        fact = questions[0].fact
        try:
            answer = terminal.ask(_question(questions[0], job, book))
        except Back:
            if before:
                job, unknown = before.pop()
            else:
                err("  This is the first question.\n")
            continue
        except (Ended, KeyboardInterrupt) as end:
            raise Halted(job, unknown, stopped=isinstance(end, KeyboardInterrupt) or _at_terminal()) from None
        before.append((job, [*unknown]))
        if answer is None:
            unknown.append(fact)
        else:
            job = {**job, fact: answer}
    return {**job, **settled(job, book, [name for name in book.covers if name not in unknown])}, unknown


def _at_terminal() -> bool:
    import sys

    return sys.stdin.isatty()


def _question(question: Question, job: Job, book: Rulebook) -> Asked:
    """A question about a job fact as a terminal shows it."""
    from ringcut.archive.interview.question import NotAnAnswer
    from ringcut.archive.interview.question import Question as Asked
    from ringcut.draft.jobfacts import problems_of, said_as
    from ringcut.draft.models import HERE

    def check(text: str) -> str | dict[str, str] | list[str]:
        said = said_as(text)
        problems = problems_of({**job, question.fact: said}, book, HERE)
        if problems:
            raise NotAnAnswer(" ".join(problem.in_words for problem in problems))
        return said

    seen = [", ".join(question.choices)] if question.choices else []
    seen += [f"with its unit, as {question.example}"] if question.unit and question.example else []
    seen += ["where the ends differ: A lead, B polyethylene"] if question.per_side and question.choices else []
    return Asked(question.fact, f"{question.fact.replace('-', ' ')}: {question.says}", check, tuple(seen))

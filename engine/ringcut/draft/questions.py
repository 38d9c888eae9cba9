"""What still has to be asked about a job: only what the packet lacks and what still matters.

A fact matters while it decides which model procedure serves the job, whether the rulebook has rules for it,
which steps are there, or a length or size that has to be cut. What the vocabulary assumes where nothing is said
is not asked for.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator

import msgspec

from ringcut.draft.jobfacts import problems_of
from ringcut.draft.models import HERE, Job, Model, facts, job_view, serving
from ringcut.draft.planned import planned
from ringcut.judge.judge import judge_procedure
from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.reading.suggest import canonical
from ringcut.relations.evaluate import truth
from ringcut.relations.resolve import resolve
from ringcut.relations.spans import Missing
from ringcut.relations.truth import NO, UNKNOWN
from ringcut.relations.view import View

SIZING = "cable-diameter"
"""The fact that a sleeve is chosen by."""
OTHER_END = "second-diameter"
"""The fact that it is chosen by too, where the diameter changes under it."""


class Question(msgspec.Struct, frozen=True, rename="kebab"):
    """A fact to ask for; ``choices`` where it has some, those that cannot be left out."""

    fact: str
    says: str
    choices: tuple[str, ...] = ()
    unit: str = ""
    per_side: bool = False
    example: str = ""
    """As a model procedure's own job says it."""


def open_questions(
    job: Job, book: ir.Rulebook, models: list[Model], not_known: Collection[str] = ()
) -> tuple[Question, ...]:
    """The facts that still matter, in the order of the vocabulary; the first is to be asked next.

    None where no model procedure can be chosen for want of facts that are not known: there is no plan then.
    """
    view = job_view(facts(job, HERE), book, [], HERE)
    if hangs_on(view, models) & {*not_known} and not any(
        _can_be_asked(name, view, not_known) for name in hangs_on(view, models)
    ):
        return ()
    wanted = dict.fromkeys(name for name in _matter(job, view, models) if _can_be_asked(name, view, not_known))
    order = {name: position for position, name in enumerate(book.facts)}
    found = []
    for name in sorted(wanted, key=order.__getitem__):
        question = msgspec.structs.replace(
            _question(book.facts[name], job, book), example=_example(name, _undecided(view, models))
        )
        if len(question.choices) != 1:
            found.append(question)
    return tuple(found)


def settled(job: Job, book: ir.Rulebook, names: Iterable[str]) -> Job:
    """The facts among ``names`` that can only be one thing, because every other choice is impossible."""
    found: Job = {}
    for name in names:
        choices = _question(book.facts[name], {**job, **found}, book).choices
        if name not in job and len(choices) == 1:
            found[name] = choices[0]
    return found


def _can_be_asked(name: str, view: View, not_known: Collection[str]) -> bool:
    word = view.book.facts.get(name)
    if word is None or word.means is not None or word.otherwise or name in not_known or name == "month":
        return False
    return any(isinstance(view.fact(name, side), Missing) for side in view.sides)


def _question(word: ir.Word, job: Job, book: ir.Rulebook) -> Question:
    choices = word.choices or (("yes", "no") if word.kind == "yes-no" else ())
    able = [choice for choice in choices if not problems_of({**job, word.name: choice}, book, HERE)]
    return Question(word.name, word.says, tuple(able), word.unit, word.sided)


def _example(fact: str, models: list[Model]) -> str:
    texts = (
        each.value.text
        for model in models
        for each in model.raw.job
        if canonical(each.name.text) == fact and each.value
    )
    return next(texts, "")


def _undecided(view: View, models: list[Model]) -> list[Model]:
    return [model for model in models if any(truth(model.when, view, s).level != NO for s in view.sides)]


def hangs_on(view: View, models: list[Model]) -> set[str]:
    """The unknown facts that decide which of several model procedures serves a job."""
    if len(serving(models, view)) == 1:
        return set()
    return {name for model in _undecided(view, models) for name in _unknown_in(model.when, view)}


def _matter(job: Job, view: View, models: list[Model]) -> Iterator[str]:
    book = view.book
    for model in _undecided(view, models):
        yield from _unknown_in(model.when, view)
    yield from book.covers
    chosen = serving(models, view)
    if len(chosen) != 1:
        return
    for node in chosen[0].conditions.values():
        yield from _unknown_in(node, view)
    procedure = resolve(planned(chosen[0], job, book, []), book, [])
    if any(each.step == "select-sleeve" for each in procedure.occurrences):
        yield SIZING
    is_ramped = any(each.step == "ramp-transition" for each in procedure.occurrences)
    if is_ramped and "diameter-change" in job.get("special", ()):
        yield OTHER_END
    for finding in judge_procedure(procedure, book).findings:
        if finding.cause.startswith("fact "):
            yield finding.cause.split()[1]


def _unknown_in(node: n.Node, view: View) -> Iterator[str]:
    for side in view.sides:
        found = truth(node, view, side)
        if found.level == UNKNOWN:
            yield from (cause.what for cause in found.causes if cause.kind == "fact")

"""Which jobs the rulebook has rules for, which subjects apply, and which facts cannot stand together."""

from __future__ import annotations

from ringcut.language import ir
from ringcut.reading.problems import Problem
from ringcut.relations.evaluate import truth
from ringcut.relations.procedure import Procedure
from ringcut.relations.spans import Listed, Missing, Words
from ringcut.relations.truth import NO, YES
from ringcut.relations.view import View


def impossible(procedure: Procedure, book: ir.Rulebook) -> list[Problem]:
    """Combinations of job facts that cannot be: input errors, each with its reason."""
    view = View(procedure, book)
    found = []
    for each in book.impossible:
        if any(truth(each.when, view, side).level == YES for side in view.sides):
            places = [place for _, place in procedure.job_texts.values()]
            found.append(
                Problem(min(places, default=procedure.place), "these job facts cannot stand together", each.reason)
            )
    return found


def not_covered(view: View) -> list[str]:
    """Why the rulebook does not have the rules for this job, in words; empty where it has."""
    found = []
    for name, choices in view.book.covers.items():
        for side in view.sides:
            value = view.fact(name, side)
            if isinstance(value, Words) and len(value.options) == 1 and value.options[0] not in choices:
                found.append(f"{name} {value.options[0]}")
            if isinstance(value, Listed):
                found += [f"{name} {item}" for item in value.items if item not in choices]
    for gap in view.book.gaps:
        if gap.differs and not _differs(view, gap.differs):
            continue
        if any(truth(gap.when, view, side).level == YES for side in view.sides):
            found.append(gap.says)
    return list(dict.fromkeys(found))


def _differs(view: View, name: str) -> bool:
    """Whether the sides of the job are known to differ in a fact."""
    values = [view.fact(name, side) for side in view.sides]
    return not any(isinstance(value, Missing) for value in values) and len(set(values)) > 1


def unknown_cover(view: View) -> list[str]:
    """The facts that decide whether the rulebook covers the job and that the job does not give."""
    return [name for name in view.book.covers if any(isinstance(view.fact(name, side), Missing) for side in view.sides)]


def subjects_that_apply(view: View) -> list[str]:
    """The subjects that this job touches, in the rulebook's order."""
    return [
        name
        for name, subject in view.book.subjects.items()
        if subject.applies is None or any(truth(subject.applies, view, side).level != NO for side in view.sides)
    ]

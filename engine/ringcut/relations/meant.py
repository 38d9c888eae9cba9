"""A word that the trade has for several steps: which one is meant, is for the job to say."""

from __future__ import annotations

from ringcut.relations.evaluate import truth
from ringcut.relations.truth import NO, YES, Level
from ringcut.relations.view import View


def meant(word: str, sides: tuple[str, ...], view: View) -> tuple[str, ...]:
    """The steps that a shared word may mean on these sides of a job; one, where the job's facts leave no other.

    ``word`` stands in ``book.shared``. A step is meant where its ``meant-where`` holds on every side, and is out where
    it holds on none; between the two, or with a fact that is not given, it stays possible.
    """
    names = view.book.shared[word]
    levels = {name: _levels(name, sides, view) for name in names}
    sure = [name for name, found in levels.items() if found == {YES}]
    possible = [name for name, found in levels.items() if found != {NO}]
    return tuple(sure) if len(sure) == 1 and possible == sure else tuple(possible or names)


def _levels(name: str, sides: tuple[str, ...], view: View) -> set[Level]:
    where = view.book.steps[name].meant_where
    return {YES if where is None else truth(where, view, side).level for side in sides or ("",)}

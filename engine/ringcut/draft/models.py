"""Model procedures: for each kind of work a procedure whose steps say for which jobs they are there.

A model is YAML: ``procedure: model``, ``when`` (an expression over job facts) for the jobs it serves, and ``when`` on
steps.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType

import msgspec

from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.language.expressions import Scope, typed
from ringcut.reading.phrase import Phrase
from ringcut.reading.problems import Place, Problem, Unreadable
from ringcut.reading.procedurefile import read_raw
from ringcut.reading.raw import RawGroup, RawProcedure, RawReading, RawStep
from ringcut.reading.suggest import canonical
from ringcut.relations.evaluate import truth
from ringcut.relations.resolve import resolve
from ringcut.relations.truth import NO, YES
from ringcut.relations.view import View

Items = tuple[RawStep | RawGroup, ...]
Job = dict[str, str | dict[str, str] | list[str]]
"""Job facts as plain data: a text, a text a side, or a list of texts."""
Places = Mapping[str, tuple[Place, Place]]
"""Fact, or fact and side (``sheath A``) -> where its name and its value stand."""
NO_PLACES: Places = MappingProxyType({})
HERE = Place("the job's facts")
"""Where facts stand that are in no file."""


class Model(msgspec.Struct, frozen=True):
    """A model procedure as read; ``when``: the jobs it serves."""

    name: str
    raw: RawProcedure
    when: n.Node
    conditions: dict[str, n.Node]
    """The text of each step's ``when``, typed."""
    headings: dict[int, str] = {}
    """Line -> the comment that stands alone there: what the steps below it are about."""


def read_models(folder: Path, book: ir.Rulebook) -> list[Model]:
    """The model procedures of a rulebook folder, by file name; :class:`Unreadable` with every problem."""
    problems: list[Problem] = []
    models = []
    for path in sorted((folder / "procedures").glob("*.yaml")):
        data = path.read_bytes()
        raw = read_raw(data, f"{folder.name}/procedures/{path.name}", problems)
        if raw is not None:
            model = _model(path.stem, raw, book, problems)
            models.append(msgspec.structs.replace(model, headings=_headings(data)))
    if problems:
        raise Unreadable(problems)
    return models


def _model(name: str, raw: RawProcedure, book: ir.Rulebook, problems: list[Problem]) -> Model:
    scope = Scope(
        book.facts, tables=book.tables, values={key: value.text for key, value in book.values.items()}, used={}
    )
    served = raw.keys.get("when")
    when = typed(served, scope, problems) if served else n.ALWAYS
    conditions = {}
    for step in steps_of(raw.steps):
        if step.when is not None and step.when.text not in conditions:
            node = typed(step.when, scope, problems)
            if node is not None:
                conditions[step.when.text] = node
    work = raw.keys.get("work")
    if when is not None and work is not None:
        when = n.And((n.Is(n.Fact("work"), (canonical(work.text),)), when))
    return Model(name, raw, when if when is not None else n.ALWAYS, conditions)


def models_of(folder: Path | None, book: ir.Rulebook) -> list[Model]:
    """The model procedures that go with a rulebook: its folder's own; of a house rulebook those of the built-in one.

    A folder without any has none: others speak of steps and facts that it may not have.
    """
    from ringcut.rulebookfiles import builtin_rulebook

    if folder is not None and folder.is_dir():
        return read_models(folder, book)
    return read_models(builtin_rulebook(), book)


def _headings(data: bytes) -> dict[int, str]:
    lines = data.decode("utf-8", errors="replace").splitlines()
    return {at: line.strip(" #") for at, line in enumerate(lines, 1) if line.startswith("  #")}


def steps_of(items: Items) -> list[RawStep]:
    """Every step of a nested sequence, in list order."""
    found: list[RawStep] = []
    for item in items:
        if isinstance(item, RawGroup):
            for branch in item.branches:
                found += steps_of(branch)
        else:
            found.append(item)
    return found


def facts(job: Job, place: Place, places: Places = NO_PLACES) -> tuple[RawReading, ...]:
    """Job facts given as plain data, as if typed where ``places`` says, else at ``place``."""

    def at(name: str, side: str = "") -> tuple[Place, Place]:
        return places.get(f"{name} {side}".strip()) or places.get(name) or (place, place)

    found = []
    for name, value in job.items():
        if isinstance(value, dict):
            sided = [(side, text, at(name, side)) for side, text in value.items()]
            pairs = tuple((Phrase(side, where), Phrase(text, where)) for side, text, (_, where) in sided)
            found.append(RawReading(Phrase(name, sided[0][2][0] if sided else at(name)[0]), sides=pairs))
            continue
        named, where = at(name)
        phrase = Phrase(name, named)
        if isinstance(value, list):
            found.append(RawReading(phrase, items=tuple(Phrase(text, where) for text in value), is_list=True))
        else:
            found.append(RawReading(phrase, Phrase(value, where)))
    return tuple(found)


def merged_job(one: tuple[RawReading, ...], two: tuple[RawReading, ...]) -> tuple[RawReading, ...]:
    """Job facts, those of ``two`` in place of those of ``one``."""
    given = {canonical(fact.name.text) for fact in two}
    return (*(fact for fact in one if canonical(fact.name.text) not in given), *two)


def job_view(job: tuple[RawReading, ...], book: ir.Rulebook, problems: list[Problem], place: Place) -> View:
    """A procedure without steps, to ask what the job's facts say."""
    return View(resolve(RawProcedure("plan", job, place=place), book, problems), book)


def serving(models: list[Model], view: View) -> list[Model]:
    """The models that serve a job on both its sides."""
    return [model for model in models if all(truth(model.when, view, side).level == YES for side in view.sides)]


def instantiated(
    model: Model,
    job: tuple[RawReading, ...],
    book: ir.Rulebook,
    problems: list[Problem],
    example: bool = True,
) -> RawProcedure:
    """The plan of a model for a job: the steps whose ``when`` is not false. A fact not known keeps the step.

    ``example``: facts that are not given are those of the model's example job.
    """
    full = merged_job(model.raw.job, job) if example else job
    view = job_view(full, book, problems, model.raw.place)
    return msgspec.structs.replace(model.raw, kind="plan", job=full, steps=_kept(model.raw.steps, model, view), keys={})


def _kept(items: Items, model: Model, view: View) -> Items:
    kept: list[RawStep | RawGroup] = []
    for item in items:
        if isinstance(item, RawGroup):
            branches = tuple(branch for each in item.branches if (branch := _kept(each, model, view)))
            kept += [msgspec.structs.replace(item, branches=branches)] if branches else []
        elif _is_there(item, model, view):
            kept.append(msgspec.structs.replace(item, when=None))
    return tuple(kept)


def _is_there(step: RawStep, model: Model, view: View) -> bool:
    node = model.conditions.get(step.when.text) if step.when else None
    return node is None or any(truth(node, view, side).level != NO for side in view.sides)

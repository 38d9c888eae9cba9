"""A model procedure for one job, before anything is sized: raw steps whose readings can be replaced."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from fractions import Fraction

import msgspec

from ringcut.draft.models import HERE, Items, Job, Model, facts, instantiated, job_view, serving, steps_of
from ringcut.language import ir
from ringcut.reading.measures import Refusal, read_measure, show
from ringcut.reading.phrase import Phrase
from ringcut.reading.problems import Problem
from ringcut.reading.raw import RawGroup, RawProcedure, RawReading, RawStep
from ringcut.reading.suggest import canonical

OPENING = "opening-length"
GROWS_WITH_OPENING = "bar-length"
"""The reading whose length in a model is right for the model's own opening."""


def planned(model: Model, job: Job, book: ir.Rulebook, problems: list[Problem]) -> RawProcedure:
    """The steps of a model that are there for a job.

    A reading that repeats a job fact has the job's value, or none where the job does not say. A bar keeps the
    measure by which it is longer than the opening in the model.
    """
    raw = instantiated(model, facts(job, model.raw.place), book, problems, example=False)
    return adapted(raw, model, job, book)


def adapted(raw: RawProcedure, model: Model, job: Job, book: ir.Rulebook) -> RawProcedure:
    """Steps of a model with the readings that follow from job facts."""
    longer = _difference(model, job)
    example = {canonical(fact.name.text) for fact in model.raw.job}

    def follow(step: RawStep, at: int) -> RawStep:
        kept = []
        for reading in step.readings:
            name = canonical(reading.name.text)
            if name in book.facts and name in example:
                given = job.get(name)
                kept += [value_reading(reading.name.text, given)] if isinstance(given, str) else []
            elif name == GROWS_WITH_OPENING and longer is not None:
                kept.append(_lengthened(reading, longer))
            else:
                kept.append(reading)
        return msgspec.structs.replace(step, readings=tuple(kept))

    return replaced(raw, follow)


def usual_steps(models: list[Model], job: tuple[RawReading, ...], book: ir.Rulebook) -> list[RawStep]:
    """The steps of the model that serves a job, in list order; none where not exactly one does.

    Their lengths are on the grids of the rulebook's words, in inches or in millimetres.
    """
    chosen = serving(models, job_view(job, book, [], HERE))
    if len(chosen) != 1:
        return []
    texts: Job = {canonical(fact.name.text): fact.value.text for fact in job if fact.value}
    raw = instantiated(chosen[0], job, book, [], example=False)
    return steps_of(on_metric_grid(adapted(raw, chosen[0], texts, book), book).steps)


def replaced(raw: RawProcedure, change: Callable[[RawStep, int], RawStep]) -> RawProcedure:
    """A procedure with every step changed; the number is the step's place in list order, as its index when resolved."""
    count = iter(range(1_000_000))

    def inside(items: Items) -> Items:
        found: list[RawStep | RawGroup] = []
        for item in items:
            if isinstance(item, RawGroup):
                found.append(msgspec.structs.replace(item, branches=tuple(inside(b) for b in item.branches)))
            else:
                found.append(change(item, next(count)))
        return tuple(found)

    return msgspec.structs.replace(raw, steps=inside(raw.steps))


def with_readings(raw: RawProcedure, values: Mapping[tuple[int, str], Mapping[str, str]]) -> RawProcedure:
    """A procedure with some readings set: (step index, reading) -> text by side, an empty side for all."""

    def set_(step: RawStep, at: int) -> RawStep:
        mine = {name: sides for (index, name), sides in values.items() if index == at}
        names = [canonical(reading.name.text) for reading in step.readings]
        kept = [
            _set(reading.name.text, mine[name]) if name in mine else reading
            for name, reading in zip(names, step.readings, strict=True)
        ]
        kept += [_set(name, sides) for name, sides in mine.items() if name not in names]
        return msgspec.structs.replace(step, readings=tuple(kept))

    return replaced(raw, set_)


def on_metric_grid(raw: RawProcedure, book: ir.Rulebook) -> RawProcedure:
    """A procedure whose lengths in inches are the nearest ones on the grids of those words that are in millimetres."""

    def moved(phrase: Phrase, word: ir.Word) -> Phrase:
        found = read_measure(phrase.text, "length")
        if isinstance(found, Refusal) or found.low is None or found.unit != "in" or not word.resolution:
            return phrase
        return Phrase(show(round(found.low / word.resolution) * word.resolution, "length", word.unit), phrase.place)

    def on_grid(step: RawStep, at: int) -> RawStep:
        known = book.steps.get(canonical(step.do.text))
        kept = []
        for each in step.readings:
            word = known.readings.get(canonical(each.name.text)) if known else None
            if word is not None and word.kind == "length" and word.unit == "mm":
                sides = tuple((side, moved(text, word)) for side, text in each.sides)
                each = msgspec.structs.replace(each, value=each.value and moved(each.value, word), sides=sides)
            kept.append(each)
        return msgspec.structs.replace(step, readings=tuple(kept))

    return replaced(raw, on_grid)


def value_reading(name: str, text: str) -> RawReading:
    """A reading with one value."""
    return RawReading(Phrase(name), Phrase(text))


def set_reading(step: RawStep, name: str, side: str, text: str) -> RawStep:
    """A step with one text changed or added; an empty side is the text for all sides."""
    found = []
    done = False
    for reading in step.readings:
        if canonical(reading.name.text) != name:
            found.append(reading)
            continue
        done = True
        if not side:
            found.append(RawReading(reading.name, Phrase(text)))
            continue
        sides = [(label, Phrase(text) if label.text == side else old) for label, old in reading.sides]
        if side not in [label.text for label, _ in sides]:
            sides.append((Phrase(side), Phrase(text)))
        found.append(RawReading(reading.name, sides=tuple(sides)))
    if not done:
        found.append(_set(name, {side: text}))
    return msgspec.structs.replace(step, readings=tuple(found))


def _set(name: str, sides: Mapping[str, str]) -> RawReading:
    texts = set(sides.values())
    if len(texts) == 1 and (len(sides) > 1 or "" in sides):
        return value_reading(name, texts.pop())
    return RawReading(Phrase(name), sides=tuple((Phrase(side), Phrase(text)) for side, text in sides.items()))


def _difference(model: Model, job: Job) -> Fraction | None:
    example = next((f.value.text for f in model.raw.job if canonical(f.name.text) == OPENING and f.value), None)
    given = job.get(OPENING)
    if example is None or not isinstance(given, str):
        return None
    one, two = read_measure(example, "length"), read_measure(given, "length", plan=True)
    if isinstance(one, Refusal) or isinstance(two, Refusal) or one.low is None or two.low is None:
        return None
    return two.low - one.low


def _lengthened(reading: RawReading, longer: Fraction) -> RawReading:
    found = read_measure(reading.value.text, "length") if reading.value else None
    if found is None or isinstance(found, Refusal) or found.low is None or found.low + longer <= 0:
        return reading
    return value_reading(reading.name.text, show(found.low + longer, "length", found.unit))

"""Good work, made by rule: the plan of a model for a job, and the same plan as a complete log with good readings.

All readings are invented. A log is timed one step after another, each as long as it usually takes.
"""

from __future__ import annotations

from fractions import Fraction

import msgspec

from ringcut.draft.models import Job, Model, facts, instantiated, job_view, serving
from ringcut.judge.findings import Report
from ringcut.judge.judge import judge_procedure
from ringcut.language.ir import Rulebook, Word
from ringcut.reading.phrase import Phrase
from ringcut.reading.problems import NOWHERE, Problem
from ringcut.reading.raw import RawGroup, RawProcedure, RawReading, RawStep
from ringcut.relations.resolve import resolve

Steps = list[RawStep]

USUAL_LENGTH = Fraction(300)
"""Seconds of a step for which the vocabulary has no usual duration."""
DAY_BEGINS = 8 * 3600

GOOD: dict[str, str] = {
    "combustible-gas": "0 %LFL", "oxygen": "20.9 %", "carbon-monoxide": "0 ppm", "hydrogen-sulfide": "0 ppm",
    "hose-tested": "yes", "neighbours-shielded": "yes", "away-from-solvent": "yes", "good": "yes",
    "gauge-pressure": "6.0 psi", "gauge-resolution": "0.1 psi", "raised-slowly": "yes", "leaks": "0",
    "start-pressure": "6.0 psi", "start-temperature": "70 degF", "end-pressure": "6.0 psi",
    "end-temperature": "70 degF", "isolated": "yes", "ways": "2", "voltage": "0 V", "current": "ac", "slack": "yes",
    "clear": "yes", "least-tension": "yes", "smoothed-down": "yes", "method": "damp-by-hand", "flame-off-tape": "yes",
    "direction": "around", "smallest": "2.05 in", "largest": "2.90 in", "result": "good", "minutes": "30 min",
    "surface-temperature": "80 degF", "ambient-temperature": "70 degF", "by-hand": "yes", "temperature": "68 degF",
}  # fmt: skip
"""Readings that only the doing tells, by name."""

GOOD_AT: dict[str, str] = {
    "confirm-zero gauge-pressure": "0 psi",
    "hold-test duration": "30 min",
    "flame-treat duration": "3 s",
    "flame-treat-inner-sheath duration": "3 s",
    "measure-insulation resistance": "1000 megohm",
    "measure-insulation measured-length": "1 mile",
    "measure-shield resistance": "0.25 ohm",
    "measure-shield measured-length": "1000 ft",
}
"""The same, where a name means different things at different steps."""

LEFT_OUT = {"wrap-rubber-tape measured-length"}
"""Second readings of what is computed from others: what is good depends on the job, and crews seldom write them."""


def phrase(text: str) -> Phrase:
    """A text that stands in no file."""
    return Phrase(text, NOWHERE)


def reading(name: str, text: str) -> RawReading:
    """A reading with one value for all sides."""
    return RawReading(phrase(name), phrase(text))


def step(name: str, **readings: str) -> RawStep:
    """A step as typed; an underscore in a reading's name is a hyphen."""
    given = tuple(reading(each.replace("_", "-"), text) for each, text in readings.items())
    return RawStep(phrase(name), readings=given)


def model_of(models: list[Model], job: Job, book: Rulebook) -> list[Model]:
    """The models that serve a job."""
    problems: list[Problem] = []
    return serving(models, job_view(facts(job, NOWHERE), book, problems, NOWHERE))


def planned(model: Model, job: Job, book: Rulebook, *, example: bool = True) -> RawProcedure:
    """The plan of a model for a job, in a list of steps without groups."""
    problems: list[Problem] = []
    raw = instantiated(model, facts(job, NOWHERE), book, problems, example=example)
    assert not problems, problems
    assert not any(isinstance(item, RawGroup) for item in raw.steps)
    return raw


def steps_of(raw: RawProcedure) -> Steps:
    """The steps of a plan or log without groups."""
    return [item for item in raw.steps if isinstance(item, RawStep)]


def with_steps(raw: RawProcedure, steps: Steps) -> RawProcedure:
    """The same job with other steps."""
    return msgspec.structs.replace(raw, steps=tuple(steps))


def done(raw: RawProcedure, book: Rulebook, waits: dict[int, Fraction] | None = None) -> RawProcedure:
    """A plan as a complete log: every reading good, one step after another.

    ``waits``: index of a step -> seconds that pass before it begins, beyond the end of the step before.
    """
    clock = Fraction(DAY_BEGINS)
    found = []
    for index, each in enumerate(steps_of(raw)):
        name = book.synonyms.get(each.do.text, each.do.text)
        word = book.steps[name]
        begin = clock + (waits or {}).get(index, Fraction(0))
        clock = begin + (word.takes if word.takes is not None else USUAL_LENGTH)
        started = None if word.lasting else phrase(stamp(begin))
        given = {said.name.text for said in each.readings}
        readings = [reading(of, good(name, of)) for of, spec in word.readings.items() if is_done(name, of, spec, given)]
        at = phrase(stamp(begin if word.lasting else clock))
        found.append(msgspec.structs.replace(each, started=started, at=at, readings=(*each.readings, *readings)))
    keys = {"records": phrase("every-step")}
    return msgspec.structs.replace(raw, kind="log", steps=tuple(found), keys=keys)


def is_done(name: str, of: str, spec: Word, given: set[str]) -> bool:
    """Whether a reading is one that a log adds to a plan."""
    return not spec.planned and of not in given and f"{name} {of}" not in LEFT_OUT


def good(name: str, of: str) -> str:
    """A good value for a reading of a step; a reading that has none here is a gap in these tests."""
    return GOOD_AT.get(f"{name} {of}") or GOOD[of]


def stamp(seconds: Fraction) -> str:
    """Seconds since the midnight that begins the day of the work, RFC 3339."""
    days, rest = divmod(int(seconds), 86400)
    return f"2026-03-{4 + days:02}T{rest // 3600:02}:{rest % 3600 // 60:02}:{rest % 60:02}Z"


def judged(raw: RawProcedure, book: Rulebook, rules: list[str] | None = None) -> Report:
    """The report on a procedure as typed, by all rules or those named."""
    problems: list[Problem] = []
    procedure = resolve(raw, book, problems)
    assert not problems, problems
    return judge_procedure(procedure, book, rules=rules)

"""The model procedures conform for every possible combination of job facts, as plans and as complete logs.

Here a seeded sample; ``tests/benchmarks/combinations.py`` takes the whole product of the facts that decide the steps.
"""

from __future__ import annotations

import json
import random

import pytest

from ringcut.checking import read
from ringcut.draft.models import Job, Model
from ringcut.judge.findings import CONFORMS
from ringcut.language.ir import Rulebook
from ringcut.language.nodes import Fact, walk
from ringcut.reading.problems import Unreadable

from .combining import GOOD, NO_FLAME, NOT_COVERED, REFUSED, Tally, looked_at, tallied
from .goodwork import done, judged, planned
from .jobs import CABLE, REST, SIZES, cables, drawn, refused

SAMPLE = 150
"""Jobs drawn for the sample, refused ones not counted."""


def sampled(book: Rulebook) -> list[Job]:
    """A seeded draw of possible jobs, each value of each fact in it."""
    chance = random.Random("combinations")
    every = list(cables())
    chance.shuffle(every)
    found: list[Job] = []
    for cable in every:
        job = drawn(cable, chance)
        if not refused(job, book):
            found.append(job)
        if len(found) == SAMPLE:
            return found
    raise AssertionError("not so many jobs are possible")


@pytest.fixture(scope="module")
def sample(book: Rulebook, models: list[Model]) -> Tally:
    return tallied(sampled(book), models, book)


def test_models_conform_on_a_sample_of_all_jobs(sample: Tally) -> None:
    assert sample.faults == []


def test_the_sample_holds_jobs_of_every_outcome(sample: Tally) -> None:
    assert set(sample.outcomes) == {GOOD, NO_FLAME, NOT_COVERED}
    assert sample.outcomes[GOOD] > SAMPLE / 2


def test_the_sample_holds_every_value_of_every_fact(book: Rulebook) -> None:
    jobs = sampled(book)
    for name, choices in {**CABLE, **REST}.items():
        if name not in ("special", "special-procedure"):
            assert all(choice in [job[name] for job in jobs] for choice in choices), name


def test_every_fact_that_decides_something_is_combined(book: Rulebook, models: list[Model]) -> None:
    """A fact that a rule, a warning, the cover or a step of a model asks for stands in the combinations."""
    asked = [rule.when for rule in book.rules]
    asked += [each.when for each in book.warnings]
    asked += [row.when for row in book.impossible] + [gap.when for gap in book.gaps]
    asked += [each.applies for each in book.subjects.values()]
    asked += [node for model in models for node in (model.when, *model.conditions.values())]
    asked += [state.at_start for state in book.conditions.values()]
    asked += [fact.means for fact in book.facts.values()]
    named = {each.name for node in asked if node is not None for each in walk(node) if isinstance(each, Fact)}
    derived = {name for name, fact in book.facts.items() if fact.means is not None}
    assert named - derived <= {*CABLE, *REST, *SIZES}


def test_every_choice_of_a_fact_is_combined(book: Rulebook) -> None:
    for name, choices in {**CABLE, **REST}.items():
        if book.facts[name].kind == "choice":
            plain = {choice for choice in choices if isinstance(choice, str)}
            assert plain == set(book.facts[name].choices), name


@pytest.mark.parametrize("form", ["plan", "log"])
def test_each_example_conforms(form: str, models: list[Model], book: Rulebook) -> None:
    for model in models:
        plan = planned(model, {}, book)
        report = judged(plan if form == "plan" else done(plan, book), book)
        assert (model.name, report.verdict, report.findings) == (model.name, CONFORMS, ())


WORKS: list[tuple[str, str | dict[str, str], str]] = [
    ("sheath-repair", "lead", "single"), ("sheath-repair", "polyethylene", "single"),
    ("trouble-opening", "lead", "single"), ("trouble-opening", "polyethylene", "single"),
    ("inter-sheath-dam", "polyethylene", "double"), ("sleeve-removal", "lead", "single"),
    ("sleeve-removal", "polyethylene", "single"), ("auxiliary-repair", {"A": "lead", "B": "polyethylene"}, "single"),
]  # fmt: skip


@pytest.mark.parametrize("location", ["manhole", "vault", "pit", "buried", "aerial", "building"])
def test_every_work_at_every_place(location: str, models: list[Model], book: Rulebook) -> None:
    chance = random.Random(location)
    for work, sheath, construction in WORKS:
        cable: Job = {
            "work": work, "sheath": sheath, "construction": construction, "jacket": "none", "core": "plastic",
            "pressurized": "yes", "fed": "no", "two-volumes": "no", "location": location,
        }  # fmt: skip
        job: Job = {**drawn(cable, chance), "special": [], "special-procedure": [], "vault-flame-allowed": "yes"}
        assert looked_at(job, models, book) == (GOOD, [], [])


IMPOSSIBLE: list[Job] = [
    {"core": "filled", "pressurized": "yes"},
    {"work": "inter-sheath-dam", "construction": "single"},
    {"two-volumes": "yes", "construction": "single", "pressurized": "yes"},
    {"two-volumes": "yes", "pressurized": "no", "construction": "double"},
    {"fed": "yes", "pressurized": "no"},
    {"jacket": "plastic", "sheath": "polyethylene", "work": "sheath-repair"},
    {"work": "inter-sheath-dam", "construction": "double", "special": ["long-repair"]},
    {"old-adhesive": "same-place-same-kind", "work": "sheath-repair"},
    {"vault-ventilated": "yes", "location": "manhole"},
    {"special-procedure": ["double-sheath"], "construction": "single"},
    {"new-plant": "yes", "core": "paper"},
]
"""One job for every row of the vocabulary's table, in its order."""


@pytest.mark.parametrize("number", range(len(IMPOSSIBLE)))
def test_what_cannot_be_is_refused_with_the_reason_of_the_table(number: int, book: Rulebook) -> None:
    document = {"procedure": "plan", "job": IMPOSSIBLE[number], "steps": ["identify-cable"]}
    with pytest.raises(Unreadable) as refusal:
        read(json.dumps(document).encode(), "here.yaml", book)
    assert book.impossible[number].reason in [problem.expected for problem in refusal.value.problems]


def test_every_row_of_the_table_has_its_job(book: Rulebook) -> None:
    assert len(book.impossible) == len(IMPOSSIBLE)
    assert len({row.reason for row in book.impossible}) == len(IMPOSSIBLE)


def test_outcomes_are_told_apart(models: list[Model], book: Rulebook) -> None:
    chance = random.Random(0)
    job = drawn(next(cables()), chance)
    assert looked_at({**job, "core": "filled", "pressurized": "yes"}, models, book)[0] == REFUSED
    open_ended: Job = {**job, "special": ["long-repair"], "special-procedure": []}
    assert looked_at(open_ended, models, book)[0] == NOT_COVERED

"""Only what still matters is asked, at most eight questions for the commonest job."""

from __future__ import annotations

import pytest

from ringcut.draft.jobfacts import problems_of, said_as
from ringcut.draft.models import HERE, Job, Model
from ringcut.draft.questions import open_questions, settled
from ringcut.language.ir import Rulebook


def _asked(answers: Job, book: Rulebook, models: list[Model]) -> list[str]:
    job: Job = {}
    asked: list[str] = []
    unknown: list[str] = []
    while questions := open_questions({**job, **settled(job, book, book.covers)}, book, models, unknown):
        name = questions[0].fact
        assert name not in asked
        asked.append(name)
        if name in answers:
            job[name] = answers[name]
        else:
            unknown.append(name)
    return asked


def test_the_commonest_job_takes_eight_questions(lead: Job, book: Rulebook, models: list[Model]) -> None:
    asked = _asked(lead, book, models)
    assert len(asked) <= 8
    assert set(asked) == set(lead)


def test_what_a_packet_says_is_not_asked(lead: Job, book: Rulebook, models: list[Model]) -> None:
    del lead["core"]
    assert [question.fact for question in open_questions(lead, book, models)] == ["core"]


def test_the_opening_of_a_dam_is_not_asked(book: Rulebook, models: list[Model]) -> None:
    job: Job = {"work": "inter-sheath-dam", "sheath": "polyethylene", "core": "plastic", "pressurized": "yes"}
    asked = [question.fact for question in open_questions(job, book, models)]
    assert "opening-length" not in asked
    assert "construction" not in asked
    assert settled(job, book, ["construction"]) == {"construction": "double"}


def test_not_known_is_not_asked_again(lead: Job, book: Rulebook, models: list[Model]) -> None:
    del lead["pressurized"]
    assert open_questions(lead, book, models, ["pressurized"]) == ()


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("lead", "lead"),
        ("A lead, B polyethylene", {"A": "lead", "B": "polyethylene"}),
        ("{A: lead, B: polyethylene}", {"A": "lead", "B": "polyethylene"}),
        ("[long-repair, cable-band]", ["long-repair", "cable-band"]),
        ("14 in", "14 in"),
    ],
)
def test_facts_as_typed(typed: str, read: object) -> None:
    assert said_as(typed) == read


def test_an_answer_is_checked_by_the_reader_of_plans(book: Rulebook) -> None:
    assert "what?" in str(problems_of({"opening-length": "14"}, book, HERE)[0])
    assert "Did you mean lead" in str(problems_of({"sheath": "leed"}, book, HERE)[0])


def test_the_other_end_is_asked_for_where_the_diameter_changes(lead: Job, book: Rulebook, models: list[Model]) -> None:
    special = ["diameter-change"]
    job: Job = {**lead, "special": special, "special-procedure": special}
    assert "second-diameter" in [each.fact for each in open_questions(job, book, models)]
    assert "second-diameter" not in [each.fact for each in open_questions(lead, book, models)]

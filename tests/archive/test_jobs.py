"""Jobs files: facts by reference, closures apart, nothing guessed."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringcut.archive.columns import Column, ColumnFile, Task
from ringcut.archive.jobs import one_slip, read_jobs
from ringcut.archive.lexicon import RulebookLexicon
from ringcut.archive.spreadsheets import read_spreadsheet
from ringcut.reading.problems import Unreadable

CSV = b"Reference,Closure,sheath,opening_length\nHV-1,,lead,\nHV-2,1,lead,14 in\nHV-2,2,lead,20 in\n"
YAML = b"""\
- {reference: HV-1, sheath: {A: lead, B: polyethylene}, special: [long-repair]}
- {order: HV-2, closure: 1, pressurized: no}
"""


def test_from_a_table(lexicon: RulebookLexicon) -> None:
    jobs = read_jobs(CSV, "jobs.csv", lexicon)
    assert [job.closure for job in jobs.of("hv2")] == ["1", "2"]
    fact = jobs.of("HV 2")[1].facts[1]
    assert (fact.name.text, str(fact.name.place)) == ("opening-length", "jobs.csv:1:D")
    assert fact.value is not None
    assert (str(fact.value), str(fact.value.place)) == ("20 in", "jobs.csv:4:D")


def test_two_columns_for_two_ends_are_one_fact(lexicon: RulebookLexicon) -> None:
    table = b"reference,sheath,sheath A,sheath B\nHV-1,,lead,polyethylene\nHV-2,lead,,\n"
    jobs = read_jobs(table, "jobs.csv", lexicon)
    (ends,) = jobs.of("HV-1")[0].facts
    assert ends.name.text == "sheath"
    assert [(str(side), str(value)) for side, value in ends.sides] == [("A", "lead"), ("B", "polyethylene")]
    (both,) = jobs.of("HV-2")[0].facts
    assert (both.name.text, str(both.value)) == ("sheath", "lead")


def test_from_yaml(lexicon: RulebookLexicon) -> None:
    jobs = read_jobs(YAML, "jobs.yaml", lexicon)
    sheath, special = jobs.of("HV-1")[0].facts
    assert [(str(side), str(value)) for side, value in sheath.sides] == [("A", "lead"), ("B", "polyethylene")]
    assert special.is_list
    assert str(jobs.of("HV-2")[0].facts[0].value) == "no", "YAML 1.2 has no other word for a text"


@pytest.mark.parametrize(
    ("given", "likelier"),
    [("2044.0", "HV-2044"), ("HV-2O44", "HV-2044"), ("XY-9", ""), ("", "")],
)
def test_a_likelier_reference_is_named_and_not_taken(given: str, likelier: str) -> None:
    jobs = read_jobs(b"reference\nHV-2044\nHV-3111\n", "jobs.csv")
    assert (jobs.of(given), jobs.likelier(given)) == ([], likelier)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (b"reference,sheat\nHV-1,lead\nHV-2,lead\n", r"^jobs.csv:1:B: sheat: no such job fact. did you mean sheath\?$"),
        (b"reference,sheath\nHV-1,lead\nhv1,lead\n", "stands here again"),
        (b"sheath\nlead\n", "has no reference"),
    ],
)
def test_mistakes_are_told(text: bytes, says: str, lexicon: RulebookLexicon) -> None:
    with pytest.raises(Unreadable, match=says):
        read_jobs(text, "jobs.csv", lexicon)


def test_closures_with_facts_of_their_own_are_logs_of_their_own(lexicon: RulebookLexicon) -> None:
    spec = ColumnFile(
        columns={
            "WO": Column(holds="reference"),
            "Cl": Column(holds="closure"),
            "Task": Column(holds="task"),
        },
        tasks=(Task(say=("Gas",), do=("test-atmosphere",)), Task(say=("Muslin",), do=("wrap-muslin",))),
    )
    sheet = b"WO,Cl,Task\nHV-2,,Gas\nHV-2,1,Muslin\nHV-2,2,Muslin\nHV-2,3,Muslin\nHV-1,,Gas\n"
    reading = read_spreadsheet(sheet, "x.csv", lexicon, spec, read_jobs(CSV, "jobs.csv", lexicon))
    assert [(log.reference, log.closure, log.lines) for log in reading.logs] == [
        ("HV-2", "1", (2, 3)),
        ("HV-2", "2", (2, 4)),
        ("HV-2", "", (5,)),
        ("HV-1", "", (6,)),
    ]
    assert [each.says for each in reading.not_taken] == ["closure 3 of HV-2 is not in the jobs file"]


@pytest.mark.parametrize(
    ("known", "given", "likelier"),
    [
        (["HV-2044"], "2044.0", "HV-2044"),
        (["HV-2044", "PX-2044"], "2044.0", ""),
        (["HV-2031", "HV-2044"], "HV-2013", "HV-2031"),
        (["HV-2031", "HV-2032", "HV-2033"], "HV-2030", ""),
        (["HV-20310"], "HV-2031", "HV-20310"),
        (["T-9"], "T-8", ""),
        (["T-9"], "WO 17", ""),
        (["Q-9"], "T-9", "Q-9"),
    ],
)
def test_only_a_near_reference_is_suggested(known: list[str], given: str, likelier: str) -> None:
    """Symptom: of a jobs file with T-9, T-1 was asked about as «T-9?»."""
    jobs = read_jobs("\n".join(["reference", *known]).encode(), "jobs.csv")
    assert jobs.likelier(given) == likelier


def edits(text: str) -> set[str]:
    """Every text one slip away, spelled out: the oracle."""
    letters = "ab1"
    cut = {text[:at] + text[at + 1 :] for at in range(len(text))}
    put = {text[:at] + each + text[at:] for at in range(len(text) + 1) for each in letters}
    other = {text[:at] + each + text[at + 1 :] for at in range(len(text)) for each in letters}
    turned = {text[:at] + text[at + 1] + text[at] + text[at + 2 :] for at in range(len(text) - 1)}
    return cut | put | other | turned


@given(st.text("ab1", max_size=6), st.text("ab1", max_size=6))
def test_one_slip_is_one_edit(one: str, other: str) -> None:
    assert one_slip(one, other) == (other in edits(one) or one == other)


@pytest.mark.parametrize(
    ("fact", "value", "says"),
    [
        ("cable-diameter", "1.4", "1.4 what?"),
        ("cable-diameter", "44 in", "cannot be"),
        ("sheath", "steel", "one of lead, polyethylene"),
        ("pressurized", "maybe", "yes or no"),
        ("sheath A", "steel", "one of lead, polyethylene"),
    ],
)
def test_a_value_that_a_fact_cannot_have_is_told_at_its_cell(
    fact: str, value: str, says: str, lexicon: RulebookLexicon
) -> None:
    """Such a fact was dropped without a word, and its rules were undetermined."""
    with pytest.raises(Unreadable) as caught:
        read_jobs(f"reference,{fact}\nX-1,{value}\n".encode(), "jobs.csv", lexicon)
    (problem,) = caught.value.problems
    assert says in str(problem) and (problem.place.line, problem.place.column) == (2, 2)

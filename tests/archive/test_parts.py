"""A question for several things in one row of the file, and its answer taken apart; what does not fit is told."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringcut.archive.answering import questions_file, read_answers
from ringcut.archive.parts import alike_of, answered
from ringcut.archive.results import Ask, Wanted

WANTS = (
    Wanted(21, step="place-permanent-bond", reading="bar-length"),
    Wanted(27, step="assemble-sleeve", reading="bond-length", side="A"),
    Wanted(27, step="assemble-sleeve", reading="bond-length", side="B"),
)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("12 in; 5 in; 5-1/8 in", ("12 in", "5 in", "5-1/8 in")),
        ("12 in\n5 in\n5-1/8 in", ("12 in", "5 in", "5-1/8 in")),
        ("?; 5 in; n/a", ("", "5 in", "")),
        ("bond length B: 5 in; bar length 12 in", ("12 in", "", "5 in")),
        ("Bond-Length A = 5 in", ("", "5 in", "")),
        ("(3) 5 in; 1) 12 in", ("12 in", "", "5 in")),
        ("2. 5 in", ("", "5 in", "")),
        ("not known", ("", "", "")),
        ("", ("", "", "")),
    ],
)
def test_an_answer_in_order_or_by_name(text: str, said: tuple[str, ...]) -> None:
    assert answered(text, WANTS) == said


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("12 in; 5 in", "2 parts for 3 answers: (1) bar length, (2) bond length A, (3) bond length B"),
        ("12 in", "1 part for 3 answers"),
        ("1.5 in; 5 in; 6 in; 7 in", "4 parts for 3 answers"),
        ("bar length: 12 in; 5 in; 5 in", "3 parts for 3 answers"),
        ("1) 12 in; bar length 13 in", "bar length is answered twice"),
    ],
)
def test_an_answer_that_could_be_taken_two_ways_is_refused(text: str, told: str) -> None:
    said = answered(text, WANTS)
    assert isinstance(said, str)
    assert told in said


def test_one_thing_takes_the_whole_cell() -> None:
    assert answered("5 in; measured twice", WANTS[:1]) == ("5 in; measured twice",)


def question(wants: tuple[Wanted, ...]) -> Ask:
    first = wants[0]
    return Ask("f.csv", "", "J-1", first.row, first.column, first.text, "what?", first.step, first.reading, first.side,
               also=wants[1:])  # fmt: skip


names = st.sampled_from(["", "a", "b", "layers", "bond-length"])
wanted = st.builds(Wanted, row=st.integers(1, 99), column=st.sampled_from(["", "A", "AB"]), step=names, reading=names,
                   side=st.sampled_from(["", "A", "B"]))  # fmt: skip
value = st.from_regex(r"\A[1-9][0-9]? (in|psi|V)\Z")


@given(st.lists(st.tuples(wanted, value), min_size=1, max_size=6, unique_by=lambda pair: pair[0]))
def test_what_goes_out_comes_back(pairs: list[tuple[Wanted, str]]) -> None:
    """Independent oracle: the wants and answers themselves."""
    wants = tuple(each for each, _ in pairs)
    written = questions_file([question(wants)]).decode("utf-8-sig")
    said = "; ".join(text for _, text in pairs)
    back = read_answers(written.replace("what?,", f"what?,{said}").encode(), "a.csv").answers
    assert [(each.wanted, each.said.text) for each in back] == pairs
    assert {(each.file, each.reference) for each in back} == {("f.csv", "J-1")}


@pytest.mark.parametrize("row", ["x", "21; x", "21; 27"])
def test_a_row_that_was_changed_is_told(row: str) -> None:
    head, line = questions_file([question(WANTS)]).decode("utf-8-sig").splitlines()
    other = line.replace("J-1", "J-2").replace("what?,", "what?,1 in; 2 in; 3 in")
    changed = f"{head}\r\n{line.replace('21; 27; 27', row).replace('what?,', 'what?,1 in')}\r\n{other}\r\n"
    read = read_answers(changed.encode(), "a.csv")
    assert [(each.place.line, "is no number" in each.found) for each in read.problems] == [(2, True)]
    assert {each.reference for each in read.answers} == {"J-2"}


def test_an_answer_with_too_few_parts_is_told_at_its_cell() -> None:
    written = questions_file([question(WANTS)]).decode("utf-8-sig").replace("what?,", "what?,1 in")
    read = read_answers(written.encode(), "a.csv")
    (problem,) = read.problems
    assert (problem.place.line, problem.place.letter) == (2, "I")
    assert "1 part for 3 answers" in problem.found
    assert {each.says for each in read.answers} == {
        "1 part for 3 answers: (1) bar length, (2) bond length A, (3) bond length B"
    }
    assert read.kept == ()


def test_one_answer_counts_for_all_only_where_all_are_alike() -> None:
    """Symptom: one time was taken for two rows whose times were asked for together."""
    alike = tuple(Wanted(row, "F", "Wrap it up") for row in (3, 9))
    assert answered("tape", alike, alike_of(alike)) == ("tape", "tape")
    apart = (Wanted(5, "C", "13:40"), Wanted(6, "C", "11:20"))
    said = answered("13:40", apart, alike_of(apart))
    assert said == "1 part for 2 answers: (1) C in row 5, (2) C in row 6"
    written = questions_file([question(apart)]).decode("utf-8-sig").replace("what?,", "what?,13:40; 14:20")
    assert [each.wanted for each in read_answers(written.encode(), "a.csv").answers] == [*apart]

"""A time that runs back is likelier a slip than an offence: it is asked for, and judged when somebody has said."""

from __future__ import annotations

import pytest
from tests.archive.small import Small, verdicts

ROWS = """
K-1,2026-03-02,08:00,JM,scuff-polyethylene,
K-1,2026-03-02,13:40,JM,shrink-sleeve,
K-1,2026-03-02,11:20,JM,cool-closure,by hand
K-1,2026-03-02,14:20,JM,move-cable,
"""


def test_what_rests_on_it_is_undetermined_and_asked_in_its_cells(small: Small) -> None:
    items = small.audited(ROWS)
    found = verdicts(items)
    assert (found["cool-before-load"], found["times-backwards"]) == ("undetermined", "nonconforming")
    (asked,) = [ask for item in items for ask in item.asks if "Time runs back" in ask.question]
    assert asked.question.startswith("Time runs back at row 4 (cool-closure after shrink-sleeve).")
    assert [(each.row, each.column, each.text) for each in asked.wants] == [(3, "C", "13:40"), (4, "C", "11:20")]
    assert "cool-before-load" in asked.rules


@pytest.mark.parametrize(
    ("answer", "cooled", "back"),
    [
        ("10:40; 11:20", "conforms", "conforms"),
        ("13:40; 14:15", "conforms", "conforms"),
        ("13:40; 11:20", "undetermined", "nonconforming"),
    ],
)
def test_the_answer_is_judged(small: Small, answer: str, cooled: str, back: str) -> None:
    rows = ROWS.replace("cool-closure,by hand", "cool-closure,yes")
    small.columns += (
        "tasks: [{say: cool-closure, do: cool-closure, readings: {by-hand: '{text}'}, remarks: '{text}'}]\n"
    )
    items = small.audited(rows)
    found = verdicts(small.audited(rows, small.answered(items, {"Time runs back": answer})))
    assert (found["cool-before-load"], found["times-backwards"]) == (cooled, back)


def test_the_rows_of_two_people_interleave(small: Small) -> None:
    items = small.audited(ROWS.replace("11:20,JM", "11:20,AB"))
    assert verdicts(items)["times-backwards"] == "conforms"
    assert not [ask for item in items for ask in item.asks if "Time runs back" in ask.question]


def test_of_many_the_first_two_are_asked_for(small: Small) -> None:
    times = ("12:00", "11:00", "10:00", "09:00", "08:00", "07:00")
    rows = "\n".join(f"K-1,2026-03-02,{time},JM,scuff-polyethylene," for time in times)
    (asked,) = [ask for item in small.audited(rows) for ask in item.asks if "Time runs back" in ask.question]
    assert "and 4 more" in asked.question
    assert [each.row for each in asked.wants] == [2, 3]


def test_where_all_times_are_one_the_first_and_the_last_are_asked_for(small: Small) -> None:
    """Symptom: it could not be said, with no question that would change it."""
    rows = "".join(f"K-1,2026-03-02,09:00,JM,{step},\n" for step in
                   ("scuff-polyethylene", "shrink-sleeve", "cool-closure", "move-cable"))  # fmt: skip
    items = small.audited(rows)
    (asked,) = [ask for item in items for ask in item.asks if "All times" in ask.question]
    said = "All times are 09:00. At what time was the first, and at what time the last: (1) row 2; (2) row 5?"
    assert asked.question.startswith(said)
    assert (asked.rules, [(each.row, each.column) for each in asked.wants]) == (
        ("times-all-equal",), [(2, "C"), (5, "C")],
    )  # fmt: skip
    found = verdicts(small.audited(rows, small.answered(items, {"All times": "08:10; 11:30"})))
    assert found["times-all-equal"] == "conforms"

"""A problem in one line."""

from __future__ import annotations

from ringcut.reading.problems import Place, Problem


def test_a_question_ends_with_its_own_mark_only() -> None:
    problem = Problem(Place("c.yaml", 3, 5), "no rule lenght", "a rule.", "did you mean length?")
    assert str(problem) == "c.yaml:3:5: no rule lenght. a rule. did you mean length?"

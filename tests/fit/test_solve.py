"""Answers to problems small enough to be read: conflicts in words, the budget, the background, the parts."""

from __future__ import annotations

from fractions import Fraction
from math import comb

import pytest

from ringcut.fit.answers import Budget, GaveUp, NoSolution, Remaining, Solution
from ringcut.fit.compiled import Compiled
from ringcut.fit.problem import Apart, Constraint, Holds, Label, Linear, Preference, Problem, Table
from ringcut.fit.solve import best, consistent, first, remaining


def inches(start: int, stop: int) -> tuple[Fraction, ...]:
    """Every quarter inch from start up to and including stop."""
    return tuple(Fraction(step, 4) for step in range(4 * start, 4 * stop + 1))


def sleeve(opening: int, stock: int) -> Problem:
    """A sleeve over an opening: bond length and overlap on each side, cut from stock (invented numbers)."""
    one = Fraction(1)
    label = {
        name: Label(name, words)
        for name, words in {
            "opening": f"opening {opening} in",
            "stock": f"stock length {stock} in",
            "bond": "bond length 5 in",
            "overlap": "overlap 1 in",
            "tidy": "overlap at most 4 in",
        }.items()
    }
    return Problem(
        {"opening": inches(1, 60), "sleeve": inches(1, 60), "bond": inches(1, 12), "overlap": inches(0, 6)},
        (
            Linear({"opening": one}, "=", Fraction(opening), label["opening"]),
            Linear({"sleeve": one}, "<=", Fraction(stock), label["stock"]),
            Linear({"bond": one}, ">=", Fraction(5), label["bond"]),
            Linear({"overlap": one}, ">=", one, label["overlap"]),
            Linear({"overlap": one}, "<=", Fraction(4), label["tidy"]),
            Linear({"sleeve": one, "opening": -one, "bond": -2 * one, "overlap": -2 * one}, "=", Fraction(0)),
        ),
    )


def test_the_least_sleeve_is_opening_and_twice_what_lies_beyond() -> None:
    answer = best(sleeve(14, 40), [Preference({"sleeve": Fraction(1)}, "least sleeve")])
    assert isinstance(answer, Solution)
    assert answer.worth == (Fraction(14 + 2 * (5 + 1)),)


def test_a_conflict_names_what_cannot_hold_together_and_nothing_else() -> None:
    answer = first(sleeve(29, 40))
    assert isinstance(answer, NoSolution)
    assert [label.words for label in answer.conflict] == [
        "opening 29 in",
        "stock length 40 in",
        "bond length 5 in",
        "overlap 1 in",
    ]
    assert answer.minimal


def test_the_values_left_are_exact() -> None:
    answer = remaining(sleeve(25, 40))
    assert isinstance(answer, Remaining)
    assert answer.values["bond"] == (*inches(5, 6), Fraction(25, 4), Fraction(13, 2))
    assert answer.values["overlap"] == (*inches(1, 2), Fraction(9, 4), Fraction(5, 2))
    assert min(answer.values["sleeve"]) == 37


def test_the_second_preference_chooses_among_the_best_by_the_first() -> None:
    one = Fraction(1)
    problem = Problem({"a": inches(0, 5), "b": inches(0, 5)}, (Linear({"a": one, "b": one}, ">=", 5 * one),))
    answer = best(problem, [Preference({"a": one, "b": one}), Preference({"b": -one})])
    assert isinstance(answer, Solution)
    assert answer.values == {"a": 0, "b": 5}
    assert answer.worth == (Fraction(5), Fraction(-5))


def test_a_background_that_cannot_hold_is_a_conflict_of_nothing() -> None:
    one = Fraction(1)
    limits = (Linear({"a": one}, ">", 5 * one), Linear({"a": one}, "<", one, Label("short")))
    assert first(Problem({"a": inches(0, 5)}, limits)) == NoSolution(())


def test_constraints_of_one_label_come_and_go_together() -> None:
    one, both, most = Fraction(1), Label("each side"), Label("together")
    limits = (
        Linear({"A": one}, ">=", 3 * one, both),
        Linear({"B": one}, ">=", 3 * one, both),
        Linear({"A": one, "B": one}, "<", 5 * one, most),
    )
    problem = Problem({"A": inches(0, 5), "B": inches(0, 5)}, limits)
    assert first(problem) == NoSolution((both, most))
    assert consistent(Compiled(problem), [both]) is True


def test_the_channel_keeps_away_from_the_bar() -> None:
    clock = tuple(Fraction(15 * step) for step in range(24))
    limits = (
        Apart("bar", "channel", Fraction(90), Label("away")),
        Linear({"bar": Fraction(1)}, "=", Fraction(345), Label("bar at 345 degrees")),
    )
    answer = remaining(Problem({"bar": clock, "channel": clock}, limits))
    assert isinstance(answer, Remaining)
    assert answer.values["channel"] == tuple(angle for angle in clock if 75 <= angle <= 255)


def test_a_table_row_and_a_test_choose_together() -> None:
    rows = (("S", Fraction(10)), ("M", Fraction(20)), ("L", Fraction(30)))
    problem = Problem(
        {"size": ("S", "M", "L"), "length": (Fraction(10), Fraction(20), Fraction(30), Fraction(40))},
        (
            Table(("size", "length"), rows, Label("stock")),
            Holds(("size",), lambda size: size != "S", Label("slips over")),
        ),
    )
    answer = best(problem, [Preference({"length": Fraction(1)})])
    assert isinstance(answer, Solution)
    assert answer.values == {"size": "M", "length": 20}


def pigeons(count: int) -> Problem:
    """One more than there are places, each in a place of its own: no bound sees that it cannot be."""
    names = [f"p{number}" for number in range(count + 1)]
    places = tuple(Fraction(place) for place in range(count))
    apart: list[Constraint] = [
        Holds((one, other), lambda a, b: a != b, Label(f"{one}-{other}"))
        for number, one in enumerate(names)
        for other in names[:number]
    ]
    return Problem(dict.fromkeys(names, places), tuple(apart))


def test_impossible_and_gave_up_are_different_answers() -> None:
    answer = first(pigeons(4))
    assert isinstance(answer, NoSolution)
    assert len(answer.conflict) == comb(5, 2)
    short = first(pigeons(4), Budget(nodes=3))
    assert short == GaveUp("more than 3 nodes searched")
    assert first(pigeons(4), Budget(checks=20)) == GaveUp("more than 20 constraint checks")
    assert remaining(pigeons(4), Budget(nodes=3)) == GaveUp("more than 3 nodes searched")


def test_a_best_choice_that_was_not_proved_is_only_the_best_so_far() -> None:
    problem = pigeons(5)
    fewer = Problem({name: problem.variables[name] for name in list(problem.variables)[:5]}, ())
    apart = tuple(limit for limit in problem.constraints if set(limit.scope) <= set(fewer.variables))
    wish = Preference({name: Fraction(number % 3 - 1) for number, name in enumerate(fewer.variables)})
    whole = Problem(fewer.variables, apart)
    proved = best(whole, [wish])
    assert isinstance(proved, Solution)
    answers = [best(whole, [wish], Budget(nodes=nodes)) for nodes in range(1, 60)]
    unproved = [answer for answer in answers if isinstance(answer, GaveUp) and answer.so_far is not None]
    assert unproved
    for answer in unproved:
        assert answer.so_far is not None
        assert all(limit.holds(answer.so_far) for limit in apart)
        assert wish.worth(answer.so_far) >= proved.worth[0]


def test_the_same_question_costs_and_answers_the_same() -> None:
    assert first(pigeons(5), Budget(nodes=40)) == first(pigeons(5), Budget(nodes=40))
    assert best(sleeve(20, 40), []) == best(sleeve(20, 40), [])


def test_parts_that_nothing_joins_are_searched_apart() -> None:
    """Six pairs, each of which needs a search: together they would be the product, not the sum."""
    limits: list[Constraint] = []
    values = tuple(Fraction(number) for number in range(40))
    for number in range(6):
        scope = (f"a{number}", f"b{number}")
        limits.append(Holds(scope, lambda a, b: a * b == 35 * 37, Label(f"pair-{number}")))
    names = [name for limit in limits for name in limit.scope]
    problem = Problem(dict.fromkeys(names, values), tuple(limits))
    answer = first(problem, Budget(nodes=2_000, checks=100_000))
    assert isinstance(answer, Solution)
    assert all(limit.holds(answer.values) for limit in limits)


def test_a_long_domain_of_which_only_a_search_shows_that_nothing_is_left_is_a_conflict() -> None:
    """Asking for the values left used to end in an error here: twice any whole numbers are never an odd sum."""
    values = tuple(Fraction(number) for number in range(40))
    odd = Linear({"x": Fraction(2), "y": Fraction(4), "z": Fraction(-6)}, "=", Fraction(21), Label("odd"))
    answer = remaining(Problem(dict.fromkeys("xyz", values), (odd,)))
    assert isinstance(answer, NoSolution)
    assert [label.id for label in answer.conflict] == ["odd"]


def test_a_preference_over_words_is_refused() -> None:
    problem = Problem({"w": ("bar", "strap")})
    with pytest.raises(ValueError, match="unknown variable z; w holds words"):
        best(problem, [Preference({"z": Fraction(1), "w": Fraction(1)})])


def test_a_problem_without_variables_has_the_empty_choice() -> None:
    assert first(Problem({})) == Solution({})
    assert remaining(Problem({})) == Remaining({})


def test_limits_that_only_together_exclude_everything_need_no_search() -> None:
    """x + y at most 100 and x - y at least 90, with y at least 6: single bounds close in step by step."""
    one = Fraction(1)
    values = tuple(Fraction(step) for step in range(500))
    limits = (
        Linear({"x": one, "y": one, "z": one}, "<=", 100 * one, Label("sum")),
        Linear({"x": one, "y": -one, "z": -one}, ">=", 90 * one, Label("difference")),
        Linear({"y": one, "z": one}, ">=", 6 * one, Label("least")),
    )
    problem = Problem(dict.fromkeys("xyz", values), limits)
    assert consistent(Compiled(problem), problem.labels(), Budget(nodes=1)) is False
    assert first(problem) == NoSolution((Label("sum"), Label("difference"), Label("least")))


def test_values_left_of_some_variables_only() -> None:
    """The same values as when all are asked for; a part that nobody asked for may still be impossible."""
    grid = tuple(Fraction(number) for number in range(8))
    sums = [
        Linear({"a": Fraction(1), "b": Fraction(1)}, "<=", Fraction(5)),
        Linear({"b": Fraction(1)}, ">=", Fraction(3)),
    ]
    problem = Problem(dict.fromkeys("abcd", grid), tuple(sums))
    whole, some = remaining(problem), remaining(problem, names=("a",))
    assert isinstance(whole, Remaining)
    assert isinstance(some, Remaining)
    assert some.values == {"a": whole.values["a"]}
    odd = Linear({"c": Fraction(2), "d": Fraction(-2)}, "=", Fraction(1), Label("odd"))
    assert isinstance(remaining(Problem(problem.variables, (*sums, odd)), names=("a",)), NoSolution)

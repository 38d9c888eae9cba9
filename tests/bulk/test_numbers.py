"""Expressions over floats say what the reference says of exact numbers, or that they cannot tell."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from itertools import product
from math import isnan

from hypothesis import example, given
from hypothesis import strategies as st
from tests.bulk.shortlogs import log, parted, rules

from ringcut.bulk.numbers import NAMES, NEAR, NotThere, size_of, text_of
from ringcut.language import nodes as n
from ringcut.language.ir import Rulebook
from ringcut.relations.evaluate import value
from ringcut.relations.procedure import Procedure
from ringcut.relations.spans import Missing, Span, Value, exactly
from ringcut.relations.truth import Cause
from ringcut.relations.view import View

NAMED = ("p", "q", "r", "gone")
P_AND_Q = (n.Reading("step", "p"), n.Reading("step", "q"))
TENTHS = {"p": Fraction(1, 10), "q": Fraction(2, 10), "r": Fraction(3, 10)}
LEAVES: st.SearchStrategy[n.Node] = st.one_of(
    st.sampled_from(NAMED).map(lambda name: n.Reading("step", name)),
    st.fractions(-50, 50, max_denominator=30).map(lambda number: n.Const(number, "count")),
)


def grown(inner: st.SearchStrategy[n.Node]) -> st.SearchStrategy[n.Node]:
    """Sums, products, quotients and the functions of the language over what there is."""
    pairs = st.tuples(inner, inner)
    return st.one_of(
        st.tuples(st.sampled_from("+-*/"), inner, inner).map(lambda each: n.Arithmetic(*each)),
        st.tuples(st.sampled_from(["min", "max", "angle-between"]), pairs).map(lambda each: n.Call(*each)),
        inner.map(lambda each: n.Call("abs", (each,))),
        inner.map(lambda each: n.Call("both", (each,))),
        pairs.map(n.FirstOf),
    )


class Known:
    """The readings of one step: one exact number each, the same on every side."""

    def __init__(self, view: View, numbers: dict[str, Fraction]) -> None:
        self.view, self.numbers = view, numbers
        self.sides, self.level, self.fact, self.cell = view.sides, view.level, view.fact, view.cell
        self.condition = view.condition

    def reading(self, step: str, name: str, side: str) -> Value:
        """A number, or nothing."""
        found = self.numbers.get(name)
        return Missing(Cause("reading", name)) if found is None else exactly(found)


class Named:
    """The same readings as variables of a text."""

    def __init__(self, known: Known) -> None:
        self.known, self.view = known, known.view

    def number(self, step: str, name: str, side: str) -> str:
        """The name of a variable."""
        if name not in self.known.numbers:
            raise NotThere
        return name

    def of_job(self, node: n.Node, side: str) -> str:
        """Numbers that rest on no reading, here constants only."""
        found = value(node, self.known, side)
        if not isinstance(found, Span):
            raise NotThere
        return repr(float(found.low or 0))

    def cell(self, node: n.Lookup, side: str) -> str:
        """No look-ups here."""
        raise NotImplementedError


def rests_on_readings(node: n.Node) -> bool:
    """Whether a reading stands in it."""
    return any(isinstance(each, n.Reading) for each in n.walk(node))


@given(
    node=st.recursive(LEAVES, grown, max_leaves=8),
    numbers=st.fixed_dictionaries(dict.fromkeys(NAMED[:3], st.fractions(-50, 50, max_denominator=30))),
)
@example(n.Arithmetic("-", n.Arithmetic("+", *P_AND_Q), n.Reading("step", "r")), TENTHS)
@example(n.Arithmetic("/", P_AND_Q[0], n.Arithmetic("-", n.Arithmetic("+", *P_AND_Q), n.Reading("step", "r"))), TENTHS)
def test_floats_are_near_the_exact_number(book: Rulebook, node: n.Node, numbers: dict[str, Fraction]) -> None:
    """So near as the size says that they are, of numbers that no float holds and that cancel."""
    known = Known(View(Procedure(False, {}, {}, []), book), numbers)
    exact = value(node, known, "A")
    try:
        text, size = (expression(node, "A", Named(known), rests_on_readings) for expression in (text_of, size_of))
    except NotThere:
        assert isinstance(exact, Missing)
        return
    floats = {name: float(number) for name, number in numbers.items()}
    found, room = (eval(each, dict(NAMES), floats) for each in (text, size))
    if isnan(found) or isnan(room):
        return  # cannot tell: judged exactly
    if isinstance(exact, Missing):
        assert abs(found) <= NEAR * room, "a division by what is nothing but rounding passed for a number"
        return
    assert isinstance(exact, Span) and exact.exact and exact.low is not None
    assert abs(found - float(exact.low)) <= NEAR * room


def test_what_cancels_is_judged_exactly(small_book: Callable[..., Rulebook]) -> None:
    """Of 0.3 in and 1.5 in less 1.8 in floats leave a little, which was taken for too much; and a chain of which one
    side cannot be known was taken for unknown where the other fails."""
    words = "steps: {cut: {says: cut, readings: {a: {kind: length, unit: in}, b: {kind: length, unit: in}, c: "
    forms = rules(
        least="limit: cut.a + cut.b - cut.c >= 0 in",
        most="limit: cut.a + cut.b - cut.c <= 0 in",
        ratio="limit: cut.a / (cut.a + cut.b - cut.c) <= 5",
        chain="limit: cut.a - cut.b < 1.05 in < cut.c + cut.b",
    )
    book = small_book(f"{words}{{kind: length, unit: in}}}}}}}}", forms)
    lines = [
        log([{"do": "cut", "a": f"0.{a} in", "b": f"1.{b} in"} | ({"c": f"{c / 10} in"} if c else {})])
        for a, b in product(range(1, 10), repeat=2)
        for c in (0, 1, a + 10 + b)
    ]
    assert list(parted(lines, book)) == []

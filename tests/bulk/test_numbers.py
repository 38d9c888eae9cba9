"""Expressions over floats say what the reference says of exact numbers, or that they cannot tell."""

from __future__ import annotations

from fractions import Fraction
from math import isnan

from hypothesis import assume, given
from hypothesis import strategies as st

from ringcut.bulk.numbers import NAMES, NotThere, text_of
from ringcut.language import nodes as n
from ringcut.language.ir import Rulebook
from ringcut.relations.evaluate import value
from ringcut.relations.procedure import Procedure
from ringcut.relations.spans import Missing, Span, Value, exactly
from ringcut.relations.truth import Cause
from ringcut.relations.view import View

NAMED = ("p", "q", "r", "gone")
LEAVES: st.SearchStrategy[n.Node] = st.one_of(
    st.sampled_from(NAMED).map(lambda name: n.Reading("step", name)),
    st.fractions(-50, 50, max_denominator=16).map(lambda number: n.Const(number, "count")),
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
    numbers=st.fixed_dictionaries(dict.fromkeys(NAMED[:3], st.fractions(-50, 50, max_denominator=16))),
)
def test_floats_are_near_the_exact_number(book: Rulebook, node: n.Node, numbers: dict[str, Fraction]) -> None:
    known = Known(View(Procedure(False, {}, {}, []), book), numbers)
    exact = value(node, known, "A")
    try:
        text = text_of(node, "A", Named(known), rests_on_readings)
    except NotThere:
        assert isinstance(exact, Missing)
        return
    found = eval(text, dict(NAMES), {name: float(number) for name, number in numbers.items()})
    if isnan(found):
        return  # cannot tell: judged exactly
    assume(isinstance(exact, Span))
    assert isinstance(exact, Span) and exact.exact and exact.low is not None
    assert abs(found - float(exact.low)) <= 1e-6 * (1 + abs(found))

"""The diameters of the prepared area before anybody can measure them: the cable, its layers, its bar and clamps.

These are estimates for choosing a sleeve. The measured diameters decide, and the plan says within which limits it
holds.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

import msgspec

from ringcut.draft.stock import Sleeve, sleeves
from ringcut.draft.tapes import LAYERS, Tape, lap_of, tapes
from ringcut.fit.bindinglimits import Open
from ringcut.language import ir
from ringcut.relations.procedure import Occurrence, Procedure
from ringcut.relations.spans import Span, Value, Words, exactly

MEASURED = "measure-diameters"
CABLE = ("cable-diameter", "second-diameter")
"""The facts that say how thick the cable is."""
GRID = Fraction("0.000254")
"""0.01 in, where the vocabulary gives measured diameters no resolution."""


class Estimate(msgspec.Struct, frozen=True):
    """A diameter in metres and what it is made of."""

    smallest: Fraction
    largest: Fraction
    because: tuple[str, ...]


def estimated(procedure: Procedure, book: ir.Rulebook) -> Estimate | None:
    """The smallest and the largest diameter to expect under the sleeve; None without a cable diameter or sleeve."""
    ends = [end for fact in CABLE if isinstance(end := procedure.job.get((fact, "")), Span)]
    low = min((end.low for end in ends if end.low is not None), default=None)
    high = max((end.high for end in ends if end.high is not None), default=None)
    if ("cable-diameter", "") not in procedure.job or low is None or high is None:
        return None
    measured = _measurements(procedure)
    if not measured:
        return None
    kinds = tapes(book)
    thickest = Fraction(0)
    because = ["the cable" if len(ends) == 1 else "the cable at both ends"]
    for each in procedure.occurrences:
        added, words = build_up(each, kinds)
        if each.index < measured[-1].index and added:
            thickest += added
            because.append(words)
    grid = book.steps[MEASURED].readings["smallest"].resolution or GRID
    return Estimate(round(low / grid) * grid, round((high + thickest) / grid) * grid, tuple(dict.fromkeys(because)))


def assumed(procedure: Procedure, estimate: Estimate | None) -> dict[Open, Value]:
    """The estimate as readings taken for granted while sizes are chosen."""
    if estimate is None:
        return {}
    found: dict[Open, Value] = {}
    for each in _measurements(procedure):
        found[Open(each.index, "smallest")] = exactly(estimate.smallest)
        found[Open(each.index, "largest")] = exactly(estimate.largest)
    return found


def expected(estimate: Mapping[Open, Value], which: str) -> Fraction | None:
    """A diameter as estimated before the work, in metres; of several the one that asks most of a sleeve."""
    spans = [span for where, span in estimate.items() if where.reading == which and isinstance(span, Span)]
    found = [edge for span in spans for edge in (span.low, span.high) if edge is not None]
    return (min(found) if which == "smallest" else max(found)) if found else None


def fitting(book: ir.Rulebook, estimate: Mapping[Open, Value]) -> tuple[Sleeve, ...]:
    """The sleeves in stock that go over the largest estimate and shrink onto the smallest; none where there is none."""
    least, most = expected(estimate, "smallest"), expected(estimate, "largest")
    if least is None or most is None:
        return ()
    return tuple(row for row in sleeves(book) if row.slips_over >= most and row.shrinks_to <= least)


def _measurements(procedure: Procedure) -> list[Occurrence]:
    return [each for each in procedure.occurrences if each.step == MEASURED]


def build_up(each: Occurrence, stock: dict[str, Tape]) -> tuple[Fraction, str]:
    """What a step adds to the diameter, in metres, and its name; nothing where it wraps no layer."""
    if each.step == "place-permanent-bond":
        said = each.readings.get(("conductor", ""))
        kind = said.options[0] if isinstance(said, Words) and len(said.options) == 1 else "bar"
        bond = stock.get(f"bond-{kind}", stock.get("bond-bar"))
        return (bond.thickness if bond else Fraction(0)), f"the {kind}"
    if each.step == "fit-bond-clamps":
        clamp = stock.get("bond-clamp")
        return (clamp.thickness if clamp else Fraction(0)), "the clamps"
    layer = LAYERS.get(each.step)
    if layer is None:
        return Fraction(0), ""
    tape = layer.tape_of(each, stock)
    if tape is None:
        return Fraction(0), ""
    return 2 * layer.count(each) * tape.thickness / (1 - lap_of(each, layer)), layer.words

"""How much tape the layers of a plan take: a helix over a diameter that grows with every layer.

Thickness, width and roll length are in the table ``tapes`` of the rulebook.
"""

from __future__ import annotations

from fractions import Fraction
from math import ceil, hypot, pi

import msgspec

from ringcut.language import ir
from ringcut.reading.measures import Refusal, to_base
from ringcut.relations.procedure import Occurrence
from ringcut.relations.spans import Span, Words

TABLE = "tapes"
LAPS = {"none": Fraction(0), "third": Fraction(1, 3), "half": Fraction(1, 2), "two-thirds": Fraction(2, 3)}
"""How far each turn covers the one before."""


class Tape(msgspec.Struct, frozen=True):
    """A row of the table, lengths in metres; ``roll`` is zero for what does not come on rolls."""

    name: str
    width: Fraction
    thickness: Fraction
    roll: Fraction


class Layer(msgspec.Struct, frozen=True):
    """A step that wraps tape: which row, how many layers or turns where the step does not say, and its lap."""

    tape: str
    words: str
    layers: int = 1
    lap: str = "half"
    turns: bool = False
    """Turns upon each other and no helix."""
    narrow: str = ""
    """The row for the same tape where it is narrower."""

    def tape_of(self, each: Occurrence, stock: dict[str, Tape]) -> Tape | None:
        """The row of the tape that a step uses."""
        wide, narrow = stock.get(self.tape), stock.get(self.narrow)
        width = each.readings.get(("width", ""))
        if narrow and wide and isinstance(width, Span) and width.low is not None:
            return narrow if abs(width.low - narrow.width) < abs(width.low - wide.width) else wide
        return wide or narrow

    def count(self, each: Occurrence) -> int:
        """Layers or turns."""
        said = each.readings.get(("laps" if self.turns else "layers", ""))
        if said is None:
            said = each.readings.get(("layers", ""))
        return int(said.low) if isinstance(said, Span) and said.low is not None else self.layers


LAYERS = {
    "wrap-muslin": Layer("muslin", "muslin"),
    "wrap-polyethylene-tape": Layer("polyethylene", "polyethylene tape", 2),
    "wrap-rubber-tape": Layer("rubber", "rubber tape", 2, narrow="rubber-narrow"),
    "tape-clamps": Layer("rubber", "tape over the clamps", 2, "none", turns=True),
    "wrap-vinyl-tape": Layer("vinyl", "vinyl tape", 2, "none", turns=True),
    "tie-bar": Layer("rubber-narrow", "the tie of the bar", 2, "none", turns=True),
    "ramp-transition": Layer("rubber-narrow", "the ramp", 2, narrow="rubber-narrow"),
    "wrap-aluminum-tape": Layer("aluminum", "aluminum tape", 1, "none", turns=True),
}
"""Steps that build up layers."""


def tapes(book: ir.Rulebook) -> dict[str, Tape]:
    """The table of tapes, by name; empty where the rulebook has none."""
    table = book.tables.get(TABLE)
    if table is None:
        return {}
    found = {}
    for row in table.rows:
        cells = {name: cell.text for name, cell in zip(table.columns, row, strict=True)}
        numbers = {}
        for name in ("width", "thickness", "roll"):
            base = to_base(Fraction(cells.get(name) or 0), table.units.get(name, "in"), "length")
            numbers[name] = Fraction(0) if isinstance(base, Refusal) else base
        found[cells["tape"]] = Tape(cells["tape"], **numbers)
    return found


def lap_of(each: Occurrence, layer: Layer) -> Fraction:
    """The share of its width by which a turn covers the one before."""
    said = each.readings.get(("lap", ""))
    name = said.options[0] if isinstance(said, Words) and len(said.options) == 1 else layer.lap
    return LAPS.get(name, Fraction(0))


def helix_length(diameter: float, covered: float, tape: Tape, layers: int, lap: Fraction) -> float:
    """Length of tape, in metres, for some layers over a cylinder; ``diameter`` and ``covered`` length in metres.

    The middle of the tape runs along a helix with the pitch that the lap leaves; each layer lies on the build-up of
    those under it (a lapped layer is as thick as the tapes that overlap); one turn more at each end closes the layer.
    """
    pitch = float(tape.width * (1 - lap))
    build = float(tape.thickness / (1 - lap))
    turns = covered / pitch + 1
    total = 0.0
    for layer in range(layers):
        middle = diameter + 2 * layer * build + build
        total += turns * hypot(pi * middle, pitch)
    return total


def spiral_length(diameter: float, tape: Tape, turns: int) -> float:
    """Length of tape, in metres, for turns upon each other."""
    thickness = float(tape.thickness)
    return sum(pi * (diameter + (2 * turn + 1) * thickness) for turn in range(turns))


def rolls(length: float, tape: Tape) -> int:
    """Whole rolls for a length in metres."""
    return ceil(length / float(tape.roll)) if tape.roll else 0

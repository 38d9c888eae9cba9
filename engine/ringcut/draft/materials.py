"""What a plan takes from the truck: sleeve and channel, tape by the roll, bar, pads, and what its steps use up."""

from __future__ import annotations

from fractions import Fraction
from math import ceil

import msgspec

from ringcut.draft import stock
from ringcut.draft.diameters import Estimate, build_up
from ringcut.draft.longrepair import pieces_of
from ringcut.draft.metric import length_unit
from ringcut.draft.tapes import LAYERS, Layer, Tape, helix_length, lap_of, rolls, spiral_length, tapes
from ringcut.language import ir
from ringcut.reading.measures import show
from ringcut.relations.procedure import Occurrence, Procedure
from ringcut.relations.spans import Span, Value, Words

FOOT = 0.3048
"""Metres."""
SUNDRIES = {
    "place-desiccant": "desiccant",
    "clean-polyethylene": "solvent and clean cloths",
    "clean-inner-sheath": "solvent and clean cloths",
    "clean-residue": "solvent and clean cloths",
    "clean-lead": "cloths for lead, and a bag for them",
    "scuff-lead": "abrasive strip",
    "scuff-polyethylene": "abrasive strip",
    "scuff-inner-sheath": "abrasive strip",
    "soap-test": "soap solution",
    "preheat-lead": "torch and fuel",
    "shrink-sleeve": "torch and fuel",
    "peel-old-sleeve": "torch and fuel",
    "bag-scrap": "bags for lead scrap",
    "temporary-closure": "weather wrap",
}
"""What a step uses up, in amounts that nobody measures."""


class Material(msgspec.Struct, frozen=True, rename="kebab"):
    """A line of the material list: what, how much, and what it is for."""

    item: str
    amount: str
    what_for: str = ""
    note: str = ""


def materials_of(procedure: Procedure, book: ir.Rulebook, estimate: Estimate | None) -> tuple[Material, ...]:
    """The list, tape summed over the steps that use the same; lengths of tape need the diameter estimated."""
    found = [*_sleeve(procedure, book), *_pieces(procedure, length_unit(book)), *_tape(procedure, book, estimate)]
    seen = dict.fromkeys(SUNDRIES[each.step] for each in procedure.occurrences if each.step in SUNDRIES)
    return (*found, *(Material(item, "as needed") for item in seen))


def _sleeve(procedure: Procedure, book: ir.Rulebook) -> list[Material]:
    size, cut = _word(procedure, "select-sleeve", "size"), _length(procedure, "trim-sleeve", "sleeve-length")
    count, unit = pieces_of(procedure), length_unit(book)
    found = []
    row = next((each for each in stock.sleeves(book) if each.size.lower() == size.lower()), None)
    if size:
        note = f"{'each ' if count > 1 else ''}cut from {show(row.length, 'length', unit)}" if row and cut else ""
        amount = _times(count, show(cut, "length", unit)) if cut else str(count)
        found.append(Material(f"wraparound sleeve {row.size if row else size}", amount, "the closure", note))
    channel = _length(procedure, "trim-channel", "channel-length")
    if channel:
        found.append(Material("channel", _times(count, show(channel, "length", unit)), "the closure"))
    return found


def _times(count: int, amount: str) -> str:
    return f"{count} of {amount}" if count > 1 else amount


def _pieces(procedure: Procedure, unit: str) -> list[Material]:
    found = []
    for each in procedure.occurrences:
        if each.step == "place-permanent-bond":
            kind, bar = _said(each, "conductor") or "conductor", each.readings.get(("bar-length", ""))
            amount = show(bar.low, "length", unit) if isinstance(bar, Span) and bar.low is not None else "1"
            size, _ = each.texts.get(("conductor-size", ""), ("", None))
            item = f"bond {kind}, {size}" if size else f"bond {kind}"
            found.append(Material(item, amount, "the permanent bond"))
        if each.step == "place-temporary-bond":
            size = _shown(each.readings.get(("conductor-size", "")), "wire-size")
            found.append(Material(f"temporary bond, {size}" if size else "temporary bond", "1", "the shield's path"))
        if each.step == "fit-bond-clamps":
            found.append(Material("bond clamps", str(len(each.sides)), "the shield's ends"))
        pads = each.readings.get(("pads", ""))
        if each.step == "place-pads" and isinstance(pads, Span) and pads.low is not None:
            length = _shown(each.readings.get(("pad-length", "")), "length")
            found.append(
                Material(f"adhesive pads, {length}" if length else "adhesive pads", str(int(pads.low)), "the dam")
            )
    return found


def _tape(procedure: Procedure, book: ir.Rulebook, estimate: Estimate | None) -> list[Material]:
    kinds = tapes(book)
    total: dict[str, float] = {}
    uses: dict[str, dict[str, None]] = {}
    diameter = float(estimate.smallest) if estimate else 0.0
    for each in procedure.occurrences:
        layer = LAYERS.get(each.step)
        tape = layer.tape_of(each, kinds) if layer else None
        if layer is not None and tape is not None:
            uses.setdefault(tape.name, {})[layer.words] = None
            length = _length_of(each, layer, tape, diameter, procedure) if estimate else 0.0
            total[tape.name] = total.get(tape.name, 0.0) + length
        if layer is None or not layer.turns:
            diameter += float(build_up(each, kinds)[0])
    far = "m" if length_unit(book) == "mm" else "ft"
    return [_roll(kinds[name], length, tuple(uses[name]), far) for name, length in total.items()]


def _length_of(each: Occurrence, layer: Layer, tape: Tape, diameter: float, procedure: Procedure) -> float:
    """Metres of tape of one step, all sides together."""
    if layer.turns:
        places = len(each.sides) if each.step in ("tape-clamps", "wrap-aluminum-tape") else 1
        return places * spiral_length(diameter, tape, layer.count(each))
    covered = _covered(each, procedure)
    return helix_length(diameter, covered, tape, layer.count(each), lap_of(each, layer))


def _covered(each: Occurrence, procedure: Procedure) -> float:
    opening = _opening(procedure)
    overlaps = [v for (name, _), v in each.readings.items() if name == "overlap"]
    if len(overlaps) == 1:
        overlaps *= len(each.sides)
    beyond = sum((v.high for v in overlaps if isinstance(v, Span) and v.high is not None), Fraction(0))
    return float(opening + beyond)


def _opening(procedure: Procedure) -> Fraction:
    for step, reading in (("open-sheath", "opening-length"), ("remove-outer-sheath", "section-length")):
        found = _length(procedure, step, reading)
        if found:
            return found
    given = procedure.job.get(("opening-length", ""))
    return given.high if isinstance(given, Span) and given.high is not None else Fraction(0)


def _roll(tape: Tape, length: float, uses: tuple[str, ...], far: str) -> Material:
    """A line for a tape; ``far``: the unit of its length, ft or m. A started roll and a started unit are whole ones."""
    name = f"{tape.name.replace('-narrow', '')} tape, {show(tape.width, 'length', 'in')}"
    if not length:
        return Material(name, "as needed", " and ".join(uses), "the cable diameter is not known")
    count = rolls(length, tape)
    told = f"{ceil(length / FOOT) if far == 'ft' else ceil(length)} {far}"
    amount = f"{count} {'roll' if count == 1 else 'rolls'}" if count else told
    return Material(name, amount, " and ".join(uses), f"{told} of {show(tape.roll, 'length', far)} rolls")


def _word(procedure: Procedure, step: str, reading: str) -> str:
    return next((said for e in procedure.occurrences if e.step == step and (said := _said(e, reading))), "")


def _said(each: Occurrence, reading: str) -> str:
    found = each.readings.get((reading, ""))
    return found.options[0] if isinstance(found, Words) and len(found.options) == 1 else ""


def _length(procedure: Procedure, step: str, reading: str) -> Fraction | None:
    for each in procedure.occurrences:
        found = each.readings.get((reading, "")) if each.step == step else None
        if isinstance(found, Span) and found.high is not None:
            return found.high
    return None


def _shown(found: Value | None, kind: str) -> str:
    return show(found.low, kind) if isinstance(found, Span) and found.low is not None else ""

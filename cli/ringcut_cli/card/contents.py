"""Everything that stands on a work card, as data: gathered from a plan, its report and what a draft knows of it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction

import msgspec

from ringcut.checking import read
from ringcut.draft.diameters import Estimate, assumed, estimated
from ringcut.draft.drawing import drawings_of
from ringcut.draft.holds import Bound, holds_while
from ringcut.draft.materials import Material, materials_of
from ringcut.draft.metric import length_unit
from ringcut.draft.pieces import Drawing
from ringcut.draft.stock import TABLE
from ringcut.draft.timing import times_of
from ringcut.draft.told import clock
from ringcut.judge.findings import CONFORMS, UNDER_CONCESSION, Report
from ringcut.language import ir
from ringcut.reading.measures import show
from ringcut.reading.problems import Problem, Unreadable
from ringcut.reading.procedurefile import read_raw
from ringcut.relations.procedure import Procedure
from ringcut.report.outline import Outline, outline
from ringcut_cli.card.endview import end_view
from ringcut_cli.card.shapes import Picture
from ringcut_cli.card.sideview import side_view
from ringcut_cli.card.steps import Items, rows_of

WIDE, NARROW = 700.0, 340.0
"""Pixels of the side view on paper and on a phone."""
SHOWN_FACTS = (
    "work", "sheath", "construction", "jacket", "core", "cable-diameter", "opening-length", "pressurized", "fed",
    "location", "manhole-depth", "pit-depth", "joint-with-power", "in-traffic", "contractor", "district", "date",
)  # fmt: skip


class Phone(msgspec.Struct, frozen=True):
    """A telephone number as typed in the job, and its digits for a telephone (empty: none found)."""

    words: str
    digits: str


class View(msgspec.Struct, frozen=True):
    """The pictures of one closure; ``lacking`` says what could not be drawn."""

    closure: str
    wide: Picture | None
    narrow: Picture | None
    end: Picture | None
    kinds: tuple[str, ...]
    """What the key of the side view explains."""
    around: tuple[str, ...]
    """What the key of the end view explains."""
    lacking: tuple[str, ...]


class Card(msgspec.Struct, frozen=True):
    """A work card. ``good``: the plan conforms, or does so under a concession."""

    report: Report
    told: Outline
    good: bool
    facts: tuple[tuple[str, str], ...]
    phones: tuple[Phone, ...]
    views: tuple[View, ...]
    items: Items
    holds: tuple[Bound, ...]
    materials: tuple[Material, ...]
    times: tuple[tuple[str, str], ...]
    estimates: str
    invented: bool
    """Whether sizes are from a stock list that is an invented example."""


def card_of(data: bytes, file: str, book: ir.Rulebook, report: Report) -> Card:
    """The card of a plan that was read and judged; :class:`Unreadable` where it is no plan."""
    raw = read_raw(data, file, [])
    procedure = read(data, file, book)
    if raw is None or not procedure.plan:
        place = procedure.place
        hint = "a log goes to audit"
        raise Unreadable([Problem(place, "this is a log; a work card is made of a plan", "procedure: plan", hint)])
    estimate = estimated(procedure, book)
    good = report.verdict in (CONFORMS, UNDER_CONCESSION)
    table = book.tables.get(TABLE)
    return Card(
        report,
        outline(report),
        good,
        _facts(procedure),
        phones_of(procedure.job_texts.get("phones", ("",))[0]),
        tuple(_view(each) for each in drawings_of(procedure, book)),
        rows_of(raw, data, procedure, book, report.to_measure),
        # a plan that does not conform as it stands has no limits within which it does
        holds_while(procedure, book, assumed(procedure, estimate)) if good else (),
        materials_of(procedure, book, estimate),
        _times(procedure, book),
        _estimated(estimate, length_unit(book)),
        table is not None and table.invented,
    )


def phones_of(text: str) -> tuple[Phone, ...]:
    """The numbers in a text, one to a semicolon."""
    parts = [part.strip() for part in text.split(";") if part.strip()]
    return tuple(Phone(part, _digits(part)) for part in parts)


def _digits(text: str) -> str:
    """The longest run that can be dialled, of at least three digits; only digits and a plus come through."""
    runs = [re.sub(r"[^\d+]", "", run) for run in re.findall(r"\+?[\d][\d ()/.-]*", text, re.ASCII)]
    return max((run for run in runs if len(run) >= 3), key=len, default="")


def _facts(procedure: Procedure) -> tuple[tuple[str, str], ...]:
    """Job facts as typed; those that differ by side are shown by their values."""
    found = []
    for name in SHOWN_FACTS:
        if name in procedure.job_texts:
            found.append((name.replace("-", " "), procedure.job_texts[name][0]))
        else:
            sided = [(side, value) for (fact, side), value in procedure.job.items() if fact == name and side]
            words = [f"{side} {', '.join(getattr(value, 'options', ()))}" for side, value in sided]
            found += [(name.replace("-", " "), ", ".join(words))] if words else []
    return tuple(found)


def _view(drawing: Drawing) -> View:
    kinds = dict.fromkeys(["sheath", *(piece.kind for piece in drawing.pieces)])
    angles = (("bar", drawing.bar_angle), ("channel", drawing.channel_angle))
    return View(
        drawing.closure,
        side_view(drawing, WIDE),
        side_view(drawing, NARROW),
        end_view(drawing),
        tuple(kinds),
        tuple(name for name, angle in angles if angle is not None),
        drawing.lacking,
    )


def _times(procedure: Procedure, book: ir.Rulebook) -> tuple[tuple[str, str], ...]:
    times = times_of(procedure, book)
    found: Sequence[tuple[str, Fraction | None]] = (
        ("The whole work", times.whole or None),
        (f"{times.opened.capitalize()} is open for", times.sheath_open),
        ("Pressure can return after, at the earliest", times.pressure_back),
    )
    return tuple((words, clock(seconds)) for words, seconds in found if seconds is not None)


def _estimated(estimate: Estimate | None, unit: str) -> str:
    if estimate is None:
        return ""
    least, most = (show(each, "length", unit) for each in (estimate.smallest, estimate.largest))
    return f"Estimated before the work: smallest diameter {least}, largest {most} ({', '.join(estimate.because)})."

"""Sheets with a row a job: steps in the order of their columns, ticks and readings of one step together."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringcut.archive.columnfile import read_columns
from ringcut.archive.columns import Column, ColumnFile, Marks
from ringcut.archive.lexicon import RulebookLexicon
from ringcut.archive.logs import ReadLog
from ringcut.archive.spreadsheets import Reading, read_spreadsheet
from ringcut.language.compile import compile_partly
from ringcut.language.sources import read_sources
from ringcut.reading.raw import RawStep

WORDS = RulebookLexicon(compile_partly(read_sources(Path(__file__).parents[2] / "rulebook"), []))
HEAD = """\
shape: ticks
records: milestones
marks: {done: [x, "✓"], not-done: [o], not-applicable: [N/A]}
columns:
  Order: reference
"""


def read(columns: str, text: str, lexicon: RulebookLexicon) -> Reading:
    spec = read_columns((HEAD + columns).encode(), "c.yaml", lexicon)
    return read_spreadsheet(text.encode(), "t.csv", lexicon, spec)


def steps_of(log: ReadLog) -> list[RawStep]:
    return [step for step in log.raw.steps if isinstance(step, RawStep)]


def steps(read: Reading) -> list[RawStep]:
    return steps_of(read.logs[0])


def told(read: Reading) -> list[str]:
    """Each step with its readings and, where it was not done, its status."""
    return [
        " ".join(
            [
                step.do.text,
                *(f"{each.name.text}={each.value.text if each.value else each.sides}" for each in step.readings),
                *([step.status.text] if step.status else []),
            ]
        )
        for step in steps(read)
    ]


def test_a_step_without_a_tick_stands_where_its_reading_stands(lexicon: RulebookLexicon) -> None:
    columns = """\
  FV (V): {reading: check-foreign-voltage.voltage, unit: V}
  Cleaned: {step: clean-lead}
  Scuff (in): {reading: scuff-lead.scuffed-length, unit: in}
  Scuffed: {step: scuff-lead}
  Ways: {reading: identify-cable.ways}
"""
    found = read(columns, "Order,FV (V),Cleaned,Scuff (in),Scuffed,Ways\nX-1,0,x,7,x,2\n", lexicon)
    assert told(found) == [
        "check-foreign-voltage voltage=0 V", "clean-lead", "scuff-lead scuffed-length=7 in", "identify-cable ways=2",
    ]  # fmt: skip


def test_a_reading_behind_the_last_tick_does_not_say_when_its_step_was_done(lexicon: RulebookLexicon) -> None:
    """Symptom: of a block of lengths at the end of each row the sleeve was found to be cut after it was put on."""
    columns = """\
  Zero (psi): {reading: confirm-zero.gauge-pressure, unit: psi}
  Sleeve on: {step: assemble-sleeve}
  Bond (in): {reading: assemble-sleeve.bond-length, unit: in}
  Cut (in): {reading: trim-sleeve.sleeve-length, unit: in}
"""
    found = read(columns, "Order,Zero (psi),Sleeve on,Bond (in),Cut (in)\nX-1,0,x,5-1/2,17\n", lexicon)
    assert [(each.do.text, each.unlisted) for each in steps(found)] == [
        ("confirm-zero", False), ("assemble-sleeve", False), ("trim-sleeve", True),
    ]  # fmt: skip


def test_readings_that_come_again_are_of_the_doing_before_them(lexicon: RulebookLexicon) -> None:
    columns = """\
  LEL 1: {reading: test-atmosphere.combustible-gas, unit: "%LFL"}
  O2 1: {reading: test-atmosphere.oxygen, unit: "%"}
  Torch: {step: light-torch}
  Air 2: {step: test-atmosphere}
  LEL 2: {reading: test-atmosphere.combustible-gas, unit: "%LFL"}
  O2 2: {reading: test-atmosphere.oxygen, unit: "%"}
"""
    found = read(columns, "Order,LEL 1,O2 1,Torch,Air 2,LEL 2,O2 2\nX-1,40,20.1,x,x,0,20.9\n", lexicon)
    assert told(found) == [
        "test-atmosphere combustible-gas=40 %LFL oxygen=20.1 %", "light-torch",
        "test-atmosphere combustible-gas=0 %LFL oxygen=20.9 %",
    ]  # fmt: skip


def test_a_cell_that_cannot_be_read_leaves_its_step_there(lexicon: RulebookLexicon) -> None:
    columns = "  Bond A (in): {reading: assemble-sleeve.bond-length}\n  Torch: {step: light-torch}\n"
    found = read(columns, "Order,Bond A (in),Torch\nX-1,13,x\n", lexicon)
    assert told(found) == ["assemble-sleeve", "light-torch"]
    assert [(each.where, each.kind) for each in found.not_taken] == [("2:B", "unit-mixed-up")]


@pytest.mark.parametrize(
    ("cell", "step"),
    [
        ("N/A", ["check-foreign-voltage not-applicable"]),
        ("n/a", ["check-foreign-voltage not-applicable"]),
        ("o", ["check-foreign-voltage not-done"]),
        ("-", []),
        ("0 V", ["check-foreign-voltage voltage=0 V"]),
    ],
)
def test_a_mark_in_place_of_a_reading_is_no_doing(cell: str, step: list[str], lexicon: RulebookLexicon) -> None:
    columns = "  FV: {reading: check-foreign-voltage.voltage}\n  Torch: {step: light-torch}\n"
    assert told(read(columns, f"Order,FV,Torch\nX-1,{cell},x\n", lexicon)) == [*step, "light-torch"]


@pytest.mark.parametrize(
    ("cell", "step"),
    [("✓", "cool-closure by-hand=yes"), ("o", "cool-closure by-hand=no"), ("ok", "cool-closure by-hand=yes"),
     ("glove", "cool-closure by-hand=yes"), ("N/A", "cool-closure not-applicable"), ("35", "cool-closure")],
)  # fmt: skip
def test_a_tick_may_be_a_reading(cell: str, step: str, lexicon: RulebookLexicon) -> None:
    columns = '  Cool: {reading: cool-closure.by-hand, words: {ok: "yes", glove: "yes"}}\n  T: {step: light-torch}\n'
    assert told(read(columns, f"Order,Cool,T\nX-1,{cell},\n", lexicon)) == [step]


@pytest.mark.parametrize(("empty", "step"), [("not-recorded", []), ("not-done", ["light-torch not-done"])])
def test_an_empty_tick(empty: str, step: list[str], lexicon: RulebookLexicon) -> None:
    columns = "  Torch: {step: light-torch}\n  Muslin: {step: wrap-muslin}\n"
    spec = read_columns(f"{HEAD}{columns}".replace("{done:", f"{{empty: {empty}, done:").encode(), "c.yaml", lexicon)
    found = read_spreadsheet(b"Order,Torch,Muslin\nX-1,,x\n", "t.csv", lexicon, spec)
    assert told(found) == [*step, "wrap-muslin"]


def test_the_own_text_of_a_tick_is_kept(lexicon: RulebookLexicon) -> None:
    columns = "  Torch: {step: light-torch}\n  FV: {reading: check-foreign-voltage.voltage}\n"
    found = read(columns, "Order,Torch,FV\nX-1,✓,13 bad\n", lexicon)
    assert {key: found.logs[0].texts[key] for key in ("2:B", "2:C")} == {"2:B": "✓", "2:C": "13 bad"}


def test_two_times_in_a_tick_column(lexicon: RulebookLexicon) -> None:
    found = read("  Torch: {step: light-torch}\n", "Order,Torch\nX-1,0915-0940\n", lexicon)
    (step,) = steps(found)
    assert step.started and step.at and (step.started.text, step.at.text) == ("09:15", "09:40")


STEPS = ("light-torch", "scuff-lead", "wipe-lead", "shut-torch")
READINGS = {
    "check-foreign-voltage": "voltage",
    "identify-cable": "ways",
    "trim-sleeve": "sleeve-length",
    "scuff-lead": "scuffed-length",
}
VALUES = {"voltage": "0 V", "ways": "2", "sleeve-length": "16 in", "scuffed-length": "7 in"}


@given(st.permutations([*STEPS, *(f"{step}.{name}" for step, name in READINGS.items())]), st.data())
def test_steps_stand_in_the_order_of_their_columns(order: list[str], data: st.DataObject) -> None:
    """By hand: a step stands at its own tick column, else where its reading stands; an empty cell says nothing."""
    filled = [data.draw(st.booleans(), label=name) for name in order]
    columns = {
        f"H{at}": Column(step=(name,)) if "." not in name else Column(reading=(name,)) for at, name in enumerate(order)
    }
    spec = ColumnFile(columns={"Order": Column("reference"), **columns}, shape="ticks", marks=Marks(done=("x",)))
    cells = [
        (VALUES[name.partition(".")[2]] if "." in name else "x") if full else ""
        for name, full in zip(order, filled, strict=True)
    ]
    text = f"Order,{','.join(columns)}\nX-1,{','.join(cells)}\n"
    there = [name for name, full in zip(order, filled, strict=True) if full]
    expected = [name.partition(".")[0] for name in there if "." not in name or name.partition(".")[0] not in there]
    logs = read_spreadsheet(text.encode(), "t.csv", WORDS, spec).logs
    assert [step.do.text for log in logs for step in log.raw.steps if isinstance(step, RawStep)] == expected
    taken = [name for name in there if "." in name]
    given_ = [f"{step.do.text}.{each.name.text}" for log in logs for step in steps_of(log) for each in step.readings]
    assert sorted(given_) == sorted(taken)

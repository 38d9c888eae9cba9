"""Cells of readings as spreadsheets spoil them: taken as written, or told; never repaired."""

from __future__ import annotations

import datetime

import pytest

from ringcut.archive.cells import Cell, letter
from ringcut.archive.columns import Column
from ringcut.archive.ledger import Ledger, ranges
from ringcut.archive.lexicon import RulebookLexicon
from ringcut.archive.values import Context, take_two, take_value


def take(text: str, target: str, unit: str, lexicon: RulebookLexicon, **column: str) -> tuple[str | None, Ledger]:
    step, reading = target.split(".")
    word = lexicon.word(step, reading)
    assert word
    ledger = Ledger("x.csv", "columns.yaml")
    context = Context(Column(**column), reading.upper(), unit, "month-first")  # type: ignore[arg-type]
    return take_value(Cell(text, 7, 11), word, context, ledger), ledger


BOND, PRESSURE = "assemble-sleeve.bond-length", "restore-pressure.gauge-pressure"
OXYGEN, GAS = "test-atmosphere.oxygen", "test-atmosphere.combustible-gas"


@pytest.mark.parametrize(
    ("text", "target", "unit", "taken"),
    [
        ("5½", BOND, "in", "5½ in"),
        ("5-1/2", BOND, "in", "5-1/2 in"),
        # symptom: sixteenths were refused as dates, so that such a sheet had hardly a bond length
        ("4-15/16", BOND, "in", "4-15/16 in"),
        ("5-7/32", BOND, "in", "5-7/32 in"),
        ('5 1/2"', BOND, "in", '5 1/2"'),
        ("12.7 cm", BOND, "in", "12.7 cm"),
        ("20.9%", OXYGEN, "%", "20.9%"),
        ("20.9", OXYGEN, "%", "20.9 %"),
        ("<1", GAS, "%LFL", "<1 %LFL"),
        ("0", PRESSURE, "psi", "0 psi"),
        ("y", "hold-test.isolated", "", "yes"),
        ("Bond bar", "place-permanent-bond.conductor", "", "bar"),
        ("3", "soap-test.leaks", "", "3"),
    ],
)
def test_taken_as_written(text: str, target: str, unit: str, taken: str, lexicon: RulebookLexicon) -> None:
    found, ledger = take(text, target, unit, lexicon)
    assert (found, ledger.not_taken) == (taken, [])


@pytest.mark.parametrize(
    ("text", "target", "unit", "kind", "likelier"),
    [
        ("4-Mar", BOND, "in", "spreadsheet-date", "3/4?"),
        ("Mar 4", BOND, "in", "spreadsheet-date", "3/4?"),
        ("3/4/2026", BOND, "in", "spreadsheet-date", ""),
        ("5-7-16", BOND, "in", "spreadsheet-date", ""),
        ("12,7", BOND, "in", "decimal-comma", "cm? 12.7 cm is 5 in"),
        ("5,5", BOND, "in", "decimal-comma", "5.5 in?"),
        ("127", BOND, "in", "unit-mixed-up", "mm? 127 mm is 5 in"),
        ("42", PRESSURE, "psi", "unit-mixed-up", "kPa? 42 kPa is 6.1 psi"),
        ("101", PRESSURE, "psi", "unit-mixed-up", "absolute kPa? The air alone is 101 kPa"),
        ("209", OXYGEN, "%", "unit-mixed-up", "20.9?"),
        ("0.209", OXYGEN, "%", "unit-mixed-up", "20.9?"),
        ("6.1-6.0", PRESSURE, "psi", "two-readings", ""),
        ("5", BOND, "", "no-unit", ""),
        ("OL", "measure-insulation.resistance", "megohm", "over-range", "write > and the end"),
        ("#REF!", PRESSURE, "psi", "formula", ""),
        ("#####", PRESSURE, "psi", "formula", ""),
        ("=N4*2", PRESSURE, "psi", "formula", ""),
        ("fine", PRESSURE, "psi", "unreadable", ""),
        ("maybe", "hold-test.isolated", "", "unreadable", ""),
        ("rope", "place-permanent-bond.conductor", "", "unreadable", ""),
    ],
)
def test_not_taken(text: str, target: str, unit: str, kind: str, likelier: str, lexicon: RulebookLexicon) -> None:
    found, ledger = take(text, target, unit, lexicon)
    assert found is None
    (told,) = ledger.not_taken
    assert (told.kind, told.text, told.where) == (kind, text, "7:K")
    assert told.likelier.startswith(likelier) and bool(told.likelier) >= bool(likelier)


def test_implausible_without_a_likelier_reading_is_judged_as_written(lexicon: RulebookLexicon) -> None:
    found, ledger = take("70", GAS, "%LFL", lexicon)
    assert (found, ledger.not_taken) == ("70 %LFL", [])


def test_the_column_file_may_say_what_a_comma_and_ol_mean(lexicon: RulebookLexicon) -> None:
    assert take("12,7", BOND, "cm", lexicon, decimal="comma")[0] == "12.7 cm"
    found, ledger = take("OL", "measure-insulation.resistance", "", lexicon, over_range=">1000 megohm")
    assert found == ">1000 megohm"
    assert [each.kind for each in ledger.assumptions()] == ["over-range"]


def test_a_date_made_by_the_spreadsheet(lexicon: RulebookLexicon) -> None:
    word = lexicon.word("wrap-rubber-tape", "overlap")
    assert word
    ledger = Ledger("x.xlsx")
    cell = Cell("2026-03-04", 2, 3, "date", datetime.datetime(2026, 3, 4))
    assert take_value(cell, word, Context(Column(), unit="in"), ledger) is None
    assert ledger.not_taken[0].says == "looks like 3/4 or 4/3 turned into a date by a spreadsheet"


@pytest.mark.parametrize("text", ["6.1-6.0", "6.1 / 6.0", "6.1 to 6.0", "6.1–6.0"])
def test_two_readings_in_a_cell(text: str, lexicon: RulebookLexicon) -> None:
    words = [lexicon.word("hold-test", name) for name in ("start-pressure", "end-pressure")]
    assert words[0] and words[1]
    context = Context(Column(), unit="psi")
    two = take_two(Cell(text, 1, 1), (words[0], words[1]), (context, context), Ledger("x"))
    assert two == ("6.1 psi", "6.0 psi")


def test_letters_and_ranges() -> None:
    assert [letter(number) for number in (1, 26, 27, 702, 703)] == ["A", "Z", "AA", "ZZ", "AAA"]
    assert ranges([5, 6, 7, 9, 11, 12]) == "5-7, 9, 11-12"

"""The rulebook against published sources: the worked values of law, the gas law, the wire table.

Each check names its source. Clauses are those of copies as read; nothing here claims that they are current.
"""

from __future__ import annotations

import csv
import json
from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from ringcut.checking import read
from ringcut.judge.findings import CONFORMS, NONCONFORMING, NOT_APPLICABLE, UNDETERMINED, Report
from ringcut.judge.judge import judge_procedure
from ringcut.language.ir import Rulebook
from ringcut.reading.wire import awg_area

DATA = Path(__file__).parent / "data"
LETTERS = "ABCDEF"


def said(book: Rulebook, rule: str, job: dict[str, Any], steps: list[Any], kind: str = "log") -> str:
    """The verdict of one rule."""
    return report(book, rule, job, steps, kind).rules[0].verdict


def report(book: Rulebook, rule: str, job: dict[str, Any], steps: list[Any], kind: str = "log") -> Report:
    document = {"procedure": kind, "job": job, "steps": steps}
    procedure = read(json.dumps(document).encode(), "here.yaml", book)
    return judge_procedure(procedure, book, rules=[rule])


# ---- 7 CFR 1755.403(a)(5), shield resistance ---------------------------------------------------------------------


def printed(name: str) -> list[dict[str, str]]:
    """The rows of a printed table, by the words of its heading."""
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


def shield(book: Rulebook, ohms: str, temperature: str, **job: str) -> str:
    """The verdict on a measured length of 1,800 ft of an 8-mil aluminum shield of 1.25 in."""
    facts = {"sheath": "polyethylene", "cable-diameter": "1.25 in", "shield-type": "C"} | {
        key.replace("_", "-"): value for key, value in job.items()
    }
    step = {"do": "measure-shield", "resistance": ohms, "temperature": temperature, "measured-length": "1800 ft"}
    return said(book, "shield-resistance", facts, [step])


def test_worked_values_of_the_shield_clause(book: Rulebook) -> None:
    """7 CFR 1755.403(a)(5), calculated from the clause: expected 0.990 ohm; 1.133 ohm at 68 degF is 14.4 % over."""
    assert shield(book, "1.20 ohm", "95 degF") == CONFORMS
    assert shield(book, "1.45 ohm", "95 degF") == NONCONFORMING
    finding = judged_shield(book, "1.45 ohm", "95 degF").findings[0]
    assert "0.379" in finding.found  # 1.369 - 0.990
    assert "0.297" in finding.needed  # 30 % of 0.990


def judged_shield(book: Rulebook, ohms: str, temperature: str) -> Report:
    job = {"sheath": "polyethylene", "cable-diameter": "1.25 in", "shield-type": "C"}
    step = {"do": "measure-shield", "resistance": ohms, "temperature": temperature, "measured-length": "1800 ft"}
    return report(book, "shield-resistance", job, [step])


def test_the_shield_of_lead_is_not_judged(book: Rulebook) -> None:
    """7 CFR 1755.403(a)(5) has no row for lead."""
    assert shield(book, "1.20 ohm", "95 degF", sheath="lead") == NOT_APPLICABLE


def test_the_rulebooks_table_is_the_printed_one(book: Rulebook) -> None:
    """7 CFR 1755.403(a)(5)(i), ohm per 1000 ft; the one cell that differs is the slip in the last row."""
    own = [[cell.text for cell in row] for row in book.tables["shield-resistance"].rows]
    there = [list(row.values()) for row in printed("shield-resistance-inch.csv")]
    assert len(own) == len(there)
    differ = [(mine, law) for mine, law in zip(own, there, strict=True) if not same(mine, law)]
    assert [(mine[:2], law[:2]) for mine, law in differ] == [(["4.00", "4.09"], ["4.00", "4.99"])]
    assert same(differ[0][0][2:], differ[0][1][2:])


def same(mine: list[str], law: list[str]) -> bool:
    return [Fraction(cell) if cell else None for cell in mine] == [Fraction(cell) if cell else None for cell in law]


def test_every_printed_cell_is_looked_up(book: Rulebook) -> None:
    """7 CFR 1755.403(a)(5)(i): 1000 ft at 68 degF with exactly the printed resistance, at both ends of each row."""
    empty = []
    for row in printed("shield-resistance-inch.csv"):
        for letter in LETTERS:
            for end in (row["from_in"], min(row["to_in"], "4.09") if row["from_in"] == "4.00" else row["to_in"]):
                verdict = thousand_feet(book, end, letter, row[letter] or "1")
                if row[letter]:
                    assert verdict == CONFORMS, (end, letter)
                else:
                    assert verdict == UNDETERMINED, (end, letter)
                    empty.append(letter)
    assert set(empty) == {"D"}


def thousand_feet(book: Rulebook, diameter: str, letter: str, ohms: str) -> str:
    job = {"sheath": "polyethylene", "cable-diameter": f"{diameter} in", "shield-type": letter}
    step = {"do": "measure-shield", "resistance": f"{ohms} ohm", "temperature": "68 degF", "measured-length": "1000 ft"}
    return said(book, "shield-resistance", job, [step])


def test_slip_in_the_last_row_in_inches(book: Rulebook) -> None:
    """As printed 4.00 to 4.99 in; the metric table ends at 103.9 mm, so a cable above 4.09 in has no row."""
    assert printed("shield-resistance-inch.csv")[-1]["to_in"] == "4.99"
    assert printed("shield-resistance-mm.csv")[-1]["to_mm"] == "103.9"
    assert thousand_feet(book, "4.09", "A", "0.07") == CONFORMS
    assert thousand_feet(book, "4.10", "A", "0.07") == UNDETERMINED
    assert "4.09" in book.tables["shield-resistance"].says


def test_slip_in_the_metric_table(book: Rulebook) -> None:
    """As printed one row begins at 83.6 mm, where the row before ends; a cable of 83.6 mm has one row here."""
    rows = printed("shield-resistance-mm.csv")
    touching = [(one["to_mm"], two["from_mm"]) for one, two in pairwise(rows) if one["to_mm"] == two["from_mm"]]
    assert touching == [("83.6", "83.6")]
    job = {"sheath": "polyethylene", "cable-diameter": "83.6 mm", "shield-type": "A"}
    step = {"do": "measure-shield", "resistance": "0.10 ohm", "temperature": "68 degF", "measured-length": "1000 ft"}
    assert said(book, "shield-resistance", job, [step]) == CONFORMS
    assert "83.6" in book.tables["shield-resistance"].says


def test_the_printed_tables_agree_with_each_other() -> None:
    """7 CFR 1755.403(a)(5)(i): ohm per km is ohm per 1000 ft / 0.3048, within the rounding of both."""
    inch, metric = printed("shield-resistance-inch.csv"), printed("shield-resistance-mm.csv")
    assert len(inch) == len(metric)
    for one, other in zip(inch, metric, strict=True):
        for letter in LETTERS:
            assert bool(one[letter]) == bool(other[letter])
            if one[letter]:
                room = Fraction("0.005") / Fraction("0.3048") + Fraction("0.035")
                assert abs(Fraction(one[letter]) / Fraction("0.3048") - Fraction(other[letter])) <= room, (one, letter)


COEFFICIENTS = {"A": ".0021", "C": ".0022", "D": ".0013"}
"""Per degF, 7 CFR 1755.403(a)(5): copper, coated aluminum, alloy 194."""


@pytest.mark.parametrize("letter", COEFFICIENTS)
def test_correction_to_68_degrees(letter: str, book: Rulebook) -> None:
    """R68 = Rt / (1 + A (t - 68)): at 100 degF up to 1.3 x (1 + 32 A) times the table conforms."""
    table = {"A": "0.64", "C": "1.37", "D": "1.63"}[letter]
    most = Fraction(table) * Fraction("1.3") * (1 + 32 * Fraction(COEFFICIENTS[letter]))
    for ohms, verdict in ((most - Fraction("0.001"), CONFORMS), (most + Fraction("0.001"), NONCONFORMING)):
        job = {"sheath": "polyethylene", "cable-diameter": "0.55 in", "shield-type": letter}
        step = {
            "do": "measure-shield", "resistance": f"{float(ohms):.6f} ohm", "temperature": "100 degF",
            "measured-length": "1000 ft",
        }  # fmt: skip
        assert said(book, "shield-resistance", job, [step]) == verdict


# ---- 7 CFR 1755.403(c)(4), (c)(6), insulation --------------------------------------------------------------------


@pytest.mark.parametrize(
    ("length", "least", "short"),
    [("0.75 mile", "666.7 megohm", "666.6 megohm"), ("5000 ft", "528 megohm", "527 megohm")],
)
def test_insulation_limit_by_length(length: str, least: str, short: str, book: Rulebook) -> None:
    """7 CFR 1755.403(c)(4), calculated: 500 megohm-mile is 666.7 megohm on 0.75 mile and 528 on 5,000 ft."""
    for ohms, verdict in ((least, CONFORMS), (short, NONCONFORMING)):
        step = {"do": "measure-insulation", "resistance": ohms, "measured-length": length, "temperature": "68 degF"}
        assert said(book, "insulation-new-plant", {"new-plant": "yes", "core": "plastic"}, [step]) == verdict


def test_a_low_reading_on_a_hot_cable_is_measured_again(book: Rulebook) -> None:
    """7 CFR 1755.403(c)(6): undetermined, not failed."""
    step = {
        "do": "measure-insulation", "resistance": "400 megohm", "measured-length": "1 mile", "temperature": "95 degF",
    }  # fmt: skip
    assert said(book, "insulation-new-plant", {"new-plant": "yes", "core": "plastic"}, [step]) == UNDETERMINED


# ---- 29 CFR 1910.146 and 1910.268 --------------------------------------------------------------------------------

MANHOLE = {"location": "manhole", "work": "sheath-repair", "pressurized": "no"}


@pytest.mark.parametrize(
    ("gas", "verdict"), [("10 %LFL", CONFORMS), ("10.0 %LFL", CONFORMS), ("10.1 %LFL", NONCONFORMING)]
)
def test_combustible_gas_above_ten_percent_is_hazardous(gas: str, verdict: str, book: Rulebook) -> None:
    """29 CFR 1910.146(b), by analogy: above 10 % of LFL; 10.0 itself is not hazardous."""
    steps = [{"do": "test-atmosphere", "combustible-gas": gas, "oxygen": "20.9 %"}, "enter-manhole"]
    assert said(book, "gas-before-entry", MANHOLE, steps) == verdict


@pytest.mark.parametrize(
    ("oxygen", "verdict"),
    [("19.5 %", CONFORMS), ("19.4 %", NONCONFORMING), ("23.5 %", CONFORMS), ("23.6 %", NONCONFORMING)],
)
def test_oxygen_below_and_above_is_hazardous(oxygen: str, verdict: str, book: Rulebook) -> None:
    """29 CFR 1910.146(b), by analogy: below 19.5 % or above 23.5 %; the limits themselves are not hazardous."""
    steps = [{"do": "test-atmosphere", "combustible-gas": "0 %LFL", "oxygen": oxygen}, "enter-manhole"]
    assert said(book, "oxygen-before-entry", MANHOLE, steps) == verdict


def test_no_oxygen_test_with_continuous_ventilation(book: Rulebook) -> None:
    """29 CFR 1910.268(o)(2)(i)(A): an oxygen test unless continuous forced ventilation is provided."""
    steps = ["ventilate", {"do": "test-atmosphere", "combustible-gas": "0 %LFL"}, "enter-manhole"]
    assert said(book, "oxygen-before-entry", MANHOLE, steps) == CONFORMS


@pytest.mark.parametrize(
    ("depth", "verdict"),
    [("4 ft", NOT_APPLICABLE), ("48 in", NOT_APPLICABLE), ("4 ft 1 in", NONCONFORMING), ("3 ft", NOT_APPLICABLE)],
)
def test_ladder_only_where_deeper_than_four_feet(depth: str, verdict: str, book: Rulebook) -> None:
    """29 CFR 1910.268(o)(4): deeper than 4 ft; exactly 4 needs none."""
    assert said(book, "ladder-where-deep", {**MANHOLE, "manhole-depth": depth}, ["enter-manhole"]) == verdict


@pytest.mark.parametrize(("last", "verdict"), [("10:59", CONFORMS), ("11:00", CONFORMS), ("11:01", NONCONFORMING)])
def test_gas_test_at_least_once_an_hour_while_a_flame_is_used(last: str, verdict: str, book: Rulebook) -> None:
    """29 CFR 1910.268(o)(5)(i): at least once per hour while in use."""
    test = {"do": "test-atmosphere", "combustible-gas": "0 %LFL", "oxygen": "20.9 %"}
    steps = [
        {**test, "started": "10:00", "at": "10:00"}, {"do": "light-torch", "started": "10:00", "at": "10:00"},
        {"do": "shut-torch", "started": last, "at": last},
    ]  # fmt: skip
    assert said(book, "gas-test-hourly", {**MANHOLE, "date": "2026-03-04", "timezone": "UTC"}, steps) == verdict


@pytest.mark.parametrize("fact", ["joint-with-power", "traffic-uncorrected", "unusual-water"])
def test_first_aid_where_guarding_does_not_protect(fact: str, book: Rulebook) -> None:
    """29 CFR 1910.268(o)(1)(ii), (o)(3)."""
    steps = ["enter-manhole", "leave-manhole"]
    assert said(book, "first-aid-near", {**MANHOLE, fact: "yes"}, steps) == NONCONFORMING
    posted = [{"do": "post-attendant", "first-aid-trained": "yes"}, *steps]
    assert said(book, "first-aid-near", {**MANHOLE, fact: "yes"}, posted, "plan") == CONFORMS
    assert said(book, "first-aid-near", MANHOLE, steps) == NOT_APPLICABLE


@pytest.mark.parametrize(("ventilated", "verdict"), [("yes", NOT_APPLICABLE), ("no", NONCONFORMING)])
def test_ventilated_vaults_are_left_out(ventilated: str, verdict: str, book: Rulebook) -> None:
    """29 CFR 1910.268(o)(2)(iii): not for ventilated central-office vaults, yes for unvented ones."""
    job = {**MANHOLE, "location": "vault", "vault-ventilated": ventilated}
    steps = [{"do": "test-atmosphere", "combustible-gas": "11 %LFL", "oxygen": "20.9 %"}, "enter-manhole"]
    assert said(book, "gas-before-entry", job, steps) == verdict


def test_strand_bond_of_six_gauge(book: Rulebook) -> None:
    """29 CFR 1910.268(m)(6)(iv): at least No. 6 AWG copper."""
    job = {"location": "aerial", "work": "sheath-repair"}
    for size, verdict in (("6 AWG", CONFORMS), ("4 AWG", CONFORMS), ("7 AWG", NONCONFORMING)):
        assert said(book, "strand-bond-wire", job, [{"do": "bond-strand", "conductor-size": size}], "plan") == verdict


# ---- gas law -----------------------------------------------------------------------------------------------------


def held(book: Rulebook, start: tuple[str, str], end: tuple[str, str]) -> str:
    step = {
        "do": "hold-test", "start-pressure": start[0], "start-temperature": start[1], "end-pressure": end[0],
        "end-temperature": end[1],
    }  # fmt: skip
    job = {"pressurized": "yes", "barometer": "14.696 psi", "work": "sheath-repair"}
    return said(book, "hold-fall", job, [step])


@pytest.mark.parametrize(
    ("warm", "cold", "expected", "leaking"),
    [("90 degF", "60 degF", "8.65 psi", "8.54 psi"), ("70 degF", "50 degF", "9.07 psi", "8.96 psi")],
)
def test_a_fall_that_temperature_explains_is_no_leak(
    warm: str, cold: str, expected: str, leaking: str, book: Rulebook
) -> None:
    """Gas law at constant volume, calculated: 10 psi gauge at 90 degF is 8.65 at 60, at 70 degF 9.07 at 50."""
    assert held(book, ("10 psi", warm), (expected, cold)) == CONFORMS
    assert held(book, ("10 psi", warm), (leaking, cold)) == NONCONFORMING
    assert held(book, (expected, cold), ("10 psi", warm)) == CONFORMS
    assert held(book, ("10 psi", warm), ("10 psi", cold)) == CONFORMS


def test_published_example_of_the_gas_law(book: Rulebook) -> None:
    """OpenStax Chemistry, example 9.5: 360 kPa at 24 degC is 390 kPa at 50 degC, two figures (391.5 unrounded).

    Half of both, since a gauge on a cable does not show so much; 0.1 psi, the house's limit, is 0.69 kPa.
    """
    job = {"pressurized": "yes", "barometer": "14.696 psi", "work": "sheath-repair"}
    step = {"do": "hold-test", "start-pressure": f"{180 - 101.325:.3f} kPa", "start-temperature": "24 degC"}
    for end, verdict in ((195.75, CONFORMS), (195.1, CONFORMS), (195.0, NONCONFORMING)):
        last = {"end-pressure": f"{end - 101.325:.3f} kPa", "end-temperature": "50 degC"}
        assert said(book, "hold-fall", job, [{**step, **last}]) == verdict


def test_holding_at_one_temperature_means_no_fall(book: Rulebook) -> None:
    """Gas law: without a change of temperature the house's 0.1 psi is all that may be lost."""
    assert held(book, ("6.1 psi", "70 degF"), ("6.0 psi", "70 degF")) == CONFORMS
    assert held(book, ("6.1 psi", "70 degF"), ("5.99 psi", "70 degF")) == NONCONFORMING


# ---- wire --------------------------------------------------------------------------------------------------------


def test_six_gauge_is_13_3_square_millimetres(book: Rulebook) -> None:
    """ASTM B258, calculated: d = 0.005 x 92^((36 - n) / 39) in; 6 AWG is 0.1620 in and 13.30 mm2."""
    assert awg_area(6) == Fraction("13.30")
    diameter = 0.005 * 92 ** ((36 - 6) / 39)
    assert f"{diameter:.4f}" == "0.1620"


@pytest.mark.parametrize(("gauge", "ohms"), [(6, "0.3951"), (19, "8.051"), (22, "16.14"), (24, "25.67"), (26, "40.81")])
def test_resistance_of_wires_by_area(gauge: int, ohms: str) -> None:
    """ASTM B258 and IACS (17.241 nanoohm metre at 20 degC), calculated: ohm per 1000 ft, four figures."""
    calculated = 17.241e-9 * 304.8 / (float(awg_area(gauge)) * 1e-6)
    assert calculated == pytest.approx(float(ohms), rel=5e-4)


@pytest.mark.parametrize(
    ("size", "verdict"),
    [("6 AWG", CONFORMS), ("13.3 mm2", CONFORMS), ("4 AWG", CONFORMS), ("1/0 AWG", CONFORMS), ("8 AWG", NONCONFORMING),
     ("13.2 mm2", NONCONFORMING)],
)  # fmt: skip
def test_temporary_bond_of_at_least_six_gauge(size: str, verdict: str, book: Rulebook) -> None:
    """7 CFR 1755.200(g)(2)(ii)(A): at least No. 6 AWG; common practice elsewhere."""
    steps = [{"do": "place-temporary-bond", "conductor-size": size}]
    assert said(book, "temporary-bond-wire", {"work": "trouble-opening"}, steps, "plan") == verdict


def test_bend_of_ten_diameters(book: Rulebook) -> None:
    """7 CFR 1755.200(c)(2): at least 10 x the diameter; 10 x 2.05 in is 20.5 in."""
    job = {"cable-diameter": "2.05 in"}
    for radius, verdict in (("20-1/2 in", CONFORMS), ("20.4 in", NONCONFORMING)):
        assert said(book, "bend-radius", job, [{"do": "move-cable", "bend-radius": radius}], "plan") == verdict


# ---- who is bound ------------------------------------------------------------------------------------------------


def bases(book: Rulebook) -> Iterator[tuple[str, str, str]]:
    for rule in book.rules:
        yield rule.id, rule.basis.regulation, rule.basis.binds
        for name, value in rule.values.items():
            yield f"{rule.id}.{name}", value.basis.regulation, value.basis.binds
    for name, value in book.values.items():
        yield name, value.basis.regulation, value.basis.binds


def test_every_legal_basis_says_whom_it_binds(book: Rulebook) -> None:
    legal = [(name, clause, binds) for name, clause, binds in bases(book) if clause]
    assert [name for name, _, binds in legal if not binds] == []
    loans = [(name, binds) for name, clause, binds in legal if clause.startswith("7 CFR 1755")]
    assert [name for name, binds in loans if "borrowers" not in binds] == []
    analogy = [(name, binds) for name, clause, binds in legal if clause.startswith("29 CFR 1910.146")]
    assert [name for name, binds in analogy if "analogy" not in binds] == []
    recalled = [(name, clause) for name, clause, _ in legal if clause.startswith("29 CFR 1926")]
    assert [name for name, clause in recalled if "from memory" not in clause] == []

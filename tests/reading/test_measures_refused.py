"""What is not taken as a measure, and that the message says what was found, expected and how to write it."""

import pytest

from ringcut.reading.measures import Refusal, read_literal, read_measure

CASES = [
    # (text, kind, what the message must say)
    ("6", "length", "6 what? in, ft, mm or cm"),
    ("26", "length", "26 what?"),
    ("0", "gauge-pressure", "0 what? psi"),
    ("6", "wire-size", "6 what? 6 AWG or mm2"),
    ("20.9", "volume-percent", "20.9 what?"),
    ("5", "lfl", "5 what? %LFL"),
    ("5 %", "lfl", "about 100 %LFL"),
    ("5 % vol", "lfl", "share of the air"),
    ("12,7 cm", "length", "decimal comma"),
    ("12,75 cm", "length", "write 12.75 cm"),
    ("1,234 ft", "length", "thousands or a decimal point"),
    ("1,234,567 ft", "length", "thousands or a decimal point"),
    ("1 234 ft", "length", "not one number"),
    ("5-6 in", "length", "5 to 6 in"),
    ("5 - 1/2 in", "length", "the dash may mean"),
    ("11/2 in", "length", "a dash may be missing"),
    ("5-3/2 in", "length", "a dash may be missing"),
    ("1/0 in", "length", "divides by zero"),
    ("5-1/0 in", "length", "divides by zero"),
    ("5.5.5 in", "length", "not one number"),
    ("13² in", "length", ""),
    ("2'6", "length", "write in after it"),
    ("2 ft 14 in", "length", "less than 12 in"),
    ("2.5 ft 6 in", "length", "whole ft"),
    ("2 ft 6 cm", "length", "after ft comes in"),
    ("5 psi", "length", "5 psi is a pressure. a length (in, ft, mm or cm)"),
    ("5 lb", "length", "5 lb is a weight"),
    ("5 in", "count", "5 in is a length"),
    ("2 dogs", "count", '"dogs" is not a unit known here'),
    ("5 inhces", "length", "did you mean inches"),
    ("5 pin", "length", '"pin" is not a unit known here'),
    ("2 deg", "temperature", "write degF or degC"),
    ("10 psia", "gauge-pressure", "absolute pressure"),
    ("10 psig", "absolute-pressure", "gauge pressure"),
    ("3:30", "time", "write 3 h 30 min"),
    ("13:30", "angle", "not on the clock"),
    ("3:75", "angle", "not on the clock"),
    ("13 o'clock", "angle", "not on the clock"),
    ("3 o'clock", "turn", "write deg"),
    ("<6 o'clock", "angle", "no more or less"),
    ("500 mohm", "resistance", "megohm or milliohm"),
    ("OL", "resistance", ">1000 megohm"),
    ("O.L. megohm", "resistance", ">1000 megohm"),
    ("5 in ± 1/4 in", "length", "write u=0.05 in"),
    ("about 5 in", "length", "how near"),
    ("~5 in", "length", "how near"),
    ("none", "voltage", "does not begin with a number"),
    ("", "length", "nothing is written"),
    ("  ", "length", "nothing is written"),
    ("nan in", "length", "does not begin with a number"),
    ("inf in", "length", "does not begin with a number"),
    ("1e999 in", "length", "too large"),
    ("1e99999999999 in", "length", "too large"),
    ("9" * 31 + " in", "length", "too many digits"),
    ("5 in" + " " * 300, "length", "304 characters"),
    ("\u0665 in", "length", "does not begin with a number"),
    ("6 to 5 in", "length", "runs backwards"),
    ("5 to 6", "length", "6 what?"),
    ("5 in u=0.05", "length", "0.05 what?"),
    ("5 in u=-1 in", "length", "below zero"),
    ("5 in u=1 psi", "length", "a pressure"),
    ("<5 in u=1 in", "length", "one value before u="),
    ("< 0 in", "length", "leaves nothing"),
    ("<-1 in", "length", "leaves nothing"),
    ("6.5 AWG", "wire-size", "no wire size"),
    ("41 AWG", "wire-size", "no wire size"),
    ("5/0 AWG", "wire-size", "divides by zero"),
    ("#REF!", "gauge-pressure", "does not begin with a number"),
    ("4-Mar", "length", "is not a unit known here"),
]


@pytest.mark.parametrize(("text", "kind", "says"), CASES)
def test_refused_with_the_reason(text: str, kind: str, says: str) -> None:
    found = read_measure(text, kind)
    assert isinstance(found, Refusal)
    assert found.found and found.expected
    assert says in f"{found.found}. {found.expected}. {found.hint}"
    assert "\n" not in found.found and len(found.found) < 120


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("5 in u=0.05 in", "a plan has no uncertainty"),
        ("5 in ± 1/4", "1/4 what?"),
        ("5 in ± -1/4 in", "below zero"),
        ("5 in ± 1 psi", "a pressure"),
        ("± 1/4 in", "one value and one tolerance"),
        ("5 in ± 1 in ± 1 in", "one value and one tolerance"),
        ("<5 in ± 1 in", "one value and one tolerance"),
        ("5 in ± 5 %", "a percentage"),
    ],
)
def test_refused_in_a_plan(text: str, says: str) -> None:
    found = read_measure(text, "length", plan=True)
    assert isinstance(found, Refusal)
    assert says in f"{found.found}. {found.expected}. {found.hint}"


def test_a_wire_size_has_no_tolerance() -> None:
    assert isinstance(read_measure("6 AWG ± 1 AWG", "wire-size", plan=True), Refusal)


def test_a_heading_of_another_kind_does_not_help() -> None:
    wrong, unknown = read_measure("5", "length", unit="psi"), read_measure("5", "length", unit="splork")
    assert isinstance(wrong, Refusal) and "5 psi is a pressure" in wrong.found
    assert isinstance(unknown, Refusal) and "splork" in unknown.found


def test_literals_are_refused_alike() -> None:
    for text in ("12,7 cm", "5 splorks", "in", "9" * 300, "<5 in"):
        found = read_literal(text)
        assert isinstance(found, Refusal), text
        assert found.found and found.expected


def test_a_kind_that_is_no_kind_is_a_mistake_of_the_caller() -> None:
    with pytest.raises(ValueError, match="not a kind"):
        read_measure("5 in", "longitude")

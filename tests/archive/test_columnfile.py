"""Column files: every mistake at its place, all at once."""

from __future__ import annotations

import pytest

from ringcut.archive.columnfile import read_columns
from ringcut.archive.lexicon import RulebookLexicon
from ringcut.archive.templates import match
from ringcut.reading.problems import Unreadable

BAD = """\
shape: step-rows
fill-down: [Order, Wo]
dates: months-first
columns:
  WO: referense
  Task: task
  Bond A: {reading: assemble-sleeve.bond-lenght, unit: inc}
  PSI: {reading: confirm-zero}
  Extra: {holdz: note}
tasks:
  - {say: Pulled lid, do: open-manhol}
  - {say: "{a} and {b} and {a}", do: wrap-muslin}
  - {say: Zero, do: confirm-zero, readings: {oxygen: "20 %"}}
"""


def problems(text: str, lexicon: RulebookLexicon | None = None) -> dict[int, str]:
    with pytest.raises(Unreadable) as caught:
        read_columns(text.encode(), "c.yaml", lexicon)
    found: dict[int, str] = {}
    for each in caught.value.problems:
        found[each.place.line] = f"{found.get(each.place.line, '')} {each}"
    return found


def test_unknown_keys_and_roles_are_told_with_what_was_meant() -> None:
    found = problems(BAD)
    assert set(found) >= {3, 5, 9}
    assert "did you mean month-first" in found[3]
    assert "did you mean reference" in found[5]
    assert "did you mean holds" in found[9]


def test_words_of_the_vocabulary_are_looked_up(lexicon: RulebookLexicon) -> None:
    good = BAD.replace("months-first", "month-first").replace("referense", "reference").replace("holdz", "holds")
    found = problems(good, lexicon)
    assert set(found) == {2, 7, 8, 11, 12, 13}
    assert "Order is none of the columns" in found[2]
    assert "names no reading" in found[8]
    assert "did you mean open-manhole" in found[11]
    assert "confirm-zero has no reading oxygen" in found[13]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "empty"),
        ("- a\n- b\n", "mapping"),
        ("columns: [a, b]\n", "mapping"),
        ("columns: {WO: reference}\n", "no column holds task"),
        ("columns: {WO: reference, T: task}\nheading-row: four\n", "whole number"),
        ("columns: {T: task\n", "c.yaml:"),
        ("shape: ticks\nmarks: {empty: done}\ncolumns: {T: {step: dig}}\n", "an empty cell is no tick"),
    ],
)
def test_what_is_no_column_file(text: str, says: str) -> None:
    assert says in " ".join(problems(text).values())


@pytest.mark.parametrize(
    ("template", "text", "found"),
    [
        ("Perm bond - bar {clock} oclk", "perm bond -  bar 12 OCLK", {"clock": "12"}),
        ("plan {plan}, was {length}", 'plan 14", was 15½"', {"plan": '14"', "length": '15½"'}),
        ("Hold {n} min", "Hold min", None),
        ("Cones & guard", "cones & guard", {}),
        ("a.b", "axb", None),
        ("MH {n}", "MH 114", {"n": "114"}),
    ],
)
def test_sayings(template: str, text: str, found: dict[str, str] | None) -> None:
    assert match(template, text) == found


def test_values_of_no_named_reading_are_not_dropped_in_silence() -> None:
    found = problems("shape: step-rows\ncolumns:\n  Task: task\n  Value: value\n")
    assert "Value holds values, and shape step-rows does not say of which readings" in found[4]
    assert "shape: long" in found[4]


UNREACHED = """\
shape: step-rows
heading-row: four
job: {constuction: single, core: pulpy, cable-diameter: 1.4}
sides: {A: office, C: field}
columns:
  Task: task
  Check: {holds: status, words: {v: done}}
  Cool: {reading: [cool-closure.by-hand, cool-closure.minutes], unit: min,
         words: {glove: "yes", t: 9 min, s: "5", z: soon, "{n}'": "{n} min"}}
  PSI: {reading: confirm-zero.gauge-presure, unit: psi}
  LEL: {reading: test-atmosphere.combustible-gas, units: {combustible-gas: "%LLF", oxigen: "%"}}
tasks:
  - {say: Shrunk, do: shrink-sleeve}
  - {say: shrunk, do: form-channel}
  - {say: Cooled, do: cool-closure, remarks: "{time} min", readings: {minutes: "{tim} min"}}
  - {say: Cooled, do: cool-closure, remarks: "{t} min", readings: {minutes: "{t} min"}}
  - {say: Cooled, do: cool-closure, remarks: by hand, readings: {by-hand: "yes"}}
  - {say: Coold, doo: cool-closure}
"""


def test_mistakes_of_structure_and_of_names_are_told_together(lexicon: RulebookLexicon) -> None:
    found = problems(UNREACHED, lexicon)
    assert set(found) == {2, 3, 4, 7, 9, 10, 11, 14, 15, 16, 18}
    assert "constuction: no such job fact" in found[3] and "core: pulpy" in found[3] and "1.4 what?" in found[3]
    assert "there is no side C" in found[4]
    assert "words belong to a fact or a reading" in found[7] and "under marks" in found[7]
    assert found[9].count("c.yaml:") == 1 and "by-hand: soon. yes or no" in found[9]
    assert "confirm-zero has no reading gauge-presure" in found[10]
    assert "'shrunk' is never reached: line 13" in found[14]
    assert "{tim} is no place in say or remarks. {time}" in found[15]
    assert "'Cooled' is never reached: line 15" in found[16]
    assert "did you mean do" in found[18]
    assert "%LLF is not a unit" in found[11] and "oxigen is no reading of this column" in found[11]


MISSPELT = """\
columns:
  Task: task
  Where: {fact: locaton}
  LEL: test-atmosphere.combustible-gass
  Open: {step: open-manhle}
fill-down: [Wehre]
facts-block: {OD: cable-diametr}
tasks:
  - {say: Tested, do: test-atmosphere, readings: {oxygn: 20 %}}
"""


def test_a_near_miss_gets_the_word_that_is_meant(lexicon: RulebookLexicon) -> None:
    found = problems(MISSPELT, lexicon)
    meant = {3: "location", 4: "combustible-gas", 5: "open-manhole", 6: "Where", 7: "cable-diameter", 9: "oxygen"}
    assert {line: word for line, word in meant.items() if f"did you mean {word}?" not in found[line]} == {}


TWICE = """\
marks: {done: [x, ok], not-done: [X, o]}
columns:
  Task: task
  task: note
people: {AB: A. Example, ab: B. Example}
tasks:
  - {say: "Held {n} min", do: hold-test, remarks: "{n} psi", readings: {duration: "{n} min"}}
"""


def test_what_can_only_count_once_is_told_where_it_stands_again(lexicon: RulebookLexicon) -> None:
    found = problems(TWICE, lexicon)
    assert set(found) == {1, 4, 5, 7}
    assert "X is done and not-done" in found[1]
    assert "task stands here twice, first in line 3" in found[4]
    assert "ab stands here twice" in found[5]
    assert "{n} stands in say and in remarks" in found[7]

"""Job facts in a sheet: units in their labels, words of the crew, and what the jobs file says otherwise."""

from __future__ import annotations

import pytest

from ringcut.archive.columnfile import read_columns
from ringcut.archive.factcells import same_fact
from ringcut.archive.jobs import read_jobs
from ringcut.archive.lexicon import RulebookLexicon
from ringcut.archive.spreadsheets import Reading, read_spreadsheet

COLUMNS = """\
shape: job-sheets
records: milestones
dates: year-first
clock: 24
facts-block:
  Order: reference
  Damage (in): opening-length
  Depth: pit-depth
  Cable: {fact: cable-diameter, unit: mm, decimal: comma}
  Type: {fact: work, words: {Opening: trouble-opening, "Hole {n}": sheath-repair}}
  Sheath: sheath
  Under air: pressurized
columns: {Task: task, Where: {fact: manhole-depth, unit: ft}}
tasks: [{say: Shrunk, do: shrink-sleeve}]
"""


def read(above: str, lexicon: RulebookLexicon, jobs: str = "", where: str = "") -> Reading:
    columns = read_columns(COLUMNS.encode(), "c.yaml", lexicon)
    known = read_jobs(jobs.encode(), "jobs.csv", lexicon) if jobs else None
    sheet = f"Order,X-1\n{above}\n\nTask,Where\nShrunk,{where}\n"
    return read_spreadsheet(sheet.encode(), "t.csv", lexicon, columns, known)


def facts(found: Reading) -> dict[str, str]:
    return {each.name.text: each.value.text for each in found.logs[0].raw.job if each.value}


@pytest.mark.parametrize(
    ("label", "fact", "value"),
    [
        ("Damage (in),3", "opening-length", "3 in"),
        ("Damage (in),76.2 mm", "opening-length", "76.2 mm"),
        ("Depth,3 ft", "pit-depth", "3 ft"),
        ('Cable,"35,6"', "cable-diameter", "35.6 mm"),
        ("Type,Opening", "work", "trouble-opening"),
        ("Type: hole 7", "work", "sheath-repair"),
        ("Sheath,PE", "sheath", "polyethylene"),
        ("Under air,y", "pressurized", "yes"),
    ],
)
def test_a_fact_is_read_with_the_unit_and_the_words_of_its_label(
    label: str, fact: str, value: str, lexicon: RulebookLexicon
) -> None:
    found = read(label, lexicon)
    assert facts(found)[fact] == value
    assert found.not_taken == ()


@pytest.mark.parametrize(
    ("label", "fact", "says"),
    [
        ("Depth,3", "pit-depth", "3 what?"),
        ("Type,Visit", "work", "does not say which work"),
        ("Sheath,steel", "sheath", "sheath is one of"),
        ("Under air,some", "pressurized", "yes or no is expected"),
        ("Damage (in),big", "opening-length", ""),
    ],
)
def test_a_fact_that_cannot_be_read_is_told(label: str, fact: str, says: str, lexicon: RulebookLexicon) -> None:
    found = read(label, lexicon)
    assert fact not in facts(found)
    (refused,) = found.not_taken
    assert says in refused.says and refused.where == "2:B"


@pytest.mark.parametrize(("said", "refused"), [("3 in", 0), ("76.2 mm", 0), ('"3"""', 0), ("4 in", 1)])
def test_a_fact_is_held_against_the_jobs_file_by_its_measure(said: str, refused: int, lexicon: RulebookLexicon) -> None:
    found = read("Damage (in),3", lexicon, f"reference,opening-length\nX-1,{said}\n")
    assert [each.kind for each in found.not_taken] == ["fact"] * refused


def test_a_column_of_a_fact_has_its_unit(lexicon: RulebookLexicon) -> None:
    assert facts(read("Sheath,lead", lexicon, where="8"))["manhole-depth"] == "8 ft"


def test_words_of_a_choice_say_the_same(lexicon: RulebookLexicon) -> None:
    word = lexicon.fact("sheath")
    assert same_fact("PE", "polyethylene", word) and not same_fact("PE", "lead", word)
    assert same_fact("Any Thing", "any-thing", None)

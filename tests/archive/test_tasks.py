"""Words of a crew with their remarks: what a remark does not say is never read out of the column file."""

from __future__ import annotations

import pytest

from ringcut.archive.columnfile import read_columns
from ringcut.archive.columns import ColumnFile, Task
from ringcut.archive.lexicon import RulebookLexicon
from ringcut.archive.quoting import names
from ringcut.archive.spreadsheets import Reading, read_spreadsheet
from ringcut.archive.tasks import TaskBook, Told
from ringcut.reading.raw import RawStep

COOL = ("cool-closure",)
FORMS = ColumnFile(
    tasks=(
        Task(("Cooled",), COOL, {"by-hand": "yes"}, remarks="by hand"),
        Task(("Cooled",), COOL, {"minutes": "{t} min"}, remarks="{t} min"),
        Task(("Hold {n}",), ("hold-test",), {"duration": "{n} min", "isolated": "yes"}, remarks="valves shut"),
        Task(("Tape {n}",), ("wrap-rubber-tape",), {"layers": "{n}", "start": "middle"}, remarks="from middle"),
        Task(("Tape {m}",), ("wrap-rubber-tape",), {"layers": "{m}"}),
        Task(("Bond",), ("place-permanent-bond",), remarks="bar"),
        Task(("Bond",), ("place-temporary-bond",), remarks="clip"),
    )
)


@pytest.mark.parametrize(
    ("text", "remark", "readings"),
    [
        ("Cooled", "by hand", [Told("by-hand", "yes", True)]),
        ("COOLED", "35 min", [Told("minutes", "35 min", True)]),
        ("Cooled", "still hot", []),
        ("Cooled", "", []),
        ("Hold 30", "", [Told("duration", "30 min")]),
        ("Hold 30", "valves shut", [Told("duration", "30 min"), Told("isolated", "yes", True)]),
        ("Tape 2", "from middle", [Told("layers", "2"), Told("start", "middle", True)]),
        ("Tape 2", "tight", [Told("layers", "2")]),
    ],
)
def test_a_remark_counts_only_where_it_is_written(
    lexicon: RulebookLexicon, text: str, remark: str, readings: list[Told]
) -> None:
    said = TaskBook(FORMS, lexicon).read(text, remark)
    assert said is not None and list(said.readings) == readings


@pytest.mark.parametrize(
    ("remark", "steps", "undecided"),
    [("bar", ("place-permanent-bond",), ()), ("clip", ("place-temporary-bond",), ()), ("", (), ("bar", "clip"))],
)
def test_the_remark_may_tell_which_step_it_is(
    lexicon: RulebookLexicon, remark: str, steps: tuple[str, ...], undecided: tuple[str, ...]
) -> None:
    said = TaskBook(FORMS, lexicon).read("Bond", remark)
    assert said is not None and (said.steps, said.undecided) == (steps, undecided)


SHEET = """\
records: milestones
dates: year-first
clock: 24
time-means: finished
columns: {WO: reference, Task: task, Remarks: note}
tasks:
  - {say: Cooled, do: cool-closure, remarks: by hand, readings: {by-hand: "yes"}}
  - {say: Diameters, do: measure-diameters, remarks: "{small} / {large} mm",
     readings: {smallest: "{small} mm", largest: "{large} mm"}}
  - {say: Bond, do: place-permanent-bond, remarks: bar}
  - {say: Bond, do: place-temporary-bond, remarks: clip}
"""


def read(rows: str, lexicon: RulebookLexicon, more: str = "") -> Reading:
    columns = read_columns((SHEET + more).encode(), "c.yaml", lexicon)
    return read_spreadsheet(f"WO,Task,Remarks\n{rows}".encode(), "t.csv", lexicon, columns)


def readings(read: Reading) -> dict[str, str]:
    steps = [step for step in read.logs[0].raw.steps if isinstance(step, RawStep)]
    return {each.name.text: each.value.text for step in steps for each in step.readings if each.value}


def test_still_hot_is_not_cool_by_hand(lexicon: RulebookLexicon) -> None:
    found = read("X-1,Cooled,still hot\n", lexicon)
    assert readings(found) == {}
    (noted,) = found.noted
    assert (noted.where, noted.text, noted.reading) == ("2:C", "still hot", "cool-closure.*")


def test_a_remark_that_does_not_tell_the_step_is_asked_for(lexicon: RulebookLexicon) -> None:
    (refused,) = read("X-1,Bond,green\n", lexicon).not_taken
    assert (refused.where, refused.kind) == ("2:B", "task")
    assert "one of 'bar', 'clip'" in refused.says


def test_numbers_in_remarks_have_the_decimal_sign_of_the_file(lexicon: RulebookLexicon) -> None:
    rows = 'X-1,Diameters,"35,6 / 36,1 mm"\n'
    assert readings(read(rows, lexicon, "decimal: comma\n")) == {"smallest": "35.6 mm", "largest": "36.1 mm"}
    noted = read(rows, lexicon).noted
    assert [(each.where, each.reading) for each in noted] == [
        ("2:C", "measure-diameters.smallest"), ("2:C", "measure-diameters.largest"),
    ]  # fmt: skip


def test_the_question_for_a_reading_quotes_what_stands_in_its_place(lexicon: RulebookLexicon) -> None:
    """Two numbers in one remark, one of them spoiled: the other one's note is not quoted for it."""
    noted = read('X-1,Diameters,"35.6 / 36,1 mm"\n', lexicon).noted
    assert [each.reading for each in noted] == ["measure-diameters.largest"]
    assert names(noted[0].reading, "measure-diameters", "largest")
    assert not names(noted[0].reading, "measure-diameters", "smallest")
    assert names("measure-diameters.*", "measure-diameters", "smallest")


def test_a_remark_that_only_tells_a_step_apart_is_noted_where_it_says_something_else(lexicon: RulebookLexicon) -> None:
    columns = "records: milestones\ncolumns: {WO: reference, Task: task, Remarks: note}\n"
    columns += "tasks: [{say: Bond, do: place-permanent-bond, remarks: bar}]\n"
    spec = read_columns(columns.encode(), "c.yaml", lexicon)
    for remark, noted in (("clip", ["clip"]), ("bar", []), ("", [])):
        found = read_spreadsheet(f"WO,Task,Remarks\nX-1,Bond,{remark}\n".encode(), "t.csv", lexicon, spec)
        assert [each.text for each in found.noted] == noted


TWO = """\
records: milestones
clock: 24
time-means: finished
columns: {WO: reference, Task: task, Value: note, Comment: note, By: by, Helper: by, Day: date, Entered: date}
tasks:
  - {say: Cooled, do: cool-closure, remarks: by hand, readings: {by-hand: "yes"}}
  - {say: Tension, do: wrap-rubber-tape, remarks: "{n} layers; lap {lap}", readings: {layers: "{n}", lap: "{lap}"}}
  - {say: Torch hose, do: light-torch}
"""


def test_every_column_of_remarks_and_of_people_counts(lexicon: RulebookLexicon) -> None:
    """The second column of remarks was dropped without a word: "by hand" in it told nothing."""
    rows = "WO,Task,Value,Comment,By,Helper\nX-1,Cooled,68 degF,by hand,TL,RB\nX-1,Tension,2 layers,lap half,TL,\n"
    found = read_spreadsheet(
        (rows + "X-1,Torch hose,new,seen,,\n").encode(), "t.csv", lexicon, read_columns(TWO.encode(), "c.yaml", lexicon)
    )
    assert readings(found) == {"by-hand": "yes", "layers": "2", "lap": "half"}
    steps = [step for step in found.logs[0].raw.steps if isinstance(step, RawStep)]
    assert [step.note.text if step.note else "" for step in steps] == [
        "68 degF; by hand", "2 layers; lap half", "new; seen",
    ]  # fmt: skip
    assert [person.text for person in steps[0].by] == ["TL", "RB"]
    assert not found.not_taken


def test_a_second_column_of_what_only_one_can_hold_is_told(lexicon: RulebookLexicon) -> None:
    spec = read_columns((TWO + "dates: year-first\n").encode(), "c.yaml", lexicon)
    rows = "WO,Task,Day,Entered\nX-1,Cooled,2026-05-04,2026-05-06\n"
    found = read_spreadsheet(rows.encode(), "t.csv", lexicon, spec)
    (told,) = [each for each in found.noted if each.text == "Entered"]
    assert told.says == "Day holds date too, and is read: 1 cell not read"

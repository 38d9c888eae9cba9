"""The parts of an interview: what sheets suggest, what is asked, and the YAML that is written of the answers."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import hypothesis.strategies as st
import msgspec
import pytest
from hypothesis import given

from ringcut.archive.cells import row_of
from ringcut.archive.columnfile import read_columns
from ringcut.archive.columns import Column, ColumnFile, LeftOut, Marks, Task, fold
from ringcut.archive.interview.columntext import ORDER, scalar, text_of
from ringcut.archive.interview.course import interview
from ringcut.archive.interview.draft import Draft
from ringcut.archive.interview.meaning import column_said, guess_column, readings_of
from ringcut.archive.interview.question import NotAnAnswer, Note, Question, chosen
from ringcut.archive.interview.saidwords import said_words
from ringcut.archive.interview.sight import heading_rows, is_sure
from ringcut.archive.interview.tasks import guess_steps, steps_check, template_of
from ringcut.archive.lexicon import RulebookLexicon
from ringcut.archive.spreadsheets import read_spreadsheet
from ringcut.archive.tables import Table, read_table
from ringcut.reading.raw import RawStep
from ringcut.reading.yamltext import Map, Scalar, load


def table(*rows: str) -> Table:
    return read_table("\n".join(rows).encode(), "s.csv")


def asked(lexicon: RulebookLexicon, answers: dict[str, str], *rows: str) -> tuple[Draft, list[Question]]:
    """Go through an interview; answers by the key that a question is about, else the guess, else not known."""
    draft, found = Draft(), []
    talk = interview([table(*rows)], draft, lexicon)
    step: Any = next(talk)
    try:
        while True:
            if isinstance(step, Note):
                step = talk.send(None)
                continue
            found.append(step)
            said = answers.get(step.about, step.guess)
            step = talk.send(step.check(said) if said else None)
    except StopIteration:
        return draft, found


# guesses


@pytest.mark.parametrize(
    ("heading", "cells", "means"),
    [
        ("WO #", ["J-1"], "reference"),
        ("End", ["7:15", "7:40", "12:10"], "time"),
        ("End", ["N", "S", "N"], "side"),
        ("Zero time", ["9:05", "x"], "confirm-zero"),
        ("Open MH", ["x", "n/a", "x"], "open-manhole"),
        ("MH/Loc", ["MH 9"], "location"),
        ("Cable dia", ["2.05 in"], "cable-diameter"),
        ("Weather", ["fair"], ""),
    ],
)
def test_a_heading_and_its_cells_suggest_a_meaning(
    heading: str, cells: list[str], means: str, lexicon: RulebookLexicon
) -> None:
    found = guess_column(heading, row_of(2, cells).cells, lexicon)
    column = found.column or Column()
    assert (column.holds or column.fact or ", ".join(column.step)) == means
    assert found.sure == bool(means)


@pytest.mark.parametrize(
    ("heading", "reading"),
    [
        ("LEL", "test-atmosphere.combustible-gas"),
        ("LEL %", "test-atmosphere.combustible-gas"),
        ("LEL (%)", "test-atmosphere.combustible-gas"),
        ('Bond "A" (in)', "assemble-sleeve.bond-length"),
        ("Bond West (cm)", "assemble-sleeve.bond-length"),
        ("Temp", "hold-test.start-temperature"),
        ("zero check psi", "confirm-zero.gauge-pressure"),
    ],
)
def test_a_heading_suggests_readings(heading: str, reading: str, lexicon: RulebookLexicon) -> None:
    assert reading in {".".join(pair) for pair in readings_of(heading, {}, lexicon)}


def test_a_reading_in_another_unit_is_not_suggested(lexicon: RulebookLexicon) -> None:
    assert readings_of("Bond A (psi)", {}, lexicon) == []


def test_what_is_read_may_stand_behind_what_it_is_read_of(lexicon: RulebookLexicon) -> None:
    """Symptom: Gas O2 was taken for combustible gas, by its first word, and nobody was asked."""
    assert readings_of("Gas O2", {}, lexicon) == [("test-atmosphere", "oxygen")]
    assert ("test-atmosphere", "combustible-gas") in readings_of("Gas LEL", {}, lexicon)
    assert ("test-atmosphere", "oxygen") not in readings_of("Gas LEL", {}, lexicon)
    assert readings_of("A end", {}, lexicon) == []
    assert readings_of("End temp", {}, lexicon) == [("hold-test", "end-temperature")]


@pytest.mark.parametrize(
    ("words", "steps"),
    [
        ("3 pr repaired + dessicant", "repair-conductors, place-desiccant"),
        ("Shrunk, torch off", "shrink-sleeve, shut-torch"),
        ("lunch at the diner", ""),
        ("Repaired pairs", "repair-conductors"),
        ("Told pressure desk", "notify-pressure-desk"),
        # the thing alone says nothing of what was done with it
        ("Bled cable", ""),
    ],
)
def test_words_for_a_task_suggest_steps(words: str, steps: str, lexicon: RulebookLexicon) -> None:
    assert guess_steps(words, lexicon)[0] == steps


def test_numbers_in_words_become_places() -> None:
    assert template_of("Perm bond - bar 12 oclk") == "Perm bond - bar {n} oclk"
    assert template_of("hold 6.1-6.0 for 30 min") == "hold {n} for {n2} min"
    assert template_of("Gas check 0/20.9, 5-1/2 in, 3/4 in") == "Gas check {n}/{n2}, {n3} in, {n4} in"
    assert template_of("1 2 3 4 5") == "1 2 3 4 5", "a wording has four places at most"
    assert template_of("a {n} 5") == "a {n} 5"


@pytest.mark.parametrize(
    "said", ["no such thing", "assemble-sleeve.colour", "gauge-pressure", "nostep.reading", "value"]
)
def test_what_no_column_holds_is_refused(said: str, lexicon: RulebookLexicon) -> None:
    with pytest.raises(NotAnAnswer):
        column_said(said, lexicon, "step-rows")


def test_a_unit_in_the_upper_row_of_a_heading_is_kept(lexicon: RulebookLexicon) -> None:
    """Symptom: of Bond length (mm) above End A and End B the lower row alone was shown, and inches were offered."""
    rows = ["WO,Date,Task,Bond length (mm),,Gas,", ",,,End A,End B,LEL %,O2 %", "J,2026-03-04,sleeve on,135,128,,",
            "J,2026-03-04,gas test,,,0,20.9"]  # fmt: skip
    draft, found = asked(lexicon, {"contractor": "T"}, *rows)
    assert list(draft.spec.columns)[3:] == ["Bond length (mm) End A", "Bond length (mm) End B", "LEL %", "O2 %"]
    assert [draft.spec.columns[name].reading for name in list(draft.spec.columns)[3:5]] == [
        ("assemble-sleeve.bond-length",)
    ] * 2
    assert not [each.says for each in found if "Bond" in each.says], "their unit stands in the heading"
    spec = read_columns(text_of(draft).encode(), "c", lexicon)
    reading = read_spreadsheet("\n".join(rows).encode(), "s.csv", lexicon, spec)
    (first, _) = [each for each in reading.logs[0].raw.steps if isinstance(each, RawStep)]
    assert [(side.text, value.text) for each in first.readings for side, value in each.sides] == [
        ("A", "135 mm"), ("B", "128 mm"),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("heading", "asks"),
    [("LEL (%)", False), ("LEL %", False), ("LFL", False), ("Gas (%)", True), ("Combustible", True)],
)
def test_a_percent_of_gas_is_asked_for_where_its_heading_does_not_say_of_what(
    heading: str, asks: bool, lexicon: RulebookLexicon
) -> None:
    """Symptom: LEL (%) was known to nobody; and bare numbers under Gas were of the limit without a question."""
    rows = [f"WO,Date,Task,{heading}", "J,2026-03-04,gas test,0", "J,2026-03-04,gas test,4"]
    draft, found = asked(lexicon, {"contractor": "T"}, *rows)
    units = [each for each in found if "In which unit" in each.says]
    assert bool(units) == asks
    assert asks or draft.spec.columns[heading].unit == "%LFL"


def test_a_heading_among_notes_is_found(lexicon: RulebookLexicon) -> None:
    sheet = table("Weekly report,,", "crew of 3,,", "WO,Date,Task", "J-1,2026-03-04,muslin")
    found = heading_rows(sheet, lexicon)
    assert (found[0].line, is_sure(found, sheet)) == (3, True)
    assert not is_sure(heading_rows(table("a,b", "c,d"), lexicon), table("a,b", "c,d"))


# what is asked, and what is not


HEAD = "WO,Date,Time,Task"


@pytest.mark.parametrize(
    ("rows", "about", "wanted"),
    [
        (["J,2026-03-04,7:00,muslin"], "dates", False),
        (["J,4 Mar 2026,7:00,muslin"], "dates", False),
        (["J,13/03/2026,7:00,muslin"], "dates", False),
        (["J,3/4/2026,7:00,muslin"], "dates", True),
        (["J,3/13/2026,7:00,muslin", "J,13/3/2026,7:10,cones"], "dates", True),
        (["J,2026-03-04,7:00,muslin", ",,13:10,cones"], "clock", False),
        (["J,2026-03-04,7:00 AM,muslin", ",,1:10 pm,cones"], "clock", False),
        (["J,2026-03-04,11:50,muslin", ",,1:10,cones"], "clock", True),
        (["J,2026-03-04,11:50,muslin", "K,,8:10,cones"], "clock", False),
        (["J,2026-03-04,1:50,muslin"], "clock", True),
        (["J,2026-03-04,7:00,muslin"], "time-means", True),
        (["J,2026-03-04,7:00,muslin"], "tasks", False),
        (["J,2026-03-04,7:00,fed the cat"], "tasks", True),
        (["J,2026-03-04,7:00,muslin", ",,,cones"], "fill-down", True),
        (["J,2026-03-04,7:00,muslin", "J,2026-03-04,8:00,cones"], "fill-down", False),
        (["J,2026-03-04,7:00,muslin", "Total,,6.5,"], "leave-out", True),
        (["J,2026-03-04,7:00,muslin"], "heading-row", False),
    ],
)
def test_only_what_the_sheet_does_not_tell_is_asked(
    rows: list[str], about: str, wanted: bool, lexicon: RulebookLexicon
) -> None:
    _, found = asked(lexicon, {"contractor": "T"}, HEAD, *rows)
    assert (about in {each.about for each in found}) == wanted


def test_a_column_without_which_nothing_is_read_is_asked_for(lexicon: RulebookLexicon) -> None:
    rows = ["WO,Date,Time,Verrichtung", "J,2026-03-04,7:00,muslin"]
    answers = {"contractor": "T", "shape": "step-rows", "columns.task": "verrichtung", "heading-row": "1"}
    draft, found = asked(lexicon, answers, *rows)
    assert any("Without a column that holds task" in each.says for each in found)
    assert draft.spec.columns["Verrichtung"] == Column(holds="task")


@pytest.mark.parametrize("said", [";", ",", "Colour", "WO; Colour"])
def test_a_heading_that_is_not_there_is_refused(said: str) -> None:
    with pytest.raises(NotAnAnswer):
        chosen(said, ["WO", "Date"])


def test_a_heading_that_no_file_can_name_is_left_alone(lexicon: RulebookLexicon) -> None:
    """YAML has no key of more than 1,024 letters."""
    rows = [f"{HEAD},{'x' * 5000},Remarks", f"J,2026-03-04,7:00,{'y' * 5000},1,z"]
    draft, _ = asked(lexicon, {"contractor": "T", "columns.Remarks": "note"}, *rows)
    assert list(read_columns(text_of(draft).encode(), "c", lexicon).columns) == [*HEAD.split(","), "Remarks"]


def test_a_note_of_readings_in_rows_of_other_steps(lexicon: RulebookLexicon) -> None:
    rows = [f"{HEAD},PSI,Side,Bond E,Bond W", "J,2026-03-04,7:00,zero check,0,,,", ",,8:00,cones,6,,,",
            ",,9:00,sleeve on,,,5 in,4-7/8"]  # fmt: skip
    answers = {"contractor": "T", "sides": "A"}
    draft, found = asked(lexicon, answers, *rows)
    assert [each.says for each in found if each.about == "sides"] == ['Which side is "E"?', 'Which side is "W"?']
    assert draft.spec.columns["PSI"] == Column(reading=("confirm-zero.gauge-pressure",), otherwise="note", unit="psi")
    assert draft.spec.columns["Bond W"].unit == "in"


def test_a_remark_that_is_a_measure_is_asked_for_as_the_reading(lexicon: RulebookLexicon) -> None:
    rows = [f"{HEAD},Remarks", "J,2026-03-04,7:00,fv,0 V", ",,7:10,fv,12 V", ",,8:00,scuff poly,hard going",
            ",,8:30,hold test,6.1 psi", ",,9:00,cones,3 in"]  # fmt: skip
    draft, found = asked(lexicon, {"contractor": "T"}, *rows)
    assert [each.says for each in found if each.about == "tasks"] == ['Is the remark of "fv" its voltage?']
    (task,) = draft.spec.tasks
    assert task == Task(("fv",), ("check-foreign-voltage",), {"voltage": "{text}"}, "{text}")
    data = "\n".join(rows).encode()
    reading = read_spreadsheet(data, "s.csv", lexicon, read_columns(text_of(draft).encode(), "c", lexicon))
    volts = [each for step in reading.logs[0].raw.steps if isinstance(step, RawStep) for each in step.readings]
    assert [str(each.value) for each in volts] == ["0 V", "12 V"]


def test_every_answer_not_known_still_makes_a_file_that_is_read(lexicon: RulebookLexicon, data: Any) -> None:
    """Nothing is guessed in place of an answer: what nobody knows is not read, and the file still is."""
    draft = Draft()
    talk = interview([read_table(data / "contractor-c.csv", "c.csv")], draft, lexicon)
    next(talk)
    with pytest.raises(StopIteration):
        while True:
            talk.send(None)
    spec = read_columns(text_of(draft).encode(), "c.yaml", lexicon)
    assert (spec.sides, spec.tasks, spec.dates, spec.fill_down) == ({}, (), "", ())
    reading = read_spreadsheet(data / "contractor-c.csv", "c.csv", lexicon, spec)
    assert {each.kind for each in reading.not_taken} >= {"task", "side", "mark", "date", "reference"}


def test_a_decimal_comma_is_asked_for_once_and_a_column_of_points_says_so(lexicon: RulebookLexicon) -> None:
    rows = [
        f"{HEAD},Side,Bond E (cm),Bond W (cm),Gauge (psi)".replace(",", ";"),
        "J;2026-03-04;07:00;sleeve on;;12,7;13,1;",
        ";;08:00;sleeve on;;12,9;12,0;",
        ";;09:00;zero check;;;;0.1",
    ]
    draft, found = asked(lexicon, {"contractor": "T", "sides": "A"}, *rows)
    assert [each.about for each in found].count("decimal") == 1
    assert draft.spec.decimal == "comma"
    assert [draft.spec.columns[name].decimal for name in ("Bond E (cm)", "Bond W (cm)", "Gauge (psi)")] == [
        "", "", "point",
    ]  # fmt: skip


# the YAML


def test_the_file_knows_every_key() -> None:
    assert set(ORDER) == {field.encode_name for field in msgspec.structs.fields(ColumnFile)}


TEXTS = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="{}"), min_size=1, max_size=12).filter(
    lambda text: fold(text) != ""
)
WORDS = st.one_of(
    TEXTS, st.sampled_from(["yes", "no", "null", "~", "12:30", "1.10", "0", "#6", "a: b", "- x", "'", '"'])
)


def distinct(texts: Sequence[str]) -> list[str]:
    return list({fold(text): text for text in texts}.values())


@given(WORDS)
def test_a_scalar_is_read_back_as_it_was(text: str) -> None:
    problems: list[Any] = []
    node = load(f"a: {{b: {scalar(text)}}}\n{scalar(text)}: [{scalar(text)}]\n".encode(), "f", problems)
    assert isinstance(node, Map) and problems == []
    (_, inside), (key, _) = node.entries
    assert isinstance(inside, Map) and isinstance(inside.entries[0][1], Scalar)
    assert inside.entries[0][1].text == key.text == text


@given(
    headings=st.lists(WORDS, max_size=4).map(distinct), says=st.lists(WORDS, max_size=4).map(distinct), because=WORDS,
    people=st.dictionaries(WORDS, WORDS, max_size=3), why=WORDS, contractor=WORDS,
)  # fmt: skip
def test_a_draft_is_read_back_as_it_was(
    headings: list[str], says: list[str], because: str, people: dict[str, str], why: str, contractor: str
) -> None:
    draft = Draft()
    draft.put(why, contractor=contractor, people=people, clock="24", dates="day-first", records="milestones")
    draft.put(marks=Marks(symbol_font=True, empty="done"), sides={"A": tuple(says), "B": ()})
    draft.column("Task!", Column(holds="task"), why)
    kinds = [Column(holds="note"), Column(reading=("a.b",)), Column(reading=("a.b", "c.d..e"), otherwise="note"),
             Column(fact="location", words={because: why})]  # fmt: skip
    for heading, column in zip([each for each in headings if fold(each) != "task!"], kinds, strict=False):
        draft.column(heading, column, why)
    for text in says:
        draft.task(Task((text,), ("open-sheath",), {"opening-length": because}), why)
        draft.skip(LeftOut(text, because, why))
        draft.leave(f"tasks.{text}", why)
    draft.leave("time-means", why)
    spec: ColumnFile = read_columns(text_of(draft, [why]).encode(), "f.yaml")
    assert spec == draft.spec


def test_a_unit_behind_a_heading_is_the_likely_one_and_no_time_stands_under_it(lexicon: RulebookLexicon) -> None:
    """Enter took inches for what stood under Bond mm, psi for Gauge kPa, and 135 for a time."""
    rows = ["Order,Task,Bond mm,Gauge kPa", "T-1,sleeve on,135,", "T-1,sleeve on,121,", "T-1,zero check,,0"]
    assert guess_column("Bond mm", row_of(1, ["135", "121", "130"]).cells, lexicon).column is None
    assert guess_column("Begun", row_of(1, ["1:35", "1:21", "1:30"]).cells, lexicon).column == Column(holds="time")
    draft, found = asked(lexicon, {"contractor": "T"}, *rows)
    guesses = {each.says: each.guess for each in found}
    assert guesses['In which unit are the bare numbers under "Gauge kPa"?'] == "kPa"
    assert draft.spec.columns["Gauge kPa"].unit == "kPa"


def test_names_in_one_unit_are_not_taken_for_the_same_reading(lexicon: RulebookLexicon) -> None:
    """Enter took p2 for the start pressure that p1 is, the gauge's divisions for what it read, and one step for all."""
    rows = ["Ticket no,Task,Reading,Value,Unit"]
    for item, name, value, unit in [
        ("read pressure", "psi", "6.0", "psi"), ("confirm zero", "psi", "0", "psi"),
        ("confirm zero", "div", "0.1", "psi"),
        ("restore pressure", "psi", "6.0", "psi"), ("hold test", "p1", "6.0", "psi"), ("hold test", "p2", "5.9", "psi"),
    ]:  # fmt: skip
        rows.append(f"T-1,{item},{name},{value},{unit}")
    answers = {"contractor": "T", "shape": "long", "heading-row": "1", "columns.Ticket no": "reference"}
    draft, _ = asked(lexicon, answers, *rows)
    assert draft.spec.readings == {
        "psi": ("read-pressure.gauge-pressure", "confirm-zero.gauge-pressure", "restore-pressure.gauge-pressure"),
        "div": ("confirm-zero.gauge-resolution",),
        "p1": ("hold-test.start-pressure",),
        "p2": ("hold-test.end-pressure",),
    }


def test_of_words_that_are_known_those_that_mean_something_else_are_asked_for(lexicon: RulebookLexicon) -> None:
    """Air on of a crew that starts its blower was taken for pressure; that it was wrong had to be written by hand."""
    rows = ["Order,Task", "T-1,Air on", "T-1,zero check", "T-1,shrink sleeve"]
    answers = {"contractor": "T", "known": "air on", "tasks": "ventilate"}
    draft, found = asked(lexicon, answers, *rows)
    (known,) = [each for each in found if each.about == "known"]
    assert known.seen == ("Air on: restore-pressure", "zero check: confirm-zero")
    assert known.says.startswith("3 of 3 wordings under Task are known. Does this crew mean another step")
    assert draft.spec.tasks == (Task(("Air on",), ("ventilate",)),)


def test_a_total_under_the_tasks_is_left_out(lexicon: RulebookLexicon) -> None:
    """Symptom: of a row with hours under its task one could say that its words prove no step: it was a row still."""
    rows = ["Order,Date,Task,Note", "T-1,2026-05-04,zero check,", "T-1,2026-05-04,Sum of the day 7,"]
    draft, _ = asked(lexicon, {"contractor": "T", "tasks": "out"}, *rows)
    assert (draft.spec.tasks, draft.spec.leave_out) == ((), (LeftOut("Task", "Sum of the day {n}", "no step"),))
    spec = read_columns(text_of(draft).encode(), "c", lexicon)
    reading = read_spreadsheet("\n".join(rows).encode(), "s.csv", lexicon, spec)
    assert ([len(each.raw.steps) for each in reading.logs], list(reading.not_taken)) == ([1], [])


def test_a_word_finds_the_names_of_steps(lexicon: RulebookLexicon) -> None:
    """Symptom: who did not know what the steps are called had nothing to find it by."""
    with pytest.raises(NotAnAnswer, match=r"with that word: .*place-windscreen"):
        steps_check(lexicon)("screen thing, windscreen x, screen")
    with pytest.raises(NotAnAnswer, match=r"with that word: .*support-cable, .*move-cable"):
        steps_check(lexicon)("cable")


@pytest.mark.parametrize(
    ("words", "tells"),
    [
        ("Zero outer", {"volume": "outer"}),
        ("Perm bond bar", {"conductor": "bar"}),
        ("Zero", {}),
        # two of one reading, or a denial, tell nothing
        ("Zero core + outer", {}),
        ("Zero, not outer", {}),
    ],
)
def test_words_tell_readings_that_are_no_numbers(words: str, tells: dict[str, str], lexicon: RulebookLexicon) -> None:
    """Symptom: which volume was at zero, and what carried the bond, stood in the words and was asked of the crew."""
    assert said_words(words, ("confirm-zero", "place-permanent-bond"), lexicon) == tells


def test_words_that_tell_a_reading_are_asked_for(lexicon: RulebookLexicon) -> None:
    rows = [f"{HEAD},Remarks", "J,2026-03-04,7:00,zero outer,", ",,8:00,cool,by hand", ",,9:00,cool,see sheet",
            ",,9:30,bond bar,"]  # fmt: skip
    draft, found = asked(lexicon, {"contractor": "T"}, *rows)
    told = [(task.say[0], task.readings, task.remarks) for task in draft.spec.tasks]
    assert told == [
        ("zero outer", {"volume": "outer"}, ""), ("bond bar", {"conductor": "bar"}, ""),
        ("cool", {"by-hand": "yes"}, "by hand"), ("cool", {}, ""),
    ]  # fmt: skip
    assert [each.says for each in found if each.about == "tasks"] == [
        'Which step is "zero outer"?', 'Does "zero outer" tell this?', 'Does "bond bar" tell this?',
        'Does the remark "by hand" of "cool" tell this?',
    ]  # fmt: skip


def test_what_stands_above_the_steps_is_asked_for_as_columns_are(lexicon: RulebookLexicon) -> None:
    """Pressurised was left out by Enter, and what Trouble and Pit 3 mean was asked of columns alone."""
    rows = ["Work order,T-1", "Location,Pit 3", "Type,Trouble", "Sheath,PE", "Pressurised,yes", "Opening (in),12",
            "Weather,fair", "Fed cable?,no", "MH depth,9 ft", "Cable dia.,2 in", "", "Time,Step,Comment",
            "8:00,guards,", "8:10,zero check,"]  # fmt: skip
    answers = {"contractor": "T", "shape": "job-sheets", "facts-block.Type": "trouble-opening", "heading-row": "12"}
    draft, found = asked(lexicon, answers, *rows)
    block = {name: (label.fact, label.words) for name, label in draft.spec.facts_block.items()}
    assert block["Location"] == ("location", {"Pit {n}": "pit"})
    assert block["Sheath"] == ("sheath", {})
    assert block["Pressurised"] == ("pressurized", {})
    assert block["Opening (in)"] == ("opening-length", {})
    assert [block[name][0] for name in ("Fed cable?", "MH depth", "Cable dia.")] == [
        "fed", "manhole-depth", "cable-diameter",
    ]  # fmt: skip
    assert "Weather" not in block
    assert not any('Which sheath is "PE"' in each.says for each in found)

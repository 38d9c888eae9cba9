"""``ringcut audit --ask``: questions on stderr, answers from a pipe, and a column file by which the sheet is read."""

from __future__ import annotations

import datetime
import io
import json
import re
import shutil
from collections.abc import Callable, Sequence
from pathlib import Path

import openpyxl
import pytest
from click.testing import Result

from ringcut.archive.columnfile import read_columns
from ringcut_cli.exits import Exit

Run = Callable[..., Result]
Talk = Sequence[tuple[str, str]]
"""Questions by a part of them, with the answers that are typed; an empty one is Enter."""
SHEETS = Path(__file__).parents[1] / "archive" / "data"


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with the invented sheets; tests run in it."""
    for name in ("contractor-c.csv", "workorders.csv", "long-d.csv", "ticks-e.tsv", "own-form.csv", "g.jsonl"):
        shutil.copy(SHEETS / name, tmp_path)
    (tmp_path / "jobs.xlsx").write_bytes(workbook())
    monkeypatch.chdir(tmp_path)
    return tmp_path


def workbook() -> bytes:
    """Two jobs, a sheet each, with facts above the steps, and a sheet of notes. Invented."""
    book = openpyxl.Workbook()
    for number, (order, place) in enumerate((("HV-9", "manhole"), ("HV-10", "pole 4"))):
        sheet = book.create_sheet(f"Job {number + 1}")
        sheet.append(["Order no", order])
        sheet.append(["Date", datetime.date(2026, 3, 2 + number)])
        sheet.append(["Splice pit", place])
        sheet.append(["Crew", "R. Example", None, "Cable dia", "2.05 in"])
        sheet.append([])
        sheet.append(["Step done", "Finished", "Check", "Gauge (psi)", "Notes"])
        sheet.append(["cones", datetime.time(7, 5), "y", None, "both ends"])
        sheet.append(["zero check", datetime.time(9, 10), "y", 0, None])
        sheet.append(["air on slow", datetime.time(13, 30), "-", 6.1, None])
    book["Sheet"].append(["only notes here"])
    data = io.BytesIO()
    book.save(data)
    return data.getvalue()


def questions(result: Result) -> list[str]:
    """The questions that were put, in their order, each in one line."""
    parts = re.split(r"\n\n(?=\d+ {2,3}\S)", result.stderr)[1:]
    return [" ".join(re.split(r"\n> ?", part)[0].split()) for part in parts]


def talked(run: Run, files: Sequence[str], talk: Talk, *options: str) -> Result:
    """Answer the questions, which must be exactly these."""
    result = run("audit", "--ask", *files, *options, input="".join(f"{answer}\n" for _, answer in talk))
    asked = questions(result)
    wanted = [part for part, _ in talk if part]
    assert [part for part, said in zip(wanted, asked, strict=False) if part not in said] == []
    assert len(asked) == len(wanted), asked[len(wanted) :] or wanted[len(asked) :]
    return result


def left(run: Run, *arguments: str) -> tuple[list[str], list[str]]:
    """Cells that were not taken, and what was noted of columns, by an audit."""
    told = json.loads(run("audit", *arguments, "--format", "json", "--as-of", "2026-04-01").stdout)
    refused = [
        f"{each['place']['line']}{each['place']['letter']}" for file in told["files"] for each in file["not-taken"]
    ]
    return refused, [each["text"] for file in told["files"] for each in file["noted"] if each["kind"] == "column"]


STEP_ROWS: Talk = [
    ("Whose sheets are these", "C"),
    ("Taken by their headings", ""),
    ("empty cell mean the value above", ""),
    ("Is row 37 a row of the work", "no"),
    ("Does this crew mean another step by some of these", ""),
    ('Which step is "3 pr repaired', ""),
    ('Which step is "Perm bond - bar 12 oclk"', ""),
    ('Does a number in "Perm bond', "bar-angle = {n} o'clock; conductor = bar"),
    ('Which step is "Scuff/clean"', "scuff lead, wipe lead"),
    ('Which step is "Torch lit + preheat"', ""),
    ('Which step is "Sleeve on - chan 6 oclk"', "sleeve on"),
    ('Does a number in "Sleeve on', "channel-angle = {n} o'clock"),
    ('Which step is "Shrunk, torch off"', ""),
    ('Which step is "All steps per practice"', "none"),
    ('Which step is "Torch off - gas 0"', "shut-torch"),
    ('Does a number in "Hold 30 min"', ""),
    ('Does a number in "Rubber tape 2 HL"', "layers = {n}; lap = half"),
    ('Does "Air on slow" tell this', ""),
    ('Is the remark of "Perm bond - bar 12 oclk" its conductor size', ""),
    ('Does the remark "hand" of "Cool to touch" tell this', ""),
    ('Which side is "E"', "A"),
    ('Which side is "W"', "b"),
    ('"Bond "A" (in)" also stands in rows', ""),
    ('"Bond B" also stands in rows', ""),
    ('unit are the bare numbers under "Bond B"', ""),
    ('"Tape ovlp" also stands', ""),
    ('unit are the bare numbers under "Tape ovlp"', "in"),
    ('unit are the bare numbers under "O2"', ""),
    ('"PSI" also stands', "note"),
    ('"Temp" also stands', "note"),
    ('unit are the bare numbers under "Temp"', "degF"),
    ('Which location is "MH {n}"', ""),
    ('Which location is "Pole {n}"', "aerial"),
    ("ticks and crosses of a symbol font", ""),
    ("Who are these", "JM = J. Example; RT = R. Example"),
    ("In which order do day, month and year stand", "month-first"),
    ("Times run backwards", ""),
    ("What does the time under Time say", "finished"),
    ("Is every step of the work", "milestones"),
]
LONG: Talk = [
    ("Whose sheets", "D"),
    ("Taken by their headings", ""),
    ("mean another step", ""),
    ('Which side is "North"', "A"),
    ('Which side is "South"', "B"),
    ("a decimal comma", "yes"),
    ('What is "OL"', ">1000 megohm"),
    ("In which order", "day"),
    ("What does the time", "finished"),
    ("Is every step", "every-step"),
]
TICKS: Talk = [
    ("Whose sheets", "E"),
    ("Taken by their headings", ""),
    ('What does "Sleeve" hold', "assemble-sleeve"),
    ('the mark "x"', "done"),
    ('the mark "?"', "not-recorded"),
    ('the mark "o"', "not-done"),
    ("What does an empty cell under", "not-recorded"),
    ("What does the time say", "finished"),
    ("Is every step", "milestones"),
    ("Do the columns stand in the order", "no"),
]
JOB_SHEETS: Talk = [
    ("Whose sheets", "F"),
    ("What is one row", ""),
    ("Taken by their headings", ""),
    ('What is "Order no"', ""),
    ('What is "Date"', ""),
    ('What is "Splice pit"', "ignore"),
    ('What is "Crew"', ""),
    ('What is "Cable dia"', ""),
    ("mean another step", ""),
    ('Does "air on slow" tell this', ""),
    ('the mark "-"', "not-done"),
    ("What does the time", "finished"),
    ("Is every step", "every-step"),
]


@pytest.mark.parametrize(
    ("sheet", "talk", "rows", "refused"),
    [
        # what is refused is spoiled in the sheets themselves, and no answer mends it
        ("contractor-c.csv", STEP_ROWS, "37 rows in 3 logs", ["23K", "31N", "34", "39C", "41M", "44N", "44O"]),
        ("long-d.csv", LONG, "9 rows in 2 logs", ["9G", "11G"]),
        ("ticks-e.tsv", TICKS, "3 rows in 3 logs", ["3K", "4J"]),
        ("jobs.xlsx", JOB_SHEETS, "6 rows in 2 logs", []),
    ],
    ids=["step-rows", "long", "ticks", "job-sheets"],
)
def test_the_file_that_is_made_reads_the_sheet(
    sheet: str, talk: Talk, rows: str, refused: list[str], folder: Path, run: Run
) -> None:
    result = talked(run, [sheet], talk)
    letter = talk[0][1].lower()
    assert result.exit_code == Exit.CONFORMS, result.output
    assert result.stdout == f"ringcut audit {sheet} --columns columns-{letter}.yaml\n"
    assert f"Read by it: {rows}." in result.stderr
    read_columns(folder / f"columns-{letter}.yaml", "columns")
    assert left(run, sheet, "--columns", f"columns-{letter}.yaml") == (refused, [])


def test_the_answers_stand_in_the_file_with_where_they_are_from(folder: Path, run: Run) -> None:
    talked(run, ["contractor-c.csv"], STEP_ROWS, "--columns", "kept.yaml")
    spec = read_columns(folder / "kept.yaml", "kept.yaml")
    assert (spec.heading_row, spec.dates, spec.clock, spec.week, spec.records) == (
        4, "month-first", "mixed", "Week of", "milestones",
    )  # fmt: skip
    assert spec.fill_down == ("WO", "MH/Loc", "Date", "Tech")
    assert (spec.sides, spec.people["JM"], spec.marks.symbol_font) == ({"A": ("E",), "B": ("W",)}, "J. Example", True)
    assert [(each.column, each.says) for each in spec.leave_out] == [("WO", "Job hrs")]
    tasks = {each.say[0]: each for each in spec.tasks}
    assert tasks["Perm bond - bar {n} oclk"].readings == {
        "bar-angle": "{n} o'clock", "conductor": "bar", "conductor-size": "{text}",
    }  # fmt: skip
    assert tasks["All steps per practice"].do == ()
    assert spec.columns["PSI"].reading == (
        "read-pressure.gauge-pressure", "confirm-zero.gauge-pressure", "restore-pressure.gauge-pressure",
        "hold-test.start-pressure..end-pressure",
    )  # fmt: skip
    lines = (folder / "kept.yaml").read_text("utf-8").splitlines()
    assert lines[0].startswith("# Column file made by asking about contractor-c.csv")
    assert "dates: month-first  # as said" in lines
    assert "  WO: reference  # by its heading" in lines


def test_what_is_not_known_stays_away_with_a_comment(folder: Path, run: Run) -> None:
    talk = [(part, "?" if part.startswith(("In which order", "What does the time", "What is")) else said)
            for part, said in LONG]  # fmt: skip
    result = talked(run, ["long-d.csv"], talk)
    text = (folder / "columns-d.yaml").read_text("utf-8")
    assert result.exit_code == Exit.UNDETERMINED
    assert "Not known: 3 answers. The file says what is missing" in result.stderr
    assert "# dates: not known; month-first, day-first or year-first." in text
    assert "# time-means: not known" in text
    spec = read_columns(text.encode(), "columns-d.yaml")
    assert (spec.dates, spec.columns["Value"].over_range) == ("", "")
    assert "not taken, 8 cells: date" in result.stderr


@pytest.mark.parametrize("sheet", ["own-form.csv", "g.jsonl"])
def test_what_needs_no_column_file_is_told(sheet: str, folder: Path, run: Run) -> None:
    before = set(folder.iterdir())
    result = run("audit", "--ask", sheet, input="")
    assert (result.exit_code, result.stdout) == (Exit.CONFORMS, f"ringcut audit {sheet}\n")
    assert "needs no column file" in result.stderr
    assert set(folder.iterdir()) == before


def test_a_wrong_answer_is_told_at_once_and_asked_again(folder: Path, run: Run) -> None:
    talk: list[tuple[str, str]] = []
    wrong = {
        "Which side": ["C"],
        "What is": ["1000 megohm", ">1000"],
        "In which order": ["sideways"],
        "a decimal comma": ["perhaps"],
        "Is every step": ["all of them", ""],
        "Taken by": ["Colour"],
    }
    for part, said in LONG:
        first = next((tries for key, tries in wrong.items() if part.startswith(key)), [])
        talk += [*((part if number == 0 else "", each) for number, each in enumerate([*first, said]))]
    result = talked(run, ["long-d.csv"], talk)
    assert result.exit_code == Exit.CONFORMS
    for told in ("'C' is none of", "write > and the end", "'sideways' is none of month-first", "neither yes nor no",
                 "An answer is needed", "Colour: none of Order"):  # fmt: skip
        assert told in " ".join(result.stderr.split())
    assert left(run, "long-d.csv", "--columns", "columns-d.yaml") == (["9G", "11G"], [])


@pytest.mark.parametrize("answers", [1, 2, 5, 12, 35])
def test_answers_that_end_too_early_are_kept(answers: int, folder: Path, run: Run) -> None:
    typed = "".join(f"{said}\n" for _, said in STEP_ROWS[:answers])
    result = run("audit", "--ask", "contractor-c.csv", input=typed)
    assert result.exit_code == Exit.BAD_INPUT
    kept = (folder / "columns-c.yaml").read_text("utf-8")
    assert "The answers ended before the questions did. What was said until then is kept" in result.stderr
    assert f"NOT FINISHED: the questions ended after {answers} answer" in kept
    assert "contractor: C" in kept
    assert ("fill-down: [WO, MH/Loc, Date, Tech]" in kept) == (answers > 2)
    assert ("sides: {A: [E], B: [W]}" in kept) == (answers > 21)
    assert "Traceback" not in result.output


def test_stopping_keeps_what_was_said(folder: Path, run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    from ringcut_cli.audit.terminal import Terminal

    real, asked = Terminal._line, []

    def typed(self: Terminal) -> str:
        asked.append(1)
        if len(asked) == 5:
            raise KeyboardInterrupt
        return real(self)

    monkeypatch.setattr(Terminal, "_line", typed)
    result = run("audit", "--ask", "long-d.csv", "--columns", "d.yaml", input="D\n\n\nA\n")
    assert result.exit_code == Exit.STOPPED
    assert "Stopped. What was said until then is kept: 4 answers in d.yaml" in result.stderr
    assert "A: [North]" in (folder / "d.yaml").read_text("utf-8")


@pytest.mark.parametrize("sheet", ["contractor-c.csv", "long-d.csv"])
def test_without_any_answer_nothing_is_written(sheet: str, folder: Path, run: Run) -> None:
    before = set(folder.iterdir())
    result = run("audit", "--ask", sheet, input="")
    assert result.exit_code == Exit.BAD_INPUT
    assert "Nothing was said yet, so nothing was written." in result.stderr
    assert (result.stdout, set(folder.iterdir())) == ("", before)


def test_a_column_file_is_not_written_over(folder: Path, run: Run) -> None:
    talked(run, ["long-d.csv"], LONG)
    before = (folder / "columns-d.yaml").read_bytes()
    talked(run, ["long-d.csv"], LONG)
    assert (folder / "columns-d.yaml").read_bytes() == before == (folder / "columns-d-2.yaml").read_bytes()


def test_a_column_file_goes_on_with_what_is_new(folder: Path, run: Run) -> None:
    """The next week has a heading, a task, a mark, a person and a side more; nothing else is asked again."""
    head = "WO,Date,Time,Task,OK,Side,Bond,By"
    first = ["J-1,3/4/26,11:00,put rag on,Q,,,JM", ",,1:00,sleeve on,Q,E,5 in,JM", "Total,,,,,,,"]
    (folder / "1.csv").write_text("\n".join([head, *first]) + "\n")
    talk = [("Whose", "K"), ("Taken", ""), ("empty cell mean", ""), ("row 4 a row of the work", "no"),
            ("mean another step", ""), ('step is "put rag on"', "wrap-muslin"), ('side is "E"', "A"),
            ('mark "Q"', "done"), ("Who are these", "JM = J. Example"), ("In which order", "month-first"),
            ("Times run backwards", "12"), ("What does the time", "finished"),
            ("Is every step", "milestones")]  # fmt: skip
    talked(run, ["1.csv"], talk)
    same = talked(run, ["1.csv"], [], "--columns", "columns-k.yaml")
    assert (same.exit_code, same.stdout) == (Exit.CONFORMS, "ringcut audit 1.csv --columns columns-k.yaml\n")
    assert "knows everything in these sheets" in same.stderr
    second = [f"{head},Weather", "J-2,3/5/26,11:00,put rag on,Q,,,JM,fair", ",,1:00,sleeve on,Z,W,5 in,RT,rain",
              ",,1:30,flapped the hat,Q,,,JM,", "Total,,,,,,,,"]  # fmt: skip
    (folder / "2.csv").write_text("\n".join(second) + "\n")
    more = [('What does "Weather" hold', "ignore"), ('step is "flapped the hat"', "ventilate"), ('side is "W"', "B"),
            ('mark "Z"', "not-done"), ("Who are these", "RT = R. Example")]  # fmt: skip
    result = talked(run, ["2.csv"], more, "--columns", "columns-k.yaml")
    assert result.stdout == "ringcut audit 2.csv --columns columns-k-2.yaml\n"
    old, new = (read_columns(folder / name, name) for name in ("columns-k.yaml", "columns-k-2.yaml"))
    assert new.sides == {"A": ("E",), "B": ("W",)}
    assert new.people == {"JM": "J. Example", "RT": "R. Example"}
    assert new.tasks[: len(old.tasks)] == old.tasks and new.tasks[-1].do == ("ventilate",)
    assert (new.dates, new.clock, new.leave_out, new.fill_down) == (old.dates, old.clock, old.leave_out, old.fill_down)
    for sheet in ("1.csv", "2.csv"):
        refused, unread = left(run, sheet, "--columns", "columns-k-2.yaml")
        assert (refused, unread) == ([], ["Weather"] if sheet == "1.csv" else [])


def test_a_sheet_of_another_kind_is_not_gone_on_with(folder: Path, run: Run) -> None:
    talked(run, ["long-d.csv"], LONG)
    result = run("audit", "--ask", "ticks-e.tsv", "--columns", "columns-d.yaml", input="E\n")
    assert result.exit_code == Exit.BAD_INPUT
    assert "headings of the column file" in result.stderr


def test_where_nobody_can_answer_nobody_is_asked(folder: Path, run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("ringcut_cli.audit.columnasking.can_answer", lambda: False)
    result = run("audit", "--ask", "long-d.csv")
    assert result.exit_code == Exit.BAD_INPUT
    assert "nobody can answer here" in result.stderr
    assert "Whose sheets" not in result.stderr


def test_a_sheet_cannot_command_the_terminal_or_the_file(folder: Path, run: Run) -> None:
    (folder / "bad.csv").write_text('WO,Date,Time,Task\nJ\x1b[2J,2026-03-04,07:00,"do\x1b[2J: {x} # it"\n')
    talk = [("Whose", "B: {a} #"), ("Taken", ""), ("Which step is", "open-sheath"), ("What does the time", "started"),
            ("Is every step", "milestones")]  # fmt: skip
    result = talked(run, ["bad.csv"], talk, "--columns", "b.yaml")
    assert result.exit_code == Exit.CONFORMS
    assert "\x1b" not in result.output and "\x1b" not in (folder / "b.yaml").read_text("utf-8")
    assert left(run, "bad.csv", "--columns", "b.yaml") == ([], [])


def test_several_sheets_of_one_contractor_are_asked_about_together(folder: Path, run: Run) -> None:
    head = "WO,Date,Time,Task\n"
    (folder / "1.csv").write_text(f"Week 9\n{head}J-1,2026-03-04,07:00,put rag on\n")
    (folder / "2.csv").write_text(f"{head}J-2,2026-03-05,07:00,flapped the hat\n")
    talk = [("Whose", "G"), ("Taken", ""), ('step is "put rag on"', "wrap-muslin"),
            ('step is "flapped the hat"', "ventilate"), ("What does the time", "finished"),
            ("Is every step", "milestones")]  # fmt: skip
    result = talked(run, ["1.csv", "2.csv"], talk)
    assert result.stdout == "ringcut audit 1.csv 2.csv --columns columns-g.yaml\n"
    assert left(run, "1.csv", "2.csv", "--columns", "columns-g.yaml") == ([], [])


def test_a_heading_that_is_not_sure_is_asked_for(folder: Path, run: Run) -> None:
    (folder / "odd.csv").write_text("Dates,Time,Task\nauftrag,tag,zeit,was\n1,2026-03-04,07:00,muslin\n")
    talk = [("Whose", "H"), ("Which row holds the headings", "2"), ("What is one row", "step-rows"),
            ('What does "auftrag" hold', "reference"), ('What does "tag" hold', "date"),
            ('What does "zeit" hold', "time"), ('What does "was" hold', "task"), ("mean another step", ""),
            ("What does the time", "finished"),
            ("Is every step", "milestones")]  # fmt: skip
    talked(run, ["odd.csv"], talk)
    assert left(run, "odd.csv", "--columns", "columns-h.yaml") == ([], [])


def test_headings_in_two_rows_are_asked_for(folder: Path, run: Run) -> None:
    """Groups above the readings; decimal commas, one or two a column; a column Hand that is no reading."""
    sheet = (
        "Tallow Creek Splicing;;;;;;;;;\n"
        "Order;Day;Clock;Hand;What;Gas;;Bond (cm);;Remarks\n"
        ";;;;;LEL;O2;A;B;\n"
        "TC-1;05/05/2026;08:25;KL;Test atmosphere;0;20,9;;;dehors\n"
        ";;11:10;KL/MB;Sleeve on;;;13,5;12,8;\xe0 la main\n"
        "TC-2;06/05/2026;08:00;MB;All steps per practice;;;;;\n"
    )
    (folder / "two.csv").write_bytes(sheet.encode("cp1252"))
    talk = [("Whose", "T"), ("stand in two rows, 2 and 3", ""), ("Taken", ""), ("empty cell mean", ""),
            ("mean another step", ""), ('step is "All steps', "none"), ('What does "Hand" hold', "by"),
            ("a decimal comma", ""),
            ('numbers under "O2"', ""), ("Who are these", "no"), ("In which order", "day-first"),
            ("What does the time", "finished"), ("Is every step", "milestones")]  # fmt: skip
    result = talked(run, ["two.csv"], talk)
    assert result.exit_code == Exit.CONFORMS, result.stderr
    spec = read_columns(folder / "columns-t.yaml", "columns-t.yaml")
    assert (spec.heading_row, spec.heading_rows, spec.decimal) == (2, 2, "comma")
    assert {name: spec.columns[name].reading for name in ("LEL", "O2", "Bond (cm) B")} == {
        "LEL": ("test-atmosphere.combustible-gas",), "O2": ("test-atmosphere.oxygen",),
        "Bond (cm) B": ("assemble-sleeve.bond-length",),
    }  # fmt: skip
    assert left(run, "two.csv", "--columns", "columns-t.yaml") == ([], [])
    (folder / "next.csv").write_bytes(sheet.replace("TC-", "TD-").encode("cp1252"))
    assert talked(run, ["next.csv"], [], "--columns", "columns-t.yaml").exit_code == Exit.CONFORMS


def test_a_day_that_is_one_in_any_order_proves_none(folder: Path, run: Run) -> None:
    """Symptom: 05/05/2026 «can only be month first», and was believed."""
    (folder / "d.csv").write_text("WO,Date,Time,Task\nJ-1,05/05/2026,07:00,muslin\nJ-2,06/05/2026,07:00,muslin\n")
    talk = [("Whose", "H"), ("Taken", ""), ("mean another step", ""), ("In which order", "?"),
            ("What does the time", "finished"), ("Is every step", "milestones")]  # fmt: skip
    result = talked(run, ["d.csv"], talk)
    assert "can only be" not in result.stderr
    assert result.exit_code == Exit.UNDETERMINED
    assert left(run, "d.csv", "--columns", "columns-h.yaml") == (["3B"], [])


def test_the_zone_of_bare_times_is_asked_for_beside_full_ones(folder: Path, run: Run) -> None:
    (folder / "z.csv").write_text(
        "WO,Date,Time,Task\nJ-1,2026-05-05,2026-05-05T07:00:00-05:00,put rag on\nJ-1,2026-05-05,07:30,test atmosphere\n"
    )
    talk = [("Whose", "Z"), ("Taken", ""), ("Which step is", "wrap-muslin"),
            ("What does the time", "finished"), ("Which is theirs", "here"),
            ("", "-05:00"), ("Is every step", "milestones")]  # fmt: skip
    result = talked(run, ["z.csv"], talk)
    assert "'here' is no time zone" in result.stderr
    assert read_columns(folder / "columns-z.yaml", "z").timezone == "-05:00"
    told = json.loads(run("audit", "z.csv", "--columns", "columns-z.yaml", "--format", "json").stdout)
    assert [each["reference"] for each in told["logs"]] == ["J-1"]


def test_times_that_run_back_are_asked_about_where_each_row_has_its_order(folder: Path, run: Run) -> None:
    """Symptom: only where empty cells took the order above, the times of one order were looked at together."""
    rows = "".join(f"J-1,2026-05-05,{time},put rag on\n" for time in ("11:00", "1:05"))
    (folder / "b.csv").write_text(f"WO,Date,Time,Task\n{rows}")
    talk = [("Whose", "B"), ("Taken", ""), ("Which step is", "wrap-muslin"), ("Times run backwards", "12"),
            ("What does the time", "finished"), ("Is every step", "milestones")]  # fmt: skip
    talked(run, ["b.csv"], talk)
    (folder / "b2.csv").write_text(f"WO,Date,Time,Task\n{rows.replace('J-1', 'J-2', 1)}")
    talk[3] = ("Is 1:05 one at night", "24")
    talked(run, ["b2.csv"], talk)


LONG_FORM = (
    "Job\tDate\tWhen\tEnd\tItem\tMeasured\tResult\tUnit\n"
    "OR-7\t2026-03-12\t7:40\t\tBleed pressure\tDone\tyes\t\n"
    "OR-7\t2026-03-12\t7:55\t\tConfirm zero\tGauge\t0\tmbar\n"
    "OR-7\t2026-03-12\t9:05\tField\tSleeve on\tgrip\t13\tcm\n"
)


def test_a_sheet_with_units_is_likely_one_row_a_reading(folder: Path, run: Run) -> None:
    """Headings that nobody knows: what was done, its value; and a name of a reading that is a mark."""
    (folder / "o.csv").write_text(LONG_FORM, encoding="utf-16")
    talk = [("Whose", "O"), ("What is one row", ""), ("Taken", ""), ('What does "When" hold', ""),
            ('What does "Item" hold', "task"), ('What does "Result" hold', ""), ("mean another step", ""),
            ('side is "Field"', "B"), ('reading is "Done"', "status"), ("What does the time", "finished"),
            ("Is every step", "milestones")]  # fmt: skip
    assert talked(run, ["o.csv"], talk).exit_code == Exit.CONFORMS
    spec = read_columns(folder / "columns-o.yaml", "columns-o.yaml")
    assert (spec.shape, spec.readings["Done"], spec.readings["grip"]) == (
        "long", ("status",), ("assemble-sleeve.bond-length",),
    )  # fmt: skip
    assert left(run, "o.csv", "--columns", "columns-o.yaml") == ([], [])


def test_the_side_of_two_columns_alike_is_asked_for(folder: Path, run: Run) -> None:
    """Symptom: A end was taken for the end of a hold test, and two columns held one bond length without a side."""
    (folder / "q.csv").write_text(
        "WO,Date,Description,A end,B end\nJ-1,2026-05-05,Sleeve on,5.25,5.5\nJ-1,2026-05-05,Bled cable,,\n"
    )
    bond = "assemble-sleeve.bond-length"
    talk = [("Whose", "Q"), ("Taken", ""), ('What does "A end" hold', bond), ('What does "B end" hold', bond),
            ("mean another step", ""), ('step is "Bled cable"', ""), ("", "bleed-pressure"),
            ('numbers under "A end"', ""),
            ('numbers under "B end"', ""), ('side is under "A end"', ""), ('side is under "B end"', ""),
            ("Is every step", "milestones")]  # fmt: skip
    result = talked(run, ["q.csv"], talk)
    assert "An answer is needed" in result.stderr, "what is done is another thing, so that Enter takes nothing"
    spec = read_columns(folder / "columns-q.yaml", "columns-q.yaml")
    assert [(each.side, each.unit) for name, each in spec.columns.items() if "end" in name] == [
        ("A", "in"),
        ("B", "in"),
    ]


def test_a_file_that_cannot_be_used_is_no_success(folder: Path, run: Run) -> None:
    """Symptom: exit code 0 for a column file without a column that holds the task."""
    (folder / "n.csv").write_text("WO,Date,Colour,Size\nJ-1,2026-05-05,red,big\nJ-2,2026-05-06,red,big\n")
    result = run("audit", "--ask", "n.csv", input="N\nstep-rows\n" + "?\n" * 12)
    assert result.exit_code == Exit.BAD_INPUT
    assert "It cannot be used as it is" in result.stderr
    assert result.stdout == ""


def test_each_reading_of_one_column_has_its_own_unit(folder: Path, run: Run) -> None:
    """Symptom: the unit of the first, %LFL, was written for lengths and minutes too; and a claim below was left out."""
    (folder / "f.csv").write_text(
        "WO,Date,Step done,Reading\nJ-1,2026-05-11,gas test,0 / 20.9\nJ-1,2026-05-11,sleeve on,5.25\n"
        "All steps done per practice,,,\n"
    )
    held = "test-atmosphere.combustible-gas..oxygen, assemble-sleeve.bond-length"
    talk = [("Whose", "F"), ("Taken", ""), ('What does "Reading" hold', held), ("mean another step", ""),
            ("In which unit is the oxygen", ""),
            ("In which unit is the bond length", ""), ("Is every step", "milestones")]  # fmt: skip
    talked(run, ["f.csv"], talk)
    spec = read_columns(folder / "columns-f.yaml", "columns-f.yaml")
    assert spec.columns["Reading"].units == {"combustible-gas": "%LFL", "oxygen": "%", "bond-length": "in"}
    assert left(run, "f.csv", "--columns", "columns-f.yaml") == ([], [])
    told = json.loads(run("audit", "f.csv", "--columns", "columns-f.yaml", "--format", "json").stdout)
    assert [each["reference"] for each in told["logs"]] == ["J-1"]
    assert [each["row"] for each in told["questions"] if "says-all-done" in each["rules"]] == [4]
